"""`applique run-sheet`: what one reads at the machine, as a page or a PDF."""

from __future__ import annotations

import argparse
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import add_input, add_output
from applique.cli.arguments import printable as words
from applique.cli.commands import add_command
from applique.cli.hoop_arguments import add_fields, add_lining, add_wishes
from applique.cli.say import say, say_findings
from applique.errors import UsageError
from applique.export.formats import FORMATS
from applique.files import apart_from, put_in_place, read_svg
from applique.names import plain_names
from applique.paper.sizes import PRINTED_ON, sheet_mm
from applique.quilt.machine import MOST_NEEDLES, Machine
from applique.report import Finding, counted

if TYPE_CHECKING:
    from lxml import etree

    from applique.paper.content import Card
    from applique.paper.run_content import RunSheet
    from applique.runsheets.wishes import Wishes


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "run-sheet",
        description="Write what one reads at the machine: a picture of the block, every stop with "
        "what to lay, trim and thread, how long it takes, needles, and the sizes to cut. Without "
        "--field the sheet is for the one file of `applique stitch`; with it, for the files of "
        "`applique hoop` with the same words.",
    )
    add_input(parser, "LAYERED.svg")
    add_output(parser, "FILE.html|FILE.pdf", "the sheet; the name's end says which of the two")
    parser.add_argument(
        "--paper",
        choices=PRINTED_ON,
        default="a4",
        help="what the PDF is printed on (default: a4)",
    )
    _add_machine(parser.add_argument_group("machine"))
    _add_guidance(parser.add_argument_group("your own words"))
    add_fields(parser.add_argument_group("hoopings: fields"))
    add_wishes(parser.add_argument_group("hoopings: what is sewn where"))
    add_lining(parser.add_argument_group("hoopings: hooping and lining up"))
    parser.set_defaults(run=run)


def _add_machine(group: Any) -> None:
    group.add_argument(
        "--format", choices=tuple(FORMATS), default="dst", help="of the stitch files (default: dst)"
    )
    group.add_argument(
        "--needles",
        metavar="single|N",
        default="single",
        type=needles,
        help="one needle, or how many the machine has: then threads are shared out among them "
        "(default: single)",
    )
    group.add_argument(
        "--speed",
        metavar="N",
        type=speed,
        default=Machine().stitches_per_minute,
        help=f"stitches a minute (default: {Machine().stitches_per_minute:.0f})",
    )


def _add_guidance(group: Any) -> None:
    group.add_argument("--needle", metavar="TEXT", default="", type=words, help="which needle")
    group.add_argument(
        "--stabiliser", metavar="TEXT", default="", type=words, help="which stabiliser"
    )
    group.add_argument(
        "--note",
        dest="notes",
        metavar="TEXT",
        action="append",
        default=[],
        type=words,
        help="anything else to be remembered; as often as needed",
    )


def needles(text: str) -> int:
    """Read `single`, or a number of needles."""
    if text == "single":
        return 1
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= MOST_NEEDLES):
        raise argparse.ArgumentTypeError(
            f"'{text}' is neither single nor a number of needles up to {MOST_NEEDLES}"
        )
    return int(text)


def speed(text: str) -> float:
    """Read stitches a minute."""
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not (math.isfinite(value) and value >= 1):
        raise argparse.ArgumentTypeError(f"'{text}' is no number of stitches a minute")
    return value


def run(arguments: argparse.Namespace) -> int:
    """Write the run sheet."""
    # The format and PDF libraries are slow to load.
    from applique.runsheets.written import ENDINGS, written

    ending = arguments.output.suffix.lower()
    if ending not in ENDINGS:
        raise UsageError(
            f"{arguments.output}: a run sheet is written as .html or .pdf; name one of them"
        )
    apart_from(arguments.output, arguments.input)
    sheet, findings = _sheet(read_svg(arguments.input).getroot(), arguments)
    data, lost = written(sheet, ending, sheet_mm(arguments.paper))
    put_in_place(arguments.output, data)
    say_findings([*findings, *lost])
    hoopings = counted(len(sheet.sittings), "hooping", "hoopings")
    stops = counted(sheet.machine_stops, "stop", "stops")
    say(f"{arguments.output}: {hoopings}, {counted(sheet.stitches, 'stitch', 'stitches')}, {stops}")
    return 0


def _sheet(
    root: etree._Element, arguments: argparse.Namespace
) -> tuple[RunSheet, tuple[Finding, ...]]:
    from applique.carding import card_of
    from applique.quilt.project import Guidance
    from applique.runsheets.sheet import run_sheet_of_block
    from applique.runsheets.wishes import Wishes

    count = arguments.needles
    machine = Machine(arguments.format, "many" if count > 1 else "single", count, arguments.speed)
    guidance = Guidance(arguments.needle, arguments.stabiliser, tuple(arguments.notes))
    wishes = Wishes(machine, guidance=guidance)
    card, findings = card_of(root)
    if arguments.fields:
        return _of_hoopings(root, card, findings, arguments, wishes)
    [stem] = plain_names([card.name or arguments.input.stem], "block")
    return run_sheet_of_block(root, card, f"{stem}.{machine.format}", wishes), findings


def _of_hoopings(
    root: etree._Element,
    card: Card,
    findings: Sequence[Finding],
    arguments: argparse.Namespace,
    wishes: Wishes,
) -> tuple[RunSheet, tuple[Finding, ...]]:
    # The solver is slow to load.
    from applique.cli.hoop_request import request_of
    from applique.cli.hoop_say import far
    from applique.cli.watch import watched
    from applique.hooping import plan_hoopings, read_layered
    from applique.hoopsheets import stitch_file_names
    from applique.runsheets.sheet import run_sheet_of_hoopings

    request = request_of(arguments, tuple(dict.fromkeys(arguments.fields)))
    with watched(math.inf, far) as told:
        hoopings = plan_hoopings(read_layered(root), request, told)
    names = stitch_file_names(hoopings.plan, wishes.machine.format)
    sheet = run_sheet_of_hoopings(hoopings.plan, request, card, names, wishes)
    return sheet, (*findings, *hoopings.findings)
