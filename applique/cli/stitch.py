"""`applique stitch`: the sewing layer as a machine file."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from applique.cli.arguments import add_input, add_output
from applique.cli.say import say, say_findings
from applique.errors import UsageError
from applique.export.formats import FORMATS
from applique.files import put_in_place, read_svg
from applique.model import Plan
from applique.pipeline import read_plan
from applique.report import counted
from applique.sequence.centre import (
    is_lopsided,
    offset_from_centre,
    with_basting_box,
    with_corner_marks,
)

CENTRING = ("note", "marks", "box")


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = subparsers.add_parser(
        "stitch",
        help="write a machine file",
        description=f"Write the stitches of a layered block as {', '.join(FORMATS)}; the format is "
        "told by the file's suffix. Every file is read back and compared before it is put in "
        "place.",
        allow_abbrev=False,
    )
    add_input(parser, "LAYERED.svg")
    add_output(parser, "FILE.EXT", "the machine file")
    parser.add_argument(
        "--centre",
        choices=CENTRING,
        default="note",
        help="where the stitches are lopsided about the block's centre: tell the offset (note), or "
        "sew corner marks or a basting box first, so that the machine centres the block rightly",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Write a machine file."""
    from applique.export.machine import machine_file  # The format library is slow to load.

    suffix = format_of(arguments.output)
    plan, findings = read_plan(read_svg(arguments.input).getroot())
    plan = centred(plan, arguments.centre)
    made = machine_file(plan, suffix)
    put_in_place(arguments.output, made.data)
    say_findings(findings)
    say(
        f"{arguments.output}: {counted(made.stitch_count, 'stitch', 'stitches')}, "
        f"{counted(len(plan.blocks) - 1, 'stop', 'stops')}, read back equal"
    )
    say_offset(plan)
    if made.thread_kept:
        blocks = "block" if len(made.thread_kept) == 1 else "blocks"
        listed = ", ".join(str(number) for number in made.thread_kept)
        say(f"keep the thread at colour {blocks} {listed}, whatever colour the machine shows there")
    return 0


def format_of(path: Path) -> str:
    """The format a file's suffix asks for; raises UsageError if it is none of ours."""
    suffix = path.suffix.lower().lstrip(".")
    if suffix not in FORMATS:
        known = ", ".join(FORMATS)
        raise UsageError(f"{path.name}: no machine format has this suffix; use one of {known}")
    return suffix


def centred(plan: Plan, how: str) -> Plan:
    """The plan with marks or a box, if it is lopsided and they were asked for."""
    if how == "note" or not is_lopsided(plan):
        return plan
    return with_corner_marks(plan) if how == "marks" else with_basting_box(plan)


def say_offset(plan: Plan) -> None:
    """Tell where the middle of the stitches lies, if that is not the block's centre."""
    if not is_lopsided(plan):
        return
    right, down = offset_from_centre(plan)
    say(
        f"the middle of the stitches lies {abs(right):.1f} mm {'right' if right >= 0 else 'left'} "
        f"and {abs(down):.1f} mm {'below' if down >= 0 else 'above'} the block's centre; a machine "
        "that centres on the stitches needs this offset, or --centre marks"
    )
