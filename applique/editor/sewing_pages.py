"""What the dialogs of Run Sheet and Stitch-out Page ask."""

from __future__ import annotations

from applique.editor.hoop_pages import SEWN_IN_PAGE
from applique.editor.parameters import Page, Parameter
from applique.export.formats import FORMATS
from applique.paper.sizes import PRINTED_ON
from applique.quilt.machine import FASTEST, MOST_NEEDLES, SLOWEST, Machine

RUN_SHEET_ENDING = "-run-sheet.html"
STITCH_OUT_ENDING = "-stitch-out.html"
"""What follows the drawing's name in those of the files, where no other name is given."""

_MACHINE = Machine()

_SHEET_PAGE = Page(
    "Sheet",
    (
        Parameter(
            "file",
            "new-file",
            "File",
            "The name's end says what is written, .html or .pdf. A name without a folder lies "
            f"beside the drawing; empty is gull{RUN_SHEET_ENDING} for gull.svg.",
            "",
            suffixes=("html", "pdf"),
        ),
        Parameter(
            "paper",
            "choice",
            "Paper",
            "What a PDF is printed on.",
            PRINTED_ON[0],
            choices=tuple((name, name) for name in PRINTED_ON),
        ),
        Parameter("needle", "text", "Needle", "Which needle to take, in your own words.", ""),
        Parameter(
            "stabiliser", "text", "Stabiliser", "Which stabiliser to take, in your own words.", ""
        ),
    ),
)

_MACHINE_PAGE = Page(
    "Machine",
    (
        Parameter(
            "format",
            "choice",
            "Format",
            "Of the stitch files.",
            _MACHINE.format,
            choices=tuple((name, name) for name in FORMATS),
        ),
        Parameter(
            "needles",
            "whole",
            "Needles",
            "How many the machine has that change thread by themselves.",
            f"{_MACHINE.needle_count}",
            1,
            MOST_NEEDLES,
        ),
        Parameter(
            "speed",
            "whole",
            "Stitches a minute",
            "What the minutes are reckoned with.",
            f"{_MACHINE.stitches_per_minute:.0f}",
            SLOWEST,
            FASTEST,
        ),
    ),
)

RUN_SHEET_PAGES = (_SHEET_PAGE, _MACHINE_PAGE, SEWN_IN_PAGE)

_PAGE_PAGE = Page(
    "Page",
    (
        Parameter(
            "file",
            "new-file",
            "File",
            "Ends in .html. A name without a folder lies beside the drawing; empty is "
            f"gull{STITCH_OUT_ENDING} for gull.svg.",
            "",
            suffixes=("html",),
        ),
        Parameter("open", "yes-no", "Open it in the browser", "Else its place is told.", "true"),
    ),
)

STITCH_OUT_PAGES = (_PAGE_PAGE, SEWN_IN_PAGE)
