"""`applique card`: the block card, a PDF or an HTML page to be printed."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import add_input, add_output
from applique.cli.commands import add_command
from applique.cli.say import say, say_findings
from applique.errors import UsageError
from applique.files import apart_from, put_in_place, read_svg
from applique.paper.sizes import PRINTED_ON, sheet_mm
from applique.report import Finding, counted, first_of, warning

if TYPE_CHECKING:
    from applique.paper.card import NoRoom
    from applique.paper.drawing import Printout

_MOST_LABELS = 5
"""So many labels are told, and how many others there are."""


def add_parser(subparsers: Any) -> None:
    """Add the command."""
    parser = add_command(
        subparsers,
        "card",
        description="Write what one reads at the table: a picture of the block with the pieces' "
        "numbers, the table of pieces by fabric in laying order, and laying pages at true size.",
    )
    add_input(parser, "BLOCK.svg")
    add_output(parser, "FILE.pdf|FILE.html", "the card; the name's end says which of the two")
    parser.add_argument(
        "--paper",
        choices=PRINTED_ON,
        default="a4",
        help="what it is printed on (default: a4)",
    )
    parser.set_defaults(run=run)


def run(arguments: argparse.Namespace) -> int:
    """Write the card."""
    # Geometry is slow to load.
    from applique.carding import card_of
    from applique.paper.card import card_printout

    kind = arguments.output.suffix.lower()
    if kind not in (".pdf", ".html"):
        raise UsageError(
            f"{arguments.output}: a card is written as .pdf or .html; name one of them"
        )
    apart_from(arguments.output, arguments.input)
    card, findings = card_of(read_svg(arguments.input).getroot())
    printout, no_room = card_printout(card, sheet_mm(arguments.paper))
    told = [*findings, *_no_room(no_room)]
    data, lost = _written(printout, kind)
    put_in_place(arguments.output, data)
    say_findings([*told, *lost])
    pages = counted(len(printout.pages), "page", "pages")
    pieces = counted(len(card.pieces), "piece", "pieces")
    say(f"{arguments.output}: {pages}, {pieces}; print it at 100 %, no fit to page")
    return 0


def _written(printout: Printout, kind: str) -> tuple[bytes, list[Finding]]:
    if kind == ".html":
        from applique.paper.html import html_bytes

        return html_bytes(printout), []
    from applique.paper.pdf import lost_letters, pdf_bytes  # The PDF library is slow to load.

    return pdf_bytes(printout), lost_letters(printout, "the card")


def _no_room(no_room: NoRoom) -> list[Finding]:
    """A warning for the numbers that stand on the laying pages alone, one for those that don't."""
    told = []
    for labels, where, remedy in (
        (no_room.picture, "picture", "look on the laying pages"),
        (no_room.laying, "laying pages", "find them by the picture and their sizes"),
    ):
        if labels:
            count = counted(len(labels), "number", "numbers")
            named = first_of(labels, _MOST_LABELS)
            text = f"no room on the {where} for {count}: {named}; {remedy}"
            told.append(warning("no-room", "", text))
    return told
