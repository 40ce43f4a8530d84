"""`applique compare`: whether two machine files, or a file and a layered block, sew the same."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import millimetres
from applique.cli.commands import add_command
from applique.cli.machine_input import is_drawing, read_machine_file
from applique.cli.say import say, say_json
from applique.errors import InputError
from applique.files import read_svg
from applique.report import error

if TYPE_CHECKING:
    from applique.export.comparing import Comparison, Sewn


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "compare",
        description="Tell whether the needle goes to the same places in the same order: in two "
        "machine files, of one format or two, or in a machine file and the layered block it was "
        "made of. Ends with 0 if both sew the same, with 1 if not.",
    )
    for name in ("first", "second"):
        parser.add_argument(
            name,
            metavar=name.upper(),
            type=Path,
            help="a machine file, or a layered block (.svg)",
        )
    parser.add_argument("--json", action="store_true", help="print everything as JSON")
    parser.add_argument(
        "--tolerance",
        metavar="MM",
        type=millimetres,
        default=0.05,
        help="how far apart two needle points may lie and still count as one (default: 0.05, half "
        "a step of the frame)",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Compare two files."""
    from applique.export.comparing import compare  # The format library is slow to load.

    try:
        sides = [_sewn(path) for path in (arguments.first, arguments.second)]
    except InputError as problem:
        if not arguments.json:
            raise
        say_json(problem.findings or (error("unreadable", "", str(problem)),))
        return problem.exit_code
    found = compare(sides[0], sides[1], arguments.tolerance)
    if arguments.json:
        say_json((), found.as_dict())
    else:
        for line in _told(found):
            say(line)
    return 0 if found.equal else 1


def _sewn(path: Path) -> Sewn:
    from applique.export.comparing import sewn_from_file, sewn_from_plan

    if not is_drawing(path):
        return sewn_from_file(read_machine_file(path))
    from applique.pipeline import read_plan

    plan, _ = read_plan(read_svg(path).getroot())
    return sewn_from_plan(plan)


def _told(found: Comparison) -> list[str]:
    if found.equal:
        colours = "" if found.same_colours is None else ", in the same colours"
        return [
            f"both sew the same: {found.stitches[0]} stitches, {found.stops[0]} stops and "
            f"{found.trims[0]} trims between them{colours}"
        ]
    told = ["they differ:"]
    pairs = (
        ("stitches", found.stitches, found.first is None),
        ("stops", found.stops, found.same_stops),
        ("trims between stops", found.trims, found.same_trims),
    )
    for what, (one, other), same in pairs:
        if one != other:
            told.append(f"  {what}: {one} and {other}")
        elif not same and what != "stitches":
            told.append(f"  {what}: {one} in both, but not after the same stitches")
    if found.same_colours is False:
        told.append("  the colours are not the same")
    told += _places_told(found)
    return told


def _places_told(found: Comparison) -> list[str]:
    first = found.first
    if first is None:
        return []
    stop = f"after stop {first.after_stops}" if first.after_stops else "before the first stop"
    told = [
        f"  first at stitch {first.number}, {stop}: {_place(first.first_mm)} in the first, "
        f"{_place(first.second_mm)} in the second",
        f"  distance, stitch by stitch as far as both go: {found.largest_mm:.2f} mm at most, "
        f"{found.mean_mm:.2f} mm on average",
    ]
    if found.offset_mm is not None:
        right, down = found.offset_mm
        told.append(
            f"  the second is the first moved by {abs(right):.2f} mm "
            f"{'right' if right >= 0 else 'left'} and {abs(down):.2f} mm "
            f"{'down' if down >= 0 else 'up'}"
        )
    return told


def _place(place: tuple[float, float] | None) -> str:
    return "at its end" if place is None else f"({place[0]:.1f}, {place[1]:.1f}) mm"
