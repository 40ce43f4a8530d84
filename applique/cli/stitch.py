"""`applique stitch`: the sewing layer as a machine file."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import add_output, ids
from applique.cli.commands import add_command
from applique.cli.machine_input import is_drawing, read_machine_file
from applique.cli.resumed import (
    check_words,
    part_of_pieces,
    say_from_stop,
    say_only,
    stop_number,
)
from applique.cli.say import say, say_findings
from applique.errors import UsageError
from applique.export.formats import FORMATS
from applique.files import apart_from, put_in_place, read_svg
from applique.report import Finding, counted, warning

if TYPE_CHECKING:
    from applique.model import Plan

CENTRING = ("note", "marks", "box")


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "stitch",
        description=f"Write the stitches of a layered block as {', '.join(FORMATS)}; the format is "
        "told by the file's suffix. Every file is read back and compared before it is put in "
        "place. A machine file can be written anew as well, whole or from a stop on.",
    )
    parser.add_argument(
        "input",
        metavar="LAYERED.svg|FILE.EXT",
        type=Path,
        help="the layered block, or a machine file to be written anew",
    )
    add_output(parser, "FILE.EXT", "the machine file")
    parser.add_argument(
        "--centre",
        choices=CENTRING,
        default="note",
        help="where the stitches are lopsided about the block's centre: tell the offset (note), or "
        "sew corner marks or a basting box first, so that the machine centres the block rightly",
    )
    parser.add_argument(
        "--from-stop",
        metavar="N",
        type=stop_number,
        help="only what is sewn after stop N, to go on after a broken needle, say; stops are "
        "counted as on the run sheet, from 1. Marks and boxes are refused with it: they would be "
        "sewn on the fabric that lies there by now. The offset is told instead",
    )
    parser.add_argument(
        "--only",
        metavar="LABEL,LABEL",
        type=ids,
        help="only these pieces, all their steps in order, to sew a spoiled one again; marks "
        "and boxes are refused here, too",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Write a machine file."""
    from applique.export.machine import machine_file  # The format library is slow to load.

    suffix = format_of(arguments.output)
    check_words(arguments.from_stop, arguments.only, arguments.centre)
    whole, part, findings = _plans(arguments)
    plan = centred(part, arguments.centre)
    made = machine_file(plan, suffix)
    put_in_place(apart_from(arguments.output, arguments.input), made.data)
    say_findings(findings)
    say(
        f"{arguments.output}: {counted(made.stitch_count, 'stitch', 'stitches')}, "
        f"{counted(len(plan.blocks) - 1, 'stop', 'stops')}, read back equal"
    )
    if arguments.from_stop is not None:
        say_from_stop(whole, part, arguments.from_stop)
    elif arguments.only is not None:
        say_only(whole, part, arguments.only)
    else:
        say_offset(plan)
    if made.thread_kept:
        blocks = "block" if len(made.thread_kept) == 1 else "blocks"
        listed = ", ".join(str(number) for number in made.thread_kept)
        say(f"keep the thread at colour {blocks} {listed}, whatever colour the machine shows there")
    return 0


def _plans(arguments: argparse.Namespace) -> tuple[Plan, Plan, tuple[Finding, ...]]:
    """The plan of the input, and what of it is to be sewn."""
    from applique.pipeline import read_plan
    from applique.sequence.resume import from_stop

    if is_drawing(arguments.input):
        root = read_svg(arguments.input).getroot()
        whole, findings = read_plan(root)
        if arguments.only is not None:
            return whole, part_of_pieces(root, whole, arguments.only), findings
    elif arguments.only is not None:
        raise UsageError("--only: a machine file knows no pieces; give the layered block")
    else:
        whole, findings = _plan_of_file(arguments.input)
    if arguments.from_stop is not None:
        return whole, from_stop(whole, arguments.from_stop), findings
    return whole, whole, findings


def _plan_of_file(path: Path) -> tuple[Plan, tuple[Finding, ...]]:
    from applique.sequence.resume import cut_at_long_moves

    reading = read_machine_file(path)
    plan, cuts = cut_at_long_moves(reading.plan)
    if not cuts:
        return plan, reading.findings
    text = f"{counted(cuts, 'move', 'moves')} longer than any stitch became trims"
    return plan, (*reading.findings, warning("long-move", str(path), text))


def format_of(path: Path) -> str:
    """The format a file's suffix asks for; raises UsageError if it is none of ours."""
    suffix = path.suffix.lower().lstrip(".")
    if suffix not in FORMATS:
        known = ", ".join(FORMATS)
        raise UsageError(f"{path.name}: no machine format has this suffix; use one of {known}")
    return suffix


def centred(plan: Plan, how: str) -> Plan:
    """The plan with marks or a box, if it is lopsided and they were asked for."""
    from applique.sequence.centre import is_lopsided, with_basting_box, with_corner_marks

    if how == "note" or not is_lopsided(plan):
        return plan
    return with_corner_marks(plan) if how == "marks" else with_basting_box(plan)


def say_offset(plan: Plan) -> None:
    """Tell where the middle of the stitches lies, if that is not the block's centre."""
    from applique.sequence.centre import is_lopsided, offset_from_centre, way_told

    if not is_lopsided(plan):
        return
    right, down = offset_from_centre(plan)
    say(
        f"the middle of the stitches lies {way_told(right, down)} the block's centre; a machine "
        "that centres on the stitches needs this offset, or --centre marks"
    )
