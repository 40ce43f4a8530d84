"""What can be said on the command line of `applique cut`."""

from __future__ import annotations

import argparse
import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

from applique.cli.arguments import millimetres, paper, seconds
from applique.cutting.usual import (
    GAP_MM,
    MARGIN_MM,
    MAT_NAME,
    MOST_COPIES,
    USABLE_WIDTH_MM,
    WEB_WIDTH_MM,
)
from applique.svg.vocabulary import TURNS
from applique.units import MM_PER_INCH, length_mm, split_length

if TYPE_CHECKING:
    from applique.cutting.nested import Stock

Turned = tuple[str, str]
Scrapped = tuple[str, Path]


def add_stock(group: Any) -> None:
    """What there is to cut from."""
    group.add_argument(
        "--sheet",
        dest="sheets",
        metavar="WxH[=N]",
        action="append",
        default=[],
        type=sheet,
        help="a sheet or mat in mm, as in 305x610, and how many there are of it, as many as needed "
        f"unless told; as often as there are sizes (default: {MAT_NAME})",
    )
    group.add_argument(
        "--scrap",
        dest="scraps",
        metavar="[FABRIC=]FILE",
        action="append",
        default=[],
        type=scrap,
        help="an SVG with scraps drawn at true size, lying with the side up that --face says, or "
        "an earlier sheet of ours; used first; as often as needed",
    )
    group.add_argument(
        "--margin",
        metavar="MM",
        type=millimetres,
        default=MARGIN_MM,
        help=f"kept free along a sheet's border (default: {MARGIN_MM:g})",
    )
    group.add_argument(
        "--gap",
        metavar="MM",
        type=millimetres,
        help=f"kept free between pieces (default: {GAP_MM['cutter']:g} for a cutter, "
        f"{GAP_MM['scissors']:g} for scissors)",
    )
    group.add_argument(
        "--mixed",
        action="store_true",
        help="several fabrics share a mat, each in its own rectangle",
    )


def add_pieces(group: Any) -> None:
    """What is cut, and how it may lie."""
    group.add_argument(
        "--face",
        choices=("right", "wrong"),
        default="wrong",
        help="which side of the fabric lies up; wrong, for fusible web with the paper up, is "
        "mirrored (default: wrong)",
    )
    group.add_argument(
        "--copies",
        metavar="N",
        type=copies,
        default=1,
        help="cut everything so many times (default: 1)",
    )
    group.add_argument(
        "--only",
        metavar="PIECE",
        action="append",
        default=[],
        help="cut this piece alone, by its label, or by its mark on the maps where several blocks "
        "are cut; as often as needed",
    )
    group.add_argument(
        "--turn",
        dest="turns",
        metavar="FABRIC=RULE",
        action="append",
        default=[],
        type=turned,
        help="how a fabric's pieces may be turned, whatever the blocks say: any, half (the print "
        "looks the same upside down) or none (it has a top); as often as needed",
    )


def add_results(group: Any) -> None:
    """What is written and told, and how long it may take."""
    group.add_argument(
        "--for",
        dest="tool",
        choices=tuple(GAP_MM),
        default="cutter",
        help="files for a cutting machine, or patterns at true size for scissors (default: cutter)",
    )
    group.add_argument(
        "--paper",
        metavar="NAME|WxH",
        default="a4",
        type=paper,
        help="what maps and patterns are printed on: a4, letter, another usual paper, or its size "
        "in mm (default: a4)",
    )
    group.add_argument(
        "--usable-width",
        metavar="LENGTH",
        type=length,
        default=USABLE_WIDTH_MM,
        help="of fabric from the bolt, in mm or as in 42in, for the length to buy "
        f"(default: {USABLE_WIDTH_MM / MM_PER_INCH:g}in)",
    )
    group.add_argument(
        "--web-width",
        metavar="LENGTH",
        type=length,
        default=WEB_WIDTH_MM,
        help=f"of fusible web (default: {WEB_WIDTH_MM / MM_PER_INCH:g}in)",
    )
    group.add_argument(
        "--seconds",
        metavar="N",
        type=seconds,
        default=math.inf,
        help="end the search after so long with the best sheets so far; Ctrl-C does the same",
    )
    group.add_argument(
        "--anew",
        action="store_true",
        help="search again for fabrics of which nothing has changed since the last time",
    )


def sheet(text: str) -> Stock:
    """Read a sheet's size and how many there are."""
    from applique.cutting.stock_text import stock_of

    try:
        return stock_of(text)
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None


def scrap(text: str) -> Scrapped:
    """Read `FABRIC=FILE` or `FILE`."""
    fabric, equals, name = text.rpartition("=")
    if not name or (equals and not fabric):
        raise argparse.ArgumentTypeError(f"'{text}' is not of the form FABRIC=FILE or FILE")
    return fabric, Path(name)


def turned(text: str) -> Turned:
    """Read `FABRIC=RULE`."""
    fabric, _, rule = text.rpartition("=")
    if not fabric or rule not in TURNS:
        rules = ", ".join(TURNS)
        raise argparse.ArgumentTypeError(f"'{text}' is not of the form FABRIC=RULE ({rules})")
    return fabric, rule


def copies(text: str) -> int:
    """Read a number of copies."""
    if not (text.isascii() and text.isdigit() and 1 <= int(text) <= MOST_COPIES):
        raise argparse.ArgumentTypeError(f"must lie between 1 and {MOST_COPIES}, not {text}")
    return int(text)


def length(text: str) -> float:
    """Read a length above 0; a plain number is mm."""
    try:
        number, unit = split_length(text)
        value = length_mm(text) if unit else number
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from None
    if not (math.isfinite(value) and value > 0):
        raise argparse.ArgumentTypeError(
            f"'{text}' is no length above 0; write it as 1100, or as 44in"
        )
    return value
