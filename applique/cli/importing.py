"""`applique import`: any layered coloured artwork becomes a block of tagged pieces."""

from __future__ import annotations

import argparse
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import add_output, size, stem_of
from applique.cli.commands import add_command
from applique.cli.say import say, say_findings
from applique.files import apart_from, put_in_place, read_svg, svg_bytes
from applique.report import counted
from applique.units import MM_PER_UNIT, compact, split_length

if TYPE_CHECKING:
    from applique.artwork.bring import Imported

LEAST_MM = 10.0
MOST_MM = 3000.0
"""No block's artwork is smaller or larger: a thumbnail, a whole quilt."""

_MOST_DELTA = 50.0
"""Colours further apart than this in CIELAB have different names in any language."""


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "import",
        description="Make a block of an SVG artwork from any program: one tagged piece a shape, "
        "numbered from the lowest up, its fabrics named by colour. What is not taken is told.",
    )
    parser.add_argument("input", metavar="ART.svg", type=Path, help="the artwork's drawing")
    add_output(parser, "BLOCK.svg", "the block")
    sides = parser.add_mutually_exclusive_group(required=True)
    sides.add_argument("--width", metavar="W", type=_side, help="finished width of the artwork, mm")
    sides.add_argument(
        "--height", metavar="H", type=_side, help="its finished height instead, mm; or as in 8in"
    )
    parser.add_argument(
        "--finished",
        metavar="WxH",
        type=size,
        help="finished size of the block in mm (default: the artwork's, if it brings a background; "
        "else that rounded up to whole mm and 12.7 mm more on every side)",
    )
    parser.add_argument(
        "--strokes",
        choices=("leave", "outline"),
        default="leave",
        help="leave: lines without a fill are sewn as lines, strokes of filled shapes left out; "
        "outline: every stroke becomes a shape of its own above its shape (default: leave)",
    )
    parser.add_argument(
        "--smallest",
        metavar="MM",
        type=_smallest,
        help="shapes nowhere as wide as this are too small for fabric (default: 6, what the two "
        "sides of a satin edge and 1 mm of fabric between them take)",
    )
    parser.add_argument(
        "--small",
        choices=("line", "drop"),
        default="line",
        help="sew what is too small as plain embroidery, or drop it (default: line)",
    )
    parser.add_argument(
        "--merge-colours",
        metavar="DELTA",
        type=_delta,
        help="colours that differ by less (CIE 1976) become one fabric (default: 2; 0: none do)",
    )
    parser.add_argument(
        "--split", action="store_true", help="make every island of a shape a piece of its own"
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Import the artwork and write the block."""
    # Shapes and colours are of no concern to the other commands.
    from applique.artwork.bring import MERGE_DELTA, ImportRequest, import_artwork
    from applique.artwork.parts import SMALLEST_MM, Choices
    from applique.artwork.place import Wanted

    smallest = SMALLEST_MM if arguments.smallest is None else arguments.smallest
    delta = MERGE_DELTA if arguments.merge_colours is None else arguments.merge_colours
    request = ImportRequest(
        Wanted(arguments.width, arguments.height),
        stem_of(arguments.input),
        arguments.finished,
        Choices(arguments.strokes, arguments.small, smallest, arguments.split),
        delta,
    )
    apart_from(arguments.output, arguments.input)
    imported = import_artwork(read_svg(arguments.input).getroot(), request)
    put_in_place(arguments.output, svg_bytes(imported.tree))
    say_findings(imported.findings)
    say_block(arguments.output, imported)
    return 0


def say_block(path: Path, imported: Imported) -> None:
    """Sum up what the block holds."""
    details = sum(bool(part.detail) for part in imported.parts)
    pieces = counted(len(imported.parts) - details, "piece", "pieces")
    fabrics = {part.colour for part in imported.parts if not part.detail}
    artwork = " x ".join(compact(side, 1) for side in imported.placing.artwork_mm)
    finished = " x ".join(compact(side, 1) for side in imported.placing.finished_mm)
    background = f", on {imported.background.name}" if imported.background is not None else ""
    say(
        f"{path}: {pieces} and {counted(details, 'detail', 'details')} of "
        f"{counted(len(fabrics), 'fabric', 'fabrics')}{background}; the artwork is {artwork} mm, "
        f"the finished block {finished} mm"
    )


def _side(text: str) -> float:
    """A side of the artwork in mm; a plain number is mm too."""
    side = _length(text)
    if not LEAST_MM <= side <= MOST_MM:
        raise argparse.ArgumentTypeError(
            f"'{text}' is no size of an artwork; it must lie between {LEAST_MM:g} and "
            f"{MOST_MM:g} mm"
        )
    return side


def _smallest(text: str) -> float:
    width = _length(text)
    if not 0 <= width <= MOST_MM:
        raise argparse.ArgumentTypeError(f"it must lie between 0 and {MOST_MM:g} mm")
    return width


def _length(text: str) -> float:
    try:
        number, unit = split_length(text)
        return number * (MM_PER_UNIT[unit] if unit else 1.0)
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None
    except KeyError:
        raise argparse.ArgumentTypeError(f"'{text}' has a unit without a fixed length") from None


def _delta(text: str) -> float:
    try:
        delta = float(text)
    except ValueError:
        delta = math.nan
    if not 0 <= delta <= _MOST_DELTA:
        raise argparse.ArgumentTypeError(f"'{text}' must be a number from 0 to {_MOST_DELTA:g}")
    return delta
