"""The keys of quilt.toml that tell what there is to sew with: fabrics, threads, machine, sheets.

Lengths are millimetres. Defaults that are not told here are told where they are defined.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import get_args

from applique.cutting.pieces import Face
from applique.cutting.usual import GAP_MM, MARGIN_MM, USABLE_WIDTH_MM, WEB_WIDTH_MM, Tool
from applique.hoops.request import TooLarge
from applique.hoops.sewing import Hold, Order
from applique.hoops.usual import BORDER_MM, GRIP_MM, READING_MM
from applique.hoops.usual import MARGIN_MM as HOOP_MARGIN_MM
from applique.quilt.key import NARROWEST_MM, Key, length, width
from applique.quilt.machine import FASTEST, MOST_NEEDLES, SLOWEST, Machine
from applique.svg.vocabulary import TURNS
from applique.threads.spool import USUAL_SPOOL_M, USUAL_WEIGHT
from applique.threads.table import COARSEST_WEIGHT, FINEST_WEIGHT, LONGEST_SPOOL_M

MOST_NESTING_S = 3600.0

_WIDEST_GAP_MM = 100.0
_LARGEST_FRAME_MM = 300.0

_PICTURES = ("png", "jpg", "jpeg", "tif", "tiff", "webp")

FABRIC = (
    Key("colour", "colour", "What it looks like from afar, as #rrggbb.", "#808080"),
    Key("turn", "choice", "How its print may be turned on a sheet.", "any", choices=TURNS),
    Key("grain", "number", "Where its grain runs, in degrees.", low=-360, high=360),
    width("Its usable width, selvedges off."),
    Key("price", "number", "What a metre costs.", low=0, high=1e6),
    Key(
        "swatch",
        "file",
        "A photograph of it, flat and straight.",
        choices=_PICTURES,
        only_with="swatch-size",
    ),
    Key(
        "swatch-size",
        "size",
        "The true size of what the photograph shows, as in 100x80.",
        only_with="swatch",
    ),
)

SPOOL = (
    Key("name", "text", "What is written on it.", needed=True),
    Key("colour", "hex", "As #rrggbb.", needed=True),
    Key(
        "weight",
        "whole",
        "The higher, the finer.",
        int(USUAL_WEIGHT),
        low=COARSEST_WEIGHT,
        high=FINEST_WEIGHT,
    ),
    Key("metres", "number", "On a full spool.", USUAL_SPOOL_M, low=0, high=LONGEST_SPOOL_M),
)

THREADS = (
    Key("table", "file", "A table of your threads, in a file of its own.", choices=("toml",)),
    Key("usual", "yes", "Take the table that comes with the program.", False),
    Key("spool", "tables", "Your threads, one by one.", keys=SPOOL),
)

CUTTING = (
    Key("tool", "choice", "What pieces are cut with.", "cutter", choices=get_args(Tool)),
    Key("sheets", "sizes", "Sheets or mats, as in 305x610, or 305x610=2 where there are two."),
    length("margin", "Free along a sheet's border.", MARGIN_MM, high=_WIDEST_GAP_MM),
    length(
        "gap",
        f"Free between pieces: {GAP_MM['cutter']:g} mm for a cutter, {GAP_MM['scissors']:g} mm for "
        "scissors, unless told.",
        high=_WIDEST_GAP_MM,
    ),
    Key("face", "choice", "Which side of the fabric lies up.", "wrong", choices=get_args(Face)),
    length(
        "usable-width",
        "Of fabric from the bolt, where the fabric has no width of its own.",
        USABLE_WIDTH_MM,
        NARROWEST_MM,
    ),
    length("web-width", "Of fusible web.", WEB_WIDTH_MM, NARROWEST_MM),
    Key("mixed", "yes", "Let several fabrics share a sheet.", False),
    Key(
        "seconds",
        "number",
        "How long sheets may be improved on; 0 gives the same sheets every time.",
        0.0,
        low=0,
        high=MOST_NESTING_S,
    ),
)

_HOOPING = (
    Key("turn", "yes", "Let a block lie turned in the hoop.", False),
    length("margin", "Free inside a field on each side.", HOOP_MARGIN_MM, high=_WIDEST_GAP_MM),
    Key(
        "order",
        "choice",
        "Within a hooping: the fewest colour blocks, piece by piece, or as the file has it.",
        "fewest",
        choices=get_args(Order),
    ),
    Key(
        "too-large",
        "choice",
        "What becomes of a piece larger than every hoop.",
        "stretches",
        choices=get_args(TooLarge),
    ),
    length("misreading", "How far off a cross is read.", READING_MM, 0.01, 10),
    Key(
        "hold",
        "choice",
        "The block is hooped; boxed, with a basting box sewn first; or laid on hooped stabiliser.",
        "hooped",
        choices=get_args(Hold),
    ),
    length(
        "frame-border",
        "How far the frame reaches beyond its field.",
        BORDER_MM,
        high=_LARGEST_FRAME_MM,
    ),
    length(
        "grip",
        "How far the background must reach beyond the field to be held.",
        GRIP_MM,
        high=_LARGEST_FRAME_MM,
    ),
)
"""What has no meaning without hoops."""


def machine(formats: Sequence[str]) -> tuple[Key, ...]:
    """The keys of the machine; `formats` are the endings of the stitch files that can be
    written."""
    usual = Machine()
    return (
        Key("format", "choice", "Of the stitch files.", usual.format, choices=tuple(formats)),
        Key("hoops", "sizes", "The hoops' fields, as in 130x180 or 5x7in."),
        Key(
            "needles",
            "needles",
            '"single", or how many needles it has that change thread by themselves.',
            usual.needles,
            low=1,
            high=MOST_NEEDLES,
        ),
        Key(
            "speed",
            "number",
            "Stitches a minute.",
            usual.stitches_per_minute,
            low=SLOWEST,
            high=FASTEST,
        ),
        *(replace(key, only_with="hoops") for key in _HOOPING),
    )
