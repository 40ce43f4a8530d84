"""Every key of quilt.toml: the reader and the schema are made from them.

What there is to sew with stands in `stock_keys.py`. Lengths are millimetres. Defaults that are not
told here are told where they are defined.
"""

from __future__ import annotations

from collections.abc import Sequence

from applique.cutting.usual import MOST_COPIES
from applique.quilt.key import NARROWEST_MM, Key, length, width
from applique.quilt.project import Handwork
from applique.quilt.stock_keys import CUTTING, FABRIC, THREADS, machine
from applique.svg.document import SEAM_ALLOWANCE_MM, WIDEST_SEAM_ALLOWANCE_MM
from applique.units import MM_PER_INCH

BEYOND_MM = 4 * MM_PER_INCH
"""Backing and batting beyond the top on each side (common practice: 4 in)."""

MOST_WEEKS = 520

_LONGEST_MINUTES = 600.0
_FURTHEST_BEYOND_MM = 1000.0
_HAND = Handwork()


def _minutes(name: str, help: str, default: float) -> Key:
    return Key(name, "number", f"Minutes {help}.", default, low=0, high=_LONGEST_MINUTES)


PAPERS = (Key("paper", "paper", "What is printed on: a4, letter, or WIDTHxHEIGHT in mm.", "a4"),)

HANDWORK = (
    _minutes("laying", "to lay a piece", _HAND.laying_minutes),
    _minutes("trimming", "to trim a piece in the hoop", _HAND.trimming_minutes),
    _minutes("threading", "to change the thread", _HAND.threading_minutes),
    _minutes("hooping", "to hoop a block", _HAND.hooping_minutes),
)

GUIDANCE = (
    Key("needle", "text", "Your needle, in your own words.", ""),
    Key("stabiliser", "text", "Your stabiliser, in your own words.", ""),
    Key("notes", "texts", "What every run sheet is to say."),
)

STRIP = (
    width("Its finished width; of the binding, the width its strips are cut.", needed=True),
    Key("fabric", "text", "A name of [fabrics]; left out where none is chosen yet.", ""),
)

LINING = (
    width("The width it comes in.", needed=True),
    length("beyond", "Beyond the top on each side.", BEYOND_MM, high=_FURTHEST_BEYOND_MM),
    Key("name", "text", "What it is.", ""),
)

QUILT = (
    Key("rows", "rows", 'Names of blocks, row by row from the top; "" for an empty place.'),
    Key("sashing", "table", "Strips between blocks.", keys=STRIP),
    Key("cornerstone", "text", "The fabric of the squares where sashing crosses.", ""),
    Key("borders", "tables", "Borders, from the inside outwards.", keys=STRIP),
    Key("binding", "table", "The binding.", keys=STRIP),
    Key("backing", "table", "The fabric behind the quilt.", keys=LINING),
    Key("batting", "table", "What lies between.", keys=LINING),
    length("stabiliser-width", "Of the roll that blocks are hooped with.", low=NARROWEST_MM),
    length(
        "seam-allowance",
        "Of the seams that join blocks and strips.",
        SEAM_ALLOWANCE_MM,
        high=WIDEST_SEAM_ALLOWANCE_MM,
    ),
)

BLOCK = (
    Key("name", "text", "What it is called; its files get a plain name made of it.", needed=True),
    Key("file", "file", "Its drawing. A block has a file or a layout.", choices=("svg",)),
    Key("layout", "file", "Its layout. A block has a file or a layout.", choices=("toml",)),
    Key(
        "copies",
        "whole",
        "How often it is made; as often as the rows place it, unless told.",
        low=1,
        high=MOST_COPIES,
    ),
    Key("finished", "size", "Its finished size, as in 254x254; the file's own unless told."),
    length(
        "seam-allowance",
        "Around it; the file's own unless told.",
        high=WIDEST_SEAM_ALLOWANCE_MM,
    ),
    Key("week", "whole", "In which week it is made; 0 for none.", 0, low=0, high=MOST_WEEKS),
    Key("settings", "settings", "Stitch settings of this block, over those of its file."),
)


def project(formats: Sequence[str]) -> tuple[Key, ...]:
    """The keys of the whole file; `formats` are the endings of the stitch files that can be
    written."""
    threads = "The threads that may be used; any colour unless told."
    return (
        Key("name", "text", "What the quilt is called.", needed=True),
        Key("fabrics", "named", "Every fabric by its name: a colour, or a table.", keys=FABRIC),
        Key("threads", "table", threads, keys=THREADS),
        Key("machine", "table", "What is sewn with.", keys=machine(formats)),
        Key("cutting", "table", "How pieces are cut.", keys=CUTTING),
        Key("papers", "table", "What is printed on.", keys=PAPERS),
        Key("handwork", "table", "How long your hands take.", keys=HANDWORK),
        Key("guidance", "table", "Your own words on every run sheet.", keys=GUIDANCE),
        Key("defaults", "settings", "Stitch settings of every block."),
        Key("quilt", "table", "How the blocks make a quilt.", keys=QUILT),
        Key("block", "tables", "The blocks, each under [[block]].", needed=True, keys=BLOCK),
    )
