"""What can be said on the command line of `applique hoop`."""

from __future__ import annotations

import argparse
import math
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import area, millimetres, paper, seconds
from applique.export.formats import FORMATS
from applique.hoops.fields import Field, field_of, read_fields
from applique.hoops.usual import BORDER_MM, GRIP_MM, MARGIN_MM, READING_MM
from applique.resources import hoop_fields_text

if TYPE_CHECKING:
    from applique.hoops.problem import BoxMm

ORDERS = ("fewest", "piece", "kept")


def add_fields(group: Any) -> None:
    """Which fields are owned, and how they may be used."""
    group.add_argument(
        "--field",
        dest="fields",
        metavar="WxH",
        action="append",
        default=[],
        type=field,
        help="a field that is owned, in mm, as in 130x180, or by its usual name, as in 5x7in; as "
        "often as needed",
    )
    group.add_argument(
        "--turn", action="store_true", help="let the block lie turned by a quarter in a frame"
    )
    group.add_argument(
        "--margin",
        metavar="MM",
        type=millimetres,
        default=MARGIN_MM,
        help=f"kept free inside a field on each side (default: {MARGIN_MM:g})",
    )


def add_wishes(group: Any) -> None:
    """What is sewn in which hooping."""
    group.add_argument(
        "--order",
        choices=ORDERS,
        default="fewest",
        help="within a hooping: the fewest colour blocks, piece by piece, or as the document has "
        "it (default: fewest)",
    )
    group.add_argument(
        "--too-large",
        choices=("stretches", "sewing-machine"),
        default="stretches",
        help="sew a piece larger than every field in stretches, or leave its edge to the sewing "
        "machine, with its placement line and a printed pattern (default: stretches)",
    )
    group.add_argument(
        "--by-machine",
        metavar="PIECE",
        action="append",
        default=[],
        help="leave this piece's edge to the sewing machine in any case; as often as needed",
    )
    group.add_argument(
        "--fix",
        metavar="PIECE=N",
        action="append",
        default=[],
        type=fixed,
        help="sew a piece in hooping N; as often as needed",
    )
    group.add_argument(
        "--keep-out",
        metavar="X,Y,WIDTH,HEIGHT",
        action="append",
        default=[],
        type=box,
        help="a place, in mm on the page, that no field may reach into; as often as needed",
    )


def add_lining(group: Any) -> None:
    """How hoopings are lined up and held."""
    group.add_argument(
        "--misreading",
        metavar="MM",
        type=millimetres,
        default=READING_MM,
        help=f"how far off a cross is read, for the expected error (default: {READING_MM:g})",
    )
    group.add_argument("--box", action="store_true", help="sew a basting box first")
    group.add_argument(
        "--baste",
        action="store_true",
        help="hoop the stabiliser alone, lay the block on it and hold it by a basting box",
    )
    group.add_argument(
        "--frame-border",
        metavar="MM",
        type=millimetres,
        default=BORDER_MM,
        help="how far the frame reaches beyond its field on each side "
        f"(default: {BORDER_MM:g}; measure yours)",
    )
    group.add_argument(
        "--grip",
        metavar="MM",
        type=millimetres,
        default=GRIP_MM,
        help="how far the background must reach beyond the field to be held "
        f"(default: {GRIP_MM:g})",
    )


def add_results(group: Any) -> None:
    """What is written."""
    group.add_argument(
        "--format", choices=tuple(FORMATS), default="dst", help="of the stitch files (default: dst)"
    )
    group.add_argument(
        "--paper",
        metavar="NAME|WxH",
        default="a4",
        type=paper,
        help="what the templates are printed on: a4, letter, another usual paper, or its size in "
        "mm (default: a4)",
    )
    group.add_argument(
        "--seconds",
        metavar="N",
        type=seconds,
        default=math.inf,
        help="end the search after so long with the best plan so far; Ctrl-C does the same",
    )
    group.add_argument(
        "--compare",
        action="store_true",
        help="write nothing; tell for each field alone (without --field, for the usual ones) how "
        "many hoopings, stops and minutes it takes; Ctrl-C ends the search of one field",
    )


def field(text: str) -> Field:
    """Read a field's size in mm, or its usual name in inches."""
    try:
        return field_of(text, read_fields(hoop_fields_text()))
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None


def fixed(text: str) -> tuple[str, int]:
    """Read `PIECE=N`."""
    label, equals, number = text.rpartition("=")
    if not (equals and label and number.isascii() and number.isdigit() and int(number) > 0):
        raise argparse.ArgumentTypeError(f"'{text}' is not of the form PIECE=N; as in 17=2")
    return label, int(number)


def box(text: str) -> BoxMm:
    """Read `X,Y,WIDTH,HEIGHT` in mm as left, top, right and bottom."""
    x, y, width, height = area(text)
    return x, y, x + width, y + height
