"""What the dialog of Cut Sheets asks."""

from __future__ import annotations

from applique.cutting.usual import GAP_MM, MARGIN_MM, MAT_NAME, MOST_COPIES
from applique.editor.parameters import Page, Parameter
from applique.papers import PAPERS_MM

USUAL_GAP = -1.0
"""The gap that stands for the usual one of what cuts."""

_USUAL_PAPER = "a4"
_PAPERS = (_USUAL_PAPER, *(name for name in PAPERS_MM if name != _USUAL_PAPER))
"""The editor takes the first of some choices where nobody has chosen."""

_SHEETS_PAGE = Page(
    "Sheets",
    (
        Parameter(
            "sheets",
            "text",
            "Sheets owned",
            "Sizes in mm with commas, and how many there are of one if not as many as needed: "
            "305x305, 305x610=2.",
            MAT_NAME,
        ),
        Parameter(
            "margin",
            "number",
            "Margin (mm)",
            "Kept free along a sheet's border.",
            f"{MARGIN_MM:g}",
            0,
            100,
        ),
        Parameter(
            "gap",
            "number",
            "Gap (mm)",
            f"Kept free between pieces. {USUAL_GAP:g} takes the usual: {GAP_MM['cutter']:g} for a "
            f"cutter, {GAP_MM['scissors']:g} for scissors.",
            f"{USUAL_GAP:g}",
            USUAL_GAP,
            100,
        ),
        Parameter(
            "face",
            "choice",
            "Fabric lies",
            "Wrong side up, for fusible web with the paper up, is mirrored.",
            "wrong",
            choices=(("wrong", "wrong side up"), ("right", "right side up")),
        ),
        Parameter("copies", "whole", "Copies", "Cut everything so often.", "1", 1, MOST_COPIES),
    ),
)

_FILES_PAGE = Page(
    "Files",
    (
        Parameter(
            "folder",
            "folder",
            "Folder",
            "Empty makes one beside the drawing, named after it: gull-cut for gull.svg.",
            "",
        ),
        Parameter(
            "tool",
            "choice",
            "Files for",
            "A cutting machine, or patterns at true size for scissors.",
            "cutter",
            choices=(("cutter", "a cutter"), ("scissors", "scissors")),
        ),
        Parameter(
            "paper",
            "choice",
            "Paper",
            "What maps and patterns are printed on.",
            _USUAL_PAPER,
            choices=tuple((name, name) for name in _PAPERS),
        ),
    ),
)

CUT_PAGES = (_SHEETS_PAGE, _FILES_PAGE)
