"""A nested sheet as it is cut: outlines in their places and in cutting order, and what a pen draws.

Coordinates are mm from the sheet's upper left corner, x to the right and y down.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.cutting.marks import Lines, Marks, marks_on
from applique.cutting.nested import NestedSheet, Placement, Stock, placed
from applique.cutting.order import cutting_order, inner_first
from applique.cutting.pieces import CutPiece, Face
from applique.cutting.space import WORDS_CLEAR_MM, box_within, free_space, words_within
from applique.cutting.starts import with_starts
from applique.geometry.curves import polyline, transformed
from applique.geometry.lettering import lettered, lettering_width
from applique.model import Curve
from applique.units import MM_PER_INCH

SQUARE_CLEAR_MM = 3.0
"""The test square keeps so far from pieces: the usual gap between these."""

_SQUARE_BESIDE_MM = 10.0
"""A test square that has no room on the sheet stands so far to the right of it."""

_SQUARE_WORDS_MM = 4.0
_FACE_WORDS = {
    "right": "FABRIC RIGHT SIDE UP",
    "wrong": "FABRIC WRONG SIDE UP - MIRRORED",
}
_CARD_WORDS = "TEMPLATES - MIRRORED, FROM CARD"
_FLAT_WORDS = "DOUBLE LINE - LEAVE FLAT, DON'T TURN"

BoxMm = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class PlacedCut:
    """A piece in its place. `curves` are closed and lie in cutting order, inner rings before outer
    ones, each with the fabric on its left and begun where the knife starts."""

    piece: CutPiece
    placement: Placement
    curves: tuple[Curve, ...]

    @cached_property
    def shape(self) -> MultiPolygon:
        """What the curves enclose."""
        return placed(self.piece.shape, self.placement)


@dataclass(frozen=True)
class Region:
    """Where one fabric lies on a sheet that several share: left, top, right and bottom in mm."""

    fabric: str
    box_mm: BoxMm


@dataclass(frozen=True, eq=False)
class Sheet:
    """One sheet at true size.

    `name` is the fabric it is cut from, "card" for templates or "mixed"; it is sheet `number` of
    `count`. `face` is the side that lies up. `cuts` are in cutting order. `drawing` holds open
    lines, (n, 2) arrays, for a pen, none where the right side lies up; `unlabelled` are the marks
    of the pieces that bear none, which the printed map alone tells. `test_square` measures one
    inch; without room on the sheet it stands to the right of it.
    """

    name: str
    number: int
    count: int
    stock: Stock
    margin_mm: float
    face: Face
    cuts: tuple[PlacedCut, ...]
    regions: tuple[Region, ...]
    drawing: Lines
    unlabelled: tuple[str, ...]
    test_square: Curve

    @property
    def is_card(self) -> bool:
        """Whether it is of templates, which are cut from card and mirrored in any case."""
        return bool(self.cuts) and all(cut.piece.kind == "template" for cut in self.cuts)

    @property
    def title(self) -> str:
        """What it is, in a line: `sea blue, sheet 2 of 3`."""
        return f"{self.name}, sheet {self.number} of {self.count}"

    @property
    def face_words(self) -> str:
        """Which side lies up: `wrong side up, mirrored`."""
        if self.is_card:
            return "card, mirrored"
        return "right side up" if self.face == "right" else "wrong side up, mirrored"

    @property
    def used_share(self) -> float:
        """The share of the sheet that its pieces cover, from 0 to 1."""
        return float(sum(cut.piece.shape.area for cut in self.cuts) / self.stock.shape.area)


def sheet_of(
    name: str,
    number: int,
    count: int,
    nested: NestedSheet,
    pieces: Sequence[CutPiece],
    face: Face,
    margin_mm: float,
    regions: Sequence[Region] = (),
) -> Sheet:
    """Make a sheet of what lies on it; a placement's index is that of its piece in `pieces`."""
    stock = nested.stock
    cuts = _in_order([_placed_cut(pieces[p.index], p) for p in nested.placements])
    marks = [_marks_of(cut) for cut in cuts]
    shapes = [cut.shape for cut in cuts]
    space = _fabric_free(stock, margin_mm, shapes, regions, SQUARE_CLEAR_MM)
    bare = Sheet(
        name=name,
        number=number,
        count=count,
        stock=stock,
        margin_mm=margin_mm,
        face=face,
        cuts=cuts,
        regions=tuple(regions),
        drawing=tuple(line for found in marks for line in found.lines),
        unlabelled=tuple(
            cut.piece.mark for cut, found in zip(cuts, marks, strict=True) if not found.labelled
        ),
        test_square=_test_square(stock, space, margin_mm),
    )
    if face == "right" and not bare.is_card:
        return bare
    return replace(bare, drawing=(*bare.drawing, *_words(bare, shapes), *_borders(regions)))


def _placed_cut(piece: CutPiece, placement: Placement) -> PlacedCut:
    matrix = placement.matrix()
    moved = with_starts([transformed(curve, matrix) for curve in piece.curves])
    return PlacedCut(piece, placement, inner_first(moved))


def _in_order(cuts: Sequence[PlacedCut]) -> tuple[PlacedCut, ...]:
    order = cutting_order([cut.curves for cut in cuts], [cut.shape for cut in cuts])
    return tuple(cuts[k] for k in order)


def _marks_of(cut: PlacedCut) -> Marks:
    """Nothing is written on a fabric's right side."""
    if not cut.piece.writable:
        return Marks((), labelled=False)
    return marks_on(cut.piece, cut.placement)


def _fabric_free(
    stock: Stock,
    margin_mm: float,
    shapes: Sequence[MultiPolygon],
    regions: Sequence[Region],
    clear_mm: float,
) -> BaseGeometry:
    """What is left of the sheet, where there is fabric: between regions lies the bare mat."""
    space = free_space(stock, margin_mm, shapes, clear_mm)
    if not regions:
        return space
    return space.intersection(shapely.union_all([shapely.box(*it.box_mm) for it in regions]))


def _test_square(stock: Stock, space: BaseGeometry, margin_mm: float) -> Curve:
    """A square of one inch in what is left of the sheet, else to the right of the sheet."""
    corner = box_within(space, MM_PER_INCH, MM_PER_INCH)
    if corner is None:
        corner = np.array([stock.size_mm[0] + _SQUARE_BESIDE_MM, margin_mm])
    square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]) * MM_PER_INCH
    return polyline(corner + square, closed=True)


def _words(sheet: Sheet, shapes: Sequence[MultiPolygon]) -> Lines:
    """What stands on the waste, as far as there is room: the sheet's name, which side is up, the
    names of the regions, and in the test square how large it is."""
    square = shapely.Polygon(sheet.test_square.segments[:, 0])
    space = _fabric_free(sheet.stock, sheet.margin_mm, shapes, sheet.regions, WORDS_CLEAR_MM)
    lines = _square_words(square) if space.contains(square) else []
    borders = [shapely.box(*region.box_mm).boundary for region in sheet.regions]
    space = space.difference(shapely.union_all([square, *borders]).buffer(WORDS_CLEAR_MM))
    for region in sheet.regions:
        inside = shapely.box(*region.box_mm)
        named, left = words_within(space.intersection(inside), [region.fabric])
        space = space.difference(inside).union(left)
        lines.extend(named)
    titles = [f"{sheet.name} {sheet.number}/{sheet.count}"]
    if sheet.is_card:
        titles.append(_CARD_WORDS)
        titles += [_FLAT_WORDS] if any(cut.piece.flat for cut in sheet.cuts) else []
    else:
        titles.append(_FACE_WORDS[sheet.face])
    return (*lines, *words_within(space, titles)[0])


def _square_words(square: BaseGeometry) -> list[np.ndarray]:
    """`1 IN` in the middle of the test square."""
    x, y = square.centroid.coords[0]
    width = lettering_width("1 IN", _SQUARE_WORDS_MM)
    corner = np.array([x - width / 2, y - _SQUARE_WORDS_MM / 2])
    return [line + corner for line in lettered("1 IN", _SQUARE_WORDS_MM)]


def _borders(regions: Sequence[Region]) -> Lines:
    """The borders of the regions, what two share drawn once."""
    if not regions:
        return ()
    lines = shapely.union_all([shapely.box(*region.box_mm).boundary for region in regions])
    parts = shapely.get_parts(shapely.line_merge(lines))
    return tuple(shapely.get_coordinates(part) for part in parts)
