"""Layered blocks whose tags or stitches are hostile."""

from __future__ import annotations

from tests.hostile.drawings_xml import drawing
from tests.hostile.running import Make

LONG = "9" * 5000

CIRCLE = '<path id="a" ap:piece="1" ap:fabric="sea" fill="#2f6f8f" d="M20,20 H60 V60 H20 Z"/>'


def layered(steps: str, root: str = 'ap:version="1"', before: str = CIRCLE) -> bytes:
    """A block with a sewing layer."""
    return drawing(f'{before}<g ap:role="stitching">{steps}</g>', root=root)


def step(d: str = "M20,20 L22,20 L24,20", words: str = "", kind: str = "finish") -> str:
    return (
        f'<g ap:step="{kind}" ap:piece="1" ap:source="a" ap:thread="#2f6f8f" {words}>'
        f'<path d="{d}"/></g>'
    )


def piece(words: str) -> bytes:
    return drawing(f'<path id="b" ap:piece="1" {words} fill="#2f6f8f" d="M20,20 H60 V60 H20 Z"/>')


def cut(lines: str) -> bytes:
    return drawing(f'{CIRCLE}<g ap:role="cutting">{lines}</g>', root='ap:version="1"')


STITCHES: dict[str, Make] = {
    "million stitches in one place": lambda: layered(step("M20,20" + " L20,20" * 1_000_000)),
    "million stitches to and fro": lambda: layered(step("M20,20" + " L22,20 L20,20" * 500_000)),
    "20,000 steps": lambda: layered(step() * 20_000),
    "20,000 colours": lambda: layered(
        "".join(step(words=f'ap:thread-name="c{k}"') for k in range(20_000))
    ),
    "steps without stitches": lambda: layered(step("")),
    "step of one stitch": lambda: layered(step("M20,20")),
    "step of curves": lambda: layered(step("M20,20 C1,2 3,4 5,6")),
    "step of nan": lambda: layered(step("MNaN,20 L22,20")),
    "step of 1e308": lambda: layered(step("M1e308,20 L22,20")),
    "step far away": lambda: layered(step("M99999999,20 L22,20")),
    "step of a long number": lambda: layered(step(f"M{LONG},20 L22,20")),
    "step of an unknown kind": lambda: layered(step(kind="dance")),
    "step without a piece": lambda: layered('<g ap:step="finish"><path d="M9,9 L12,9"/></g>'),
    "step within a step": lambda: layered(
        f'<g ap:step="finish" ap:thread="#000">{step()}</g>' * 3
    ),
    "step that is flat": lambda: layered(step(words='transform="scale(0)"')),
    "step of a colour that is none": lambda: layered(
        step().replace("#2f6f8f", "url(@WEB@)")
    ),
    "pause without end": lambda: layered(step(words=f'ap:pause="{"wait " * 100_000}"')),
    "pause with a script": lambda: layered(
        step(words='ap:pause="&lt;/script&gt;&lt;script src=@WEB@&gt;"')
    ),
    "thread named by a million letters": lambda: layered(
        step(words=f'ap:thread-name="{"t" * 1_000_000}"')
    ),
    "layer within a layer": lambda: layered('<g ap:role="stitching">' * 50 + "</g>" * 50),
    "hundred sewing layers": lambda: drawing(
        f'<g ap:role="stitching">{step()}</g>' * 100, root='ap:version="1"'
    ),
    "empty sewing layer": lambda: layered(""),
    "no sewing layer": lambda: drawing(CIRCLE),
}  # fmt: skip

TAGS: dict[str, Make] = {
    "version below nothing": lambda: drawing(CIRCLE, root='ap:version="-1"'),
    "version of 5,000 digits": lambda: drawing(CIRCLE, root=f'ap:version="{LONG}"'),
    "finished size of nan": lambda: drawing(CIRCLE, root='ap:finished="NaNxNaN"'),
    "finished size of 5,000 digits": lambda: drawing(CIRCLE, root=f'ap:finished="{LONG}x9"'),
    "seam allowance below nothing": lambda: drawing(
        CIRCLE, root='ap:finished="90x90" ap:seam-allowance="-9"'
    ),
    "spacing of nan": lambda: piece('ap:satin-spacing="NaN" ap:density="nan"'),
    "width of infinity": lambda: piece('ap:satin-width="inf"'),
    "width of 5,000 digits": lambda: piece(f'ap:satin-width="{LONG}"'),
    "edge of a million letters": lambda: piece(f'ap:edge="{"e" * 1_000_000}"'),
    "detail of no style": lambda: piece('ap:detail="dance"'),
    "label of a million letters": lambda: drawing(
        CIRCLE.replace('piece="1"', f'piece="{"9" * 1_000_000}"')
    ),
    "label with a script": lambda: drawing(CIRCLE.replace('piece="1"', 'piece="&lt;script&gt;"')),
    "label that leads upwards": lambda: drawing(CIRCLE.replace('piece="1"', 'piece="../../a"')),
    "fabric that leads upwards": lambda: drawing(CIRCLE.replace("sea", "../../../tmp/a")),
    "fabric of 100,000 letters": lambda: drawing(CIRCLE.replace("sea", "f" * 100_000)),
    "fabric with a script": lambda: drawing(CIRCLE.replace("sea", "&lt;script&gt;alert(1)")),
    "10,000 fabrics": lambda: drawing(
        "<metadata>"
        + "".join(f'<ap:fabric name="{k}" colour="#123456"/>' for k in range(10_000))
        + f"</metadata>{CIRCLE}"
    ),
    "defaults given twice": lambda: drawing(
        f'<metadata><ap:defaults edge="satin"/><ap:defaults edge="zigzag"/></metadata>{CIRCLE}'
    ),
    "a label for 300 pieces": lambda: drawing(CIRCLE * 300),
    "block named by a path": lambda: drawing(CIRCLE, root='ap:block="/etc/passwd"'),
}  # fmt: skip

CUTS: dict[str, Make] = {
    "no cut lines": lambda: cut(""),
    "cut line of nothing": lambda: cut('<path ap:piece="1" ap:fabric="sea" ap:cut="cut" d=""/>'),
    "cut line of nan": lambda: cut('<path ap:piece="1" ap:fabric="sea" ap:cut="cut" d="MNaN,0z"/>'),
    "cut line far away": lambda: cut(
        '<path ap:piece="1" ap:fabric="sea" ap:cut="cut" d="M9e8,0h9v9z"/>'
    ),
    "cut line larger than any sheet": lambda: cut(
        '<path ap:piece="1" ap:fabric="sea" ap:cut="cut" d="M0,0H5000V5000H0z"/>'
    ),
}
