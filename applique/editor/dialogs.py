"""The editor's dialogs as data."""

from __future__ import annotations

from collections.abc import Mapping

from applique.editor.cut_pages import CUT_PAGES
from applique.editor.parameters import Dialog, Page, Parameter, setting_parameter
from applique.export.formats import FORMATS
from applique.hoops.request import MARGIN_MM
from applique.papers import PAPERS_MM
from applique.settings import SPECS

MENU = "Appliqué"


def _settings_pages() -> tuple[Page, ...]:
    groups: dict[str, list[Parameter]] = {}
    for spec in SPECS.values():
        groups.setdefault(spec.group, []).append(setting_parameter(spec))
    return tuple(Page(title, tuple(parameters)) for title, parameters in groups.items())


_REPLACE_EDITED = Parameter(
    "replace_edited",
    "yes-no",
    "Replace steps edited by hand",
    "Steps whose stitches were moved by hand are kept unless this is set.",
    "false",
)

_BLOCK_PAGE = Page(
    "Block",
    (
        Parameter(
            "finished_width",
            "number",
            "Finished width (mm)",
            "Width of the finished block, centred on the page. 0 leaves it as it is set.",
            "0",
            0,
            2000,
        ),
        Parameter(
            "finished_height",
            "number",
            "Finished height (mm)",
            "Height of the finished block. 0 leaves it as it is set.",
            "0",
            0,
            2000,
        ),
        _REPLACE_EDITED,
    ),
)

_FABRIC_PAGE = Page(
    "Fabric and edge",
    (
        Parameter("fabric", "text", "Fabric", "Name of the fabric. Empty leaves it as it is.", ""),
        Parameter(
            "thread",
            "text",
            "Thread colour",
            "Colour of the edge's thread as #rrggbb. Empty leaves it as it is.",
            "",
        ),
        *(setting_parameter(SPECS[name]) for name in ("method", "edge", "detail", "thread-weight")),
        *(
            setting_parameter(SPECS[name])
            for name in ("edge-width", "edge-outside", "edge-spacing", "edge-inset")
        ),
    ),
)

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

_PLACE_PAGE = Page(
    "Templates",
    (
        Parameter(
            "library",
            "file",
            "Library",
            "The file of the library. A name without a folder is looked for beside the drawing.",
            "",
            suffixes=("svg",),
        ),
        Parameter(
            "templates",
            "text",
            "Templates",
            "Numbers or whole names, with commas: 17, 3, 3. A number that is there twice is placed "
            "twice.",
            "",
        ),
        Parameter(
            "size",
            "number",
            "Size (%)",
            "100 is true to the template; a piece of any other size is marked as not true to it.",
            "100",
            5,
            2000,
        ),
        Parameter("turn", "number", "Turn (°)", "Clockwise, in degrees.", "0", -360, 360),
        Parameter("mirror", "yes-no", "Mirror", "Left and right change places.", "false"),
    ),
)

_HOOPING_PAGE = Page(
    "Fields",
    (
        Parameter(
            "fields",
            "text",
            "Fields owned",
            "Sizes in mm with commas: 130x180, 160x260. The plan may mix them.",
            "130x180",
        ),
        Parameter(
            "turn",
            "yes-no",
            "Turn the block",
            "The block may lie turned by a quarter in a frame.",
            "false",
        ),
        Parameter(
            "margin",
            "number",
            "Margin (mm)",
            "Kept free inside a field on each side.",
            f"{MARGIN_MM:g}",
            0,
            100,
        ),
        Parameter(
            "too_large",
            "choice",
            "Pieces larger than every field",
            "Sew their edges in stretches, or leave them to the sewing machine.",
            "stretches",
            choices=(("stretches", "in stretches"), ("sewing-machine", "on the sewing machine")),
        ),
    ),
)

EFFECTS: Mapping[str, Dialog] = {
    dialog.key: dialog
    for dialog in (
        Dialog(
            "scan",
            "Pieces from Scan",
            "Make outlines at true size of the templates traced on a page, over its picture.",
            (_SCAN_PAGE, _NUMBERS_PAGE),
        ),
        Dialog(
            "place",
            "Place from Library",
            "Place templates of a library in the drawing, as clones linked to them.",
            (_PLACE_PAGE,),
        ),
        Dialog(
            "layers",
            "Make Layers",
            "Make stitch and cut layers of the selected closed paths, or of all pieces.",
            (*_settings_pages(), _BLOCK_PAGE),
        ),
        Dialog(
            "refresh",
            "Refresh Layers",
            "Make the steps anew that no longer fit the drawing, and only those.",
            (Page("Refresh", (_REPLACE_EDITED,)),),
        ),
        Dialog(
            "tag",
            "Fabric and Edge",
            "Say of which fabric the selected pieces are and how their edges are finished.",
            (_FABRIC_PAGE,),
        ),
        Dialog(
            "hoop",
            "Hooping Plan",
            "Draw the fewest hoopings of the block and their crosses as a locked layer over it.",
            (_HOOPING_PAGE,),
        ),
        Dialog(
            "cut",
            "Cut Sheets",
            "Lay the pieces of each fabric on sheets, write the files and draw the sheets beside "
            "the block.",
            CUT_PAGES,
        ),
        Dialog("check", "Check Block", "Look the block over before it is sewn.", ()),
    )
}
"""The menu entries by key."""

OUTPUTS: Mapping[str, Dialog] = {
    f"save-{suffix}": Dialog(f"save-{suffix}", format.title, f"Save the stitches as {suffix}.", ())
    for suffix, format in FORMATS.items()
}
"""The output formats by key."""
