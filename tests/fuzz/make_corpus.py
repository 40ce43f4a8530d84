"""The corpus anew: `python -m tests.fuzz.make_corpus`. Small inputs, made from our samples."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
from pyembroidery.EmbCompress import compress

from applique.export.commands import readers
from applique.export.formats import FORMATS
from applique.export.machine import machine_file
from applique.export.reading import readable_suffixes
from applique.files import parse_svg, svg_bytes
from applique.model import Plan, Thread, ThreadBlock
from applique.pipeline import make_layers
from applique.svg.hooplayer import DrawnCross, DrawnHooping, write_hoopings
from applique.svg.read import Request
from applique.svg.shapes import is_shape
from tests.conftest import SAMPLES
from tests.fuzz.running import CORPUS

_HEAD = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:ap="https://underlap.example/svg/1" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
    'width="100mm" height="80mm" viewBox="0 0 100 80" '
)

DRAWINGS = {
    "three-shapes": _HEAD + '><rect id="a" x="10" y="10" width="30" height="20" fill="#c04040"/>'
    '<path id="b" d="M40,40 C60,30 80,50 70,70 Z" fill="#40c040"/>'
    '<circle id="c" cx="30" cy="50" r="12" style="fill:#4040c0"/></svg>',
    "tagged": _HEAD + 'ap:version="1" ap:block="Gull" ap:finished="90x70" '
    'ap:seam-allowance="6.35" ap:background="sky"><metadata><ap:fabric name="sand" '
    'colour="#d8c090" turn="half" grain="45"/><ap:defaults edge="zigzag" order="fewest"/>'
    '</metadata><g transform="translate(2,3)rotate(5)"><path id="a" ap:piece="A" ap:fabric="sand" '
    'ap:edge-width="3.5" fill="#d8c090" d="M10 10h30v20h-30zM18 15v8h8v-8z"/></g>'
    '<ellipse id="b" ap:piece="B" ap:fabric="sea" ap:thread="#204060" ap:thread-name="Deep" '
    'cx="60" cy="40" rx="18" ry="9" fill="#2f6f8f" ap:template="7" ap:template-version="2" '
    'ap:template-size="36x18" ap:template-area="508.94" ap:template-perimeter="87.2"/>'
    '<path ap:detail="line" stroke="#101010" stroke-width="1.5" fill="none" '
    'd="M50 40 Q60 30 70 40 T 75 42"/><circle ap:detail="spot" cx="62" cy="42" r="1.5"/></svg>',
    "clones": _HEAD + "><style>.sail{fill:#aa3322} #b{fill-rule:evenodd}</style><defs>"
    '<linearGradient id="g"><stop stop-color="#336699"/></linearGradient>'
    '<symbol id="s" viewBox="0 0 10 10"><polygon points="0,0 10,0 5,10"/></symbol></defs>'
    '<polygon id="a" class="sail" points="10,10 40,12 30,40"/>'
    '<use href="#a" transform="translate(40,5) scale(-1,1) translate(-40,0)"/>'
    '<use xlink:href="#s" x="50" y="40" width="20" height="20" fill="url(#g)"/>'
    '<svg x="70" y="50" width="20" height="20" viewBox="0 0 5 5" '
    'preserveAspectRatio="xMinYMid slice"><path id="b" d="M0 0A2 2 0 0 1 4 4l-4-1z"/></svg></svg>',
    "artwork": '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 300">'
    '<rect width="400" height="300" fill="#fff"/><g fill="#345" opacity=".9">'
    '<path d="m40 40 80 0 0 60-40 20-40-20z"/>'
    '<polyline points="200,50 260,50 260,110 200,50"/></g><switch><path systemLanguage="de" '
    'd="M1 1h9v9z"/><path d="M150 150s40-40 80 0 20 60-30 60-70-30-50-60z" fill="teal"/></switch>'
    '<text x="9" y="9">Quay</text><line x1="1" y1="2" x2="90" y2="80" stroke="red"/></svg>',
}

_PIECE = (
    '<path id="{0}" ap:piece="{0}" ap:fabric="{0}" fill="#d8c090" ap:edge="{1}" ap:method="{2}" '
    'd="{3}"/>'
)

LAYERED = {
    "straight": _PIECE.format("A", "straight", "cut-first", "M20 20h7v6h-7z"),
    "blanket": _PIECE.format("A", "blanket", "turned", "M20 20h5v4h-5z")
    + '<path ap:detail="run" stroke="#000000" fill="none" d="M22 22h2"/>',
    "zigzag": _PIECE.format("A", "zigzag", "cut-in-hoop", "M20 20h5v4h-5z")
    + _PIECE.format("B", "straight", "cut-first", "M23 22h5v4h-5z"),
}
"""What becomes a sewing layer and a cutting layer."""

LAYOUT = """block = "Harbour evening"
finished = "254x254"
seam-allowance = 6.35
background = "sky"
library = ["harbour.svg", "more.svg"]

[fabrics]
sand = "#d8c090"
sea = {colour = "#2f6f8f", turn = "half", grain = 45}

[defaults]
edge = "satin"
order = "fewest"

[[piece]]
piece = "17"
version = 2
label = "hull"
fabric = "sea"
thread = "#204060"
x = 120
y = 80.5
turn = -30
mirror = true
scale = 1.5
edge-width = 3.5

[[piece]]
piece = "gull"
fabric = "sand"
x = 20
y = 30
"""

THREADS = """[[thread]]
name = "harbour blue"
colour = "#2f6f8f"
weight = 40
metres = 1000

[[thread]]
name = "sail"
colour = "#f0e8d8"
weight = "60"
"""

_BLUE, _RED = Thread("#2f6f8f", "Sea"), Thread("#b2392f", "Brick")

FLAG = Plan(
    "Harbour",
    (100.0, 100.0),
    (
        ThreadBlock(
            _BLUE,
            (
                np.array([(101.0, 100.0), (104.0, 100.0), (104.0, 97.0)]),
                np.array([(90.0, 90.0), (92.0, 90.0), (93.0, 95.0)]),
            ),
        ),
        ThreadBlock(_RED, (np.array([(100.0, 100.0), (100.0, 103.0), (109.0, 103.0)]),), "Lay."),
        ThreadBlock(_BLUE, (np.array([(110.0, 110.0), (112.0, 111.0), (114.0, 110.0)]),)),
    ),
)
"""A few stitches, trims and stops."""


def _le(number: int, size: int) -> bytes:
    return (number % (1 << 8 * size)).to_bytes(size, "little")


def _be(number: int, size: int) -> bytes:
    return (number % (1 << 8 * size)).to_bytes(size, "big")


_TURNS = ((10, 10), (20, -5), (-15, 12), (6, 6))
"""A few steps, in 0.1 mm."""

_PAIRS = b"".join(bytes([x % 256, y % 256]) for x, y in _TURNS)
_PAIRED = _PAIRS + b"\x80\x01\x00\x00" + _PAIRS + b"\x80\x02\x05\x05" + _PAIRS + b"\x80\x10\x00\x00"
_PLACES_LE = b"".join(b"\0" + _le(x, 3) + b"\0" + _le(y, 3) + b"\0" for x, y in _TURNS)
_PLACES_BE = b"".join(_be(x, 3) + b"\0" + _be(y, 3) + b"\0\0" for x, y in _TURNS)
_SIGNED = bytes(
    [5, 9, 0x00, 7, 3, 0x40, 0, 0, 0x82, 6, 6, 0x20, 2, 2, 0x01, 4, 4, 0x00, 1, 1, 0x9B]
)


def _packed(number: int) -> bytes:
    """Stitches packed as their format packs them: commands, x and y, each on its own."""
    parts = [compress(bytes([value] * number)) for value in (0x80, 3, 5)]
    at = 46
    offsets = (at, at + len(parts[0]), at + len(parts[0]) + len(parts[1]))
    head = _le(0x00C8AF5B, 4) + _le(number, 4) + _le(1, 4) + bytes(8)
    return (
        head
        + b"".join(_le(one, 4) for one in offsets)
        + bytes(10)
        + _le(2, 2)
        + bytes(2)
        + b"".join(parts)
    )


_SHAPED = {
    "pcd": b"2\0\1\0\x80\x40\x20\0\4\0" + _PLACES_LE,
    "pcm": b"\0\0\0\1\0\3\0\4" + _PLACES_BE,
    "hus": _packed(9),
    "sew": _le(2, 2) + _le(5, 2) + _le(9, 2) + bytes(0x1D78 - 6) + _PAIRED,
    "jpx": _le(0x44, 4) + bytes(0x1C) + _le(1, 4) + bytes(0x18) + _le(7, 4) + bytes(4) + _PAIRED,
    "stx": b"STX" + bytes(9) + _le(0, 4) + _le(0, 4) + _le(24, 4) + _PAIRED,
    "max": bytes(0xD5)
    + _le(4, 4)
    + b"".join(_le(x, 3) + b"\0" + _le(y, 3) + b"\0" for x, y in _TURNS),
    "spx": bytes(0x11E) + b"\0\1\0\5\0\7\2\0\0" * 6,
    "inb": bytes(0x2000) + _SIGNED,
    "dat": bytes(
        [0x80, 5, 7, 0xC1, 4, 4, 0x88, 0, 0, 0xA0, 6, 6, 0x86, 1, 1, 0x80, 3, 3, 0x98, 0, 0]
    ),
    "dsz": bytes(512) + _SIGNED,
    "gt": bytes(512) + _SIGNED,
    "z00": b"\0\0\0" + bytes([0, 5, 7, 2, 4, 4, 0x20, 1, 2, 0, 6, 6]),
    "10o": bytes([0x8A, 0, 0, 0, 5, 7, 0x10, 4, 4, 0x85, 0, 0, 0x20, 6, 6, 0x81, 0, 0, 0x87, 0, 0]),
    "zhs": bytes(15)
    + _le(40, 4)
    + _le(23, 4)
    + b"\1\x20\x40\x60\x0a\0&$A&#B&#C;;"
    + bytes(3)
    + bytes([2, 5, 9, 2, 7, 3, 4, 0, 0, 1, 9, 9, 2, 6, 6, 0x80, 0, 0]),
    "tbf": bytes(0x83)
    + b"Gull".ljust(0x10)
    + bytes(0x10A - 0x93)
    + b"\1\2\0"
    + bytes(0x101)
    + b"\x45\x20\x40\x60\x20\x45\x60\x40\x20\x20\0"
    + bytes(0x600 - 0x219)
    + bytes([5, 7, 0x80, 6, 6, 0x80, 0, 0, 0x81, 3, 3, 0x90, 4, 4, 0x80, 0, 0, 0x8F]),
    "shv": bytes(0x56)
    + b"\4Gull\2\2"
    + bytes(6)
    + b"\1"
    + bytes(18)
    + _be(9, 4)
    + b"\3"
    + bytes(7)
    + _PAIRS
    + b"\x80\1\0\5\0\6"
    + _PAIRS,
}
"""Small files of formats that we only read, as their reader takes them."""

_TWINS = frozenset({"pcq", "pcs"})
"""Read word for word as pcd is; changed suffixes reach them."""


def corpus() -> dict[str, bytes]:
    """Every input by its file's name, which begins with that of its reader."""
    found = {f"drawing-{name}": text.encode() for name, text in DRAWINGS.items()}
    found["drawing-gull"] = _first_shapes(SAMPLES / "gull.svg", 2)
    for name, content in LAYERED.items():
        found[f"layered-{name}"] = _layered(content)
    quilt = (SAMPLES / "harbour-quilt.toml").read_bytes()
    found["text-quilt"] = quilt
    found["text-quilt-short"] = b"\n".join(quilt.split(b"\n")[:60]) + b"\n"
    found["text-layout"] = LAYOUT.encode()
    found["text-threads"] = THREADS.encode()
    for suffix in FORMATS:
        found[f"machine-{suffix}"] = _machine(suffix, machine_file(FLAG, suffix).data)
    steps = machine_file(FLAG, "dst").data[:512] + machine_file(FLAG, "exp").data
    known = {readers()[suffix] for suffix in FORMATS}
    for suffix in readable_suffixes():
        if readers()[suffix] not in known and suffix not in _TWINS:
            known.add(readers()[suffix])
            found[f"machine-{suffix}"] = _machine(suffix, _SHAPED.get(suffix, steps))
    return found


def _first_shapes(path: Path, number: int) -> bytes:
    """A sample with only its first few shapes."""
    tree = parse_svg(io.BytesIO(path.read_bytes()), path.name)
    for shape in [one for one in tree.getroot().iter() if is_shape(one)][number:]:
        shape.getparent().remove(shape)
    return svg_bytes(tree)


def _layered(content: str) -> bytes:
    text = f'{_HEAD} ap:block="Buoy">{content}</svg>'
    tree = parse_svg(io.BytesIO(text.encode()), "buoy.svg")
    make_layers(tree.getroot(), Request(settings={"underlay": "none"}))
    hooping = DrawnHooping(1, "100x100", (0.0, 0.0, 100.0, 80.0), "#b2392f")
    write_hoopings(tree.getroot(), [hooping], [DrawnCross("A", (5.0, 5.0))])
    return svg_bytes(tree)


def _machine(suffix: str, data: bytes) -> bytes:
    return suffix.encode() + b"\n" + data


def main() -> None:
    """Write the corpus; crashes of before stay."""
    for name, data in corpus().items():
        Path(CORPUS / name).write_bytes(data)


if __name__ == "__main__":
    main()
