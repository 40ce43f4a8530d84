"""What the stages work on, of any size: drawings, layered blocks, stitch files, pages, libraries.

Every function writes its file into a folder, if it is not there yet, and returns its path.
"""

from __future__ import annotations

import contextlib
import io
import math
from collections.abc import Callable, Sequence
from functools import wraps
from pathlib import Path

from lxml import etree
from PIL import Image

from applique.cli.main import main
from tests.benchmarks.blocks import SPACING_MM, grid_block
from tests.benchmarks.figures import NotHereError
from tests.benchmarks.library import planted_library
from tests.benchmarks.library_commands import write_library
from tests.trace.scans import ABSENT, GENERATOR, generator, made_page

FABRICS = 4
_TEMPLATES = 40
_PAGE_SEED = 9000

Maker = Callable[[int, Path], None]


def _once(name: str) -> Callable[[Maker], Callable[[int, Path], Path]]:
    """Makes what writes a file into what writes it if it isn't there: `name` with its size."""

    def wrapped(make: Maker) -> Callable[[int, Path], Path]:
        @wraps(make)
        def made(size: int, folder: Path) -> Path:
            path = folder / name.format(size)
            if not path.exists():
                make(size, path)
            return path

        return made

    return wrapped


def command(words: Sequence[str]) -> None:
    """A command in this process, what it prints thrown away; it may find faults, but must work."""
    with (
        contextlib.redirect_stdout(io.StringIO()),
        contextlib.redirect_stderr(io.StringIO()) as said,
    ):
        code = main(list(words))
    if code != 0:
        raise SystemExit(f"applique {' '.join(words)} ended with {code}: {said.getvalue()}")


@_once("drawing-{}.svg")
def drawing(pieces: int, path: Path) -> None:
    """A drawing of so many pieces, nearly every one of a colour of its own."""
    path.write_bytes(etree.tostring(grid_block(pieces)))


@_once("fabrics-{}.svg")
def few_fabrics(pieces: int, path: Path) -> None:
    """A layered block of so many pieces of four fabrics."""
    root = grid_block(pieces)
    for k, shape in enumerate(root):
        shape.set("fill", f"#{60 * (k % FABRICS) + 20:02x}6080")
    plain = path.with_suffix(".plain.svg")
    plain.write_bytes(etree.tostring(root))
    command(["layers", str(plain), "-o", str(path)])


@_once("layered-{}.svg")
def layered(pieces: int, path: Path) -> None:
    """A layered block of so many pieces, some 1,000 stitches each."""
    command(["layers", str(drawing(pieces, path.parent)), "-o", str(path)])


@_once("moved-{}.svg")
def moved(pieces: int, path: Path) -> None:
    """A layered block whose first piece was moved after its layers were made."""
    tree = etree.parse(layered(pieces, path.parent))
    (piece,) = tree.xpath("//*[@id='p0']")
    piece.set("transform", f"translate({SPACING_MM + 2},{SPACING_MM + 1})")
    tree.write(path)


@_once("sewn-{}.dst")
def sewn(pieces: int, path: Path) -> None:
    """The stitch file of a layered block of so many pieces."""
    command(["stitch", str(layered(pieces, path.parent)), "-o", str(path)])


@_once("page-{}.png")
def page(dpi: int, path: Path) -> None:
    """A scanned page of traced templates, the same at every resolution."""
    if not GENERATOR.exists():
        raise NotHereError(ABSENT)
    made = made_page(generator(), _PAGE_SEED, dpi, "letter", "scan", "normal")
    Image.fromarray(made.grey).save(path, dpi=(dpi, dpi))


@_once("library-{}.svg")
def library(templates: int, path: Path) -> None:
    """A library of so many templates, a tenth of them copies of others."""
    write_library(path, planted_library(1, templates, templates // 10).shapes)


@_once("layout-{}.toml")
def layout(placements: int, path: Path) -> None:
    """A layout of so many placements of forty templates."""
    shelf, columns = library(_TEMPLATES, path.parent), math.ceil(math.sqrt(placements))
    side = (columns + 1) * SPACING_MM
    head = (
        f'block = "Many"\nfinished = "{side:g}x{side:g}"\nbackground = "linen"\n'
        f'library = "{shelf.name}"\n\n[fabrics]\n"linen" = "#efe6d2"\n"sea" = "#2f6f8f"\n'
    )
    rows = (
        f'\n[[piece]]\npiece = "{k % _TEMPLATES}"\nlabel = "{k}"\nfabric = "sea"\n'
        f"x = {(k % columns + 1) * SPACING_MM:g}\ny = {(k // columns + 1) * SPACING_MM:g}\n"
        for k in range(placements)
    )
    path.write_text(head + "".join(rows), encoding="utf-8")
