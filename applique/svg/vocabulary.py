"""The names of the tagged SVG and of the SVG it lives in, each spelled once.

docs/tagged-svg.md is the same contract in words. Names are only ever added to a version.
"""

from __future__ import annotations

AP = "https://underlap.example/svg/1"
SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
INKSCAPE = "http://www.inkscape.org/namespaces/inkscape"
SODIPODI = "http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd"

VERSION = "1"


def ap(name: str) -> str:
    """A name in the project's own namespace, as lxml spells it."""
    return f"{{{AP}}}{name}"


def svg(name: str) -> str:
    """A name in the SVG namespace, as lxml spells it."""
    return f"{{{SVG}}}{name}"


def inkscape(name: str) -> str:
    """A name in the editor's namespace, as lxml spells it."""
    return f"{{{INKSCAPE}}}{name}"


def sodipodi(name: str) -> str:
    """A name in the namespace of the editor's older names, as lxml spells it."""
    return f"{{{SODIPODI}}}{name}"


# Attributes of the root.
ROOT_VERSION = ap("version")
ROOT_BLOCK = ap("block")
ROOT_FINISHED = ap("finished")
ROOT_SEAM_ALLOWANCE = ap("seam-allowance")
ROOT_BACKGROUND = ap("background")

# Children of <metadata>.
META_FABRIC = ap("fabric")
META_DEFAULTS = ap("defaults")

# Attributes of a piece, beside the settings.
PIECE = ap("piece")
FABRIC = ap("fabric")
THREAD = ap("thread")
THREAD_NAME = ap("thread-name")
DETAIL = ap("detail")
TEMPLATE = ap("template")
TEMPLATE_VERSION = ap("template-version")
TEMPLATE_NUMBER = ap("template-number")
TEMPLATE_SET = ap("template-set")
TEMPLATE_SIZE = ap("template-size")
TEMPLATE_AREA = ap("template-area")
TEMPLATE_PERIMETER = ap("template-perimeter")
TEMPLATE_PAGE = ap("template-page")
TEMPLATE_ONCE = ap("template-once")
PIECE_NAMES = frozenset(
    {
        "piece",
        "fabric",
        "thread",
        "thread-name",
        "detail",
        "template",
        "template-version",
        "template-number",
        "template-set",
        "template-size",
        "template-area",
        "template-perimeter",
        "template-page",
        "template-once",
    }
)

# The root of a library of templates, and of a block composed from one.
ROOT_LIBRARY = ap("library")
ROOT_COMPOSED = ap("composed")
LIBRARY_VERSION = "1"

# The layers, steps, cut lines and sheets.
ROLE = ap("role")
ROLE_STITCHING = "stitching"
ROLE_CUTTING = "cutting"
ROLE_HOOPING = "hooping"
ROLE_SHEETS = "sheets"
HOOPING = ap("hooping")
CROSS = ap("cross")
STEP = ap("step")
SOURCE = ap("source")
DIGEST = ap("digest")
MADE = ap("made")
PAUSE = ap("pause")
AFTER = ap("after")
CUT = ap("cut")
GRAIN = ap("grain")
TURN = ap("turn")
FLAT = ap("flat")
CLIPS = ap("clips")
SHEET = ap("sheet")
SHEET_NUMBER = ap("sheet-number")
FACE = ap("face")

STEP_KINDS = (
    "placement",
    "tack",
    "trim-line",
    "underlay",
    "edge",
    "detail",
    "travel",
    "align",
    "baste",
)
CUT_KINDS = ("outline", "allowance", "patch", "template")
TURNS = ("any", "half", "none")

SHAPES = tuple(
    svg(name) for name in ("path", "rect", "circle", "ellipse", "polygon", "polyline", "line")
)
"""Elements that draw an outline of their own."""

NEVER_DRAWN = frozenset(
    svg(name)
    for name in (
        "defs",
        "symbol",
        "clipPath",
        "mask",
        "marker",
        "pattern",
        "linearGradient",
        "radialGradient",
        "metadata",
        "style",
        "script",
        "title",
        "desc",
        "filter",
        "foreignObject",
    )
)
"""Elements whose children are not part of the picture where they stand."""
