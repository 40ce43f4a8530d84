"""What the dialog of Pieces from Scan asks."""

from __future__ import annotations

from applique.editor.parameters import Page, Parameter
from applique.papers import PAPERS_MM

_SCAN_PAGE = Page(
    "Page",
    (
        Parameter(
            "file",
            "file",
            "File",
            "A scan or photo of the traced page. Not needed if a picture in the drawing is "
            "selected.",
            "",
            suffixes=("png", "jpg", "jpeg", "tif", "tiff", "pdf"),
        ),
        Parameter(
            "dpi",
            "number",
            "Resolution (dpi)",
            "Of a scan. 0 takes what the file says.",
            "0",
            0,
            2400,
        ),
        Parameter(
            "paper",
            "choice",
            "Paper",
            "The sheet that a photo shows, or that was scanned whole.",
            "",
            choices=(("", "not said"), *((name, name) for name in PAPERS_MM)),
        ),
        Parameter(
            "ink_edge",
            "choice",
            "Edge of the ink",
            "Which edge of the line is the outline: the one next to the template, the line's "
            "middle, or the far one, which makes every piece larger and rounds its points.",
            "near",
            choices=(("near", "near"), ("centre", "centre"), ("far", "far")),
        ),
    ),
)

_NUMBERS_PAGE = Page(
    "Numbers",
    (
        Parameter("first", "whole", "First number", "Of the first outline.", "1", 0, 99999),
        Parameter(
            "numbers",
            "text",
            "Numbers outright",
            "In reading order, with commas: A1,A2,B7. Empty counts on from the first number.",
            "",
        ),
        Parameter(
            "keep_marks",
            "yes-no",
            "Keep marks as lines",
            "Marks inside a shape, but for its number, become lines.",
            "false",
        ),
    ),
)

SCAN_PAGES = (_SCAN_PAGE, _NUMBERS_PAGE)
