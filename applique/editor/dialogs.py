"""The editor's dialogs as data."""

from __future__ import annotations

from collections.abc import Mapping

from applique.editor.cut_pages import CUT_PAGES
from applique.editor.hoop_pages import HOOPING_PAGE
from applique.editor.parameters import Dialog, Page, Parameter, setting_parameter
from applique.editor.scan_pages import SCAN_PAGES
from applique.editor.sewing_pages import RUN_SHEET_PAGES, STITCH_OUT_PAGES
from applique.export.formats import FORMATS
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

EFFECTS: Mapping[str, Dialog] = {
    dialog.key: dialog
    for dialog in (
        Dialog(
            "scan",
            "Pieces from Scan",
            "Make outlines at true size of the templates traced on a page, over its picture.",
            SCAN_PAGES,
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
            (HOOPING_PAGE,),
        ),
        Dialog(
            "cut",
            "Cut Sheets",
            "Lay the pieces of each fabric on sheets, write the files and draw the sheets beside "
            "the block.",
            CUT_PAGES,
        ),
        Dialog(
            "run-sheet",
            "Run Sheet",
            "Write what is read at the machine: every stop, with what is done at it.",
            RUN_SHEET_PAGES,
        ),
        Dialog(
            "stitch-out",
            "Stitch-out Page",
            "Write a page that plays the sewing, stitch by stitch, and open it in the browser.",
            STITCH_OUT_PAGES,
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
