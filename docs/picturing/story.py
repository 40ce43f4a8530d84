"""What is photographed: the first block step by step, as a user makes it, and what samples give.

Every file is made by the program's own commands, when it is first asked for.
"""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
from collections.abc import Callable, Mapping
from functools import cached_property
from pathlib import Path

from applique.cli.main import main as applique
from applique.editor.dialogs import EFFECTS
from applique.editor.inx import inx_files
from applique.files import read_svg, svg_bytes
from applique.svg.tagging import tag_elements

DOCS = Path(__file__).resolve().parent.parent
SAMPLES = DOCS.parent / "samples"
DRAWING = DOCS / "first-block.svg"

NAME = "boat"
FABRICS = {"sun": "sun yellow", "sail": "sail cream", "hull": "hull red", "sea": "sea blue"}
FINISHED = "127x127"

LONG_AGO_S = 1_700_000_000
"""When all files of a folder that is photographed were saved."""

DIALOGS = {f"dialog {key}": inx_files()[f"underlap_{key.replace('-', '_')}.inx"] for key in EFFECTS}
FORMATS = {name: data for name, data in inx_files().items() if name.startswith("underlap_save")}

LEAF = "M%d,42 C%d,31 %d,16 %d,6 C%d,16 %d,31 %d,42 Z"
"""A leaf from its stem round its tip."""

EMPTY = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
    'width="110mm" height="48mm" viewBox="0 0 110 48">%s</svg>'
)
EDGES = ("satin", "blanket", "zigzag", "straight")


class Story:
    """The first block step by step, in a folder; every step is made when it is first asked for."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    @cached_property
    def drawn(self) -> Path:
        """The drawing as it is opened."""
        return self._put("drawn", DRAWING.read_bytes())

    @cached_property
    def named(self) -> Path:
        """With its fabrics."""
        tree = read_svg(self.drawn)
        for shape, fabric in FABRICS.items():
            tag_elements(tree.getroot(), [shape], {"fabric": fabric})
        return self._put("named", svg_bytes(tree))

    @cached_property
    def layered(self) -> Path:
        """With its layers."""
        path = self._put("layered", b"")
        run("layers", self.named, "-o", path, "--finished", FINISHED)
        return path

    @cached_property
    def edges(self) -> Path:
        """Four leaves, each with another edge, with their layers."""
        leaves = []
        for place, edge in enumerate(EDGES):
            x = 16 + 26 * place
            d = LEAF % (x, x - 15, x - 10, x, x + 10, x + 15, x)
            tags = f'ap:fabric="leaf" ap:thread="#2c5134" ap:edge="{edge}" fill="#a9c79b"'
            leaves.append(f'<path {tags} d="{d}"/>')
        drawn = self._put("edges", (EMPTY % "".join(leaves)).encode())
        run("layers", drawn, "-o", drawn)
        return drawn

    def layered_sample(self, name: str) -> Path:
        """A block of the harbour quilt with its layers."""
        path = self.folder / f"{name}.svg"
        path.parent.mkdir(parents=True, exist_ok=True)
        run("layers", SAMPLES / f"{name}.svg", "-o", path)
        return path

    def made(self, command: str, ending: str, *words: object) -> Path:
        """What a command writes of the layered block."""
        path = self.folder / f"{NAME}-{command}.{ending}"
        run(command, self.layered, "-o", path, *words)
        return path

    def _put(self, step: str, data: bytes) -> Path:
        path = self.folder / step / f"{NAME}.svg"
        path.parent.mkdir(parents=True)
        path.write_bytes(data)
        os.utime(path, (LONG_AGO_S, LONG_AGO_S))
        return path


def run(*words: object) -> None:
    """A command of ours, as a user gives it; raises RuntimeError if it fails."""
    told = io.StringIO()
    with contextlib.redirect_stdout(told), contextlib.redirect_stderr(told):
        try:
            code = applique([str(word) for word in words])
        except SystemExit as end:  # of a word that it doesn't know
            code = end.code
    if code != 0:
        raise RuntimeError(f"applique {' '.join(map(str, words))}: {told.getvalue()}")


SOURCES: Mapping[str, Callable[[Story], bytes]] = {
    **{name: lambda _, data=data: data for name, data in DIALOGS.items()},
    "menu": lambda _: "\n".join(dialog.title for dialog in EFFECTS.values()).encode(),
    "formats": lambda _: b"".join(FORMATS.values()),
    "drawing": lambda story: story.drawn.read_bytes(),
    "named drawing": lambda story: story.named.read_bytes(),
    "layers": lambda story: story.layered.read_bytes(),
    "run sheet": lambda story: story.made("run-sheet", "html").read_bytes(),
    "edges": lambda story: story.edges.read_bytes(),
    "lighthouse": lambda _: (SAMPLES / "lighthouse.svg").read_bytes(),
    "whale": lambda _: (SAMPLES / "whale.svg").read_bytes(),
    "scan": lambda _: (SAMPLES / "traced" / "harbour-1.jpg").read_bytes(),
    "library": lambda _: (SAMPLES / "library" / "harbour-templates.svg").read_bytes(),
    "quilt": lambda _: b"".join(
        path.read_bytes()
        for folder in (SAMPLES, SAMPLES / "library", SAMPLES / "swatches")
        for path in sorted(folder.iterdir())
        if path.is_file()
    ),
    "stitch-out page": lambda story: story.made("stitch-out", "html").read_bytes(),
}
"""What pictures are made from, by the names that made-from.json has for it. Of what takes long to
make of a sample (a trace, a plan of hoopings) it is the sample alone."""


def digests(folder: Path) -> dict[str, str]:
    """Of everything that pictures are made from, by its name."""
    story = Story(folder)
    return {name: hashlib.sha256(of(story)).hexdigest()[:16] for name, of in SOURCES.items()}
