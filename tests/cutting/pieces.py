"""Pieces to be cut and nested sheets for the tests, made in one line."""

from __future__ import annotations

from typing import Any

import shapely

from applique.cutting.nested import NestedSheet, Placement, Stock, rectangle
from applique.cutting.pieces import CutPiece
from applique.cutting.sheet import Sheet, sheet_of
from applique.geometry.curves import flatten, polyline
from applique.geometry.rings import resolve, rings_of
from applique.model import Curve
from applique.svg.paths import parse_path

MAT = rectangle("mat", 305.0, 305.0)


def cut_piece(drawn: Any, label: str = "1", **given: Any) -> CutPiece:
    """A piece from path data in mm, or from a shape of straight sides."""
    if isinstance(drawn, str):
        curves: tuple[Curve, ...] = tuple(parse_path(drawn))
    else:
        curves = tuple(polyline(ring, closed=True) for ring in rings_of(drawn))
    shape = resolve([flatten(curve) for curve in curves], "evenodd").shape
    usual: dict[str, Any] = {
        "block": "whale", "mark": label, "kind": "outline", "fabric": "sea blue", "turn": "any",
        "writable": True,
    }  # fmt: skip
    return CutPiece(label=label, curves=curves, shape=shape, **(usual | given))


def sheet(
    pieces: list[CutPiece],
    places: list[tuple[float, ...]],
    stock: Stock = MAT,
    face: Any = "wrong",
    name: str = "sea blue",
    **given: Any,
) -> Sheet:
    """A sheet of pieces at places: x and y, and the angle if it is turned."""
    placements = tuple(
        Placement(k, place[2] if len(place) > 2 else 0.0, place[0], place[1])
        for k, place in enumerate(places)
    )
    nested = NestedSheet(stock, placements)
    return sheet_of(name, 2, 3, nested, pieces, face, 6.0, **given)


def drawn(made: Sheet) -> shapely.MultiLineString:
    """All that a pen draws."""
    return shapely.MultiLineString([line.tolist() for line in made.drawing])
