"""Sheets of one fabric: cut lines laid out side by side, with what a pen may draw beside them.

The layout is plain rows; pieces keep the angle they have in the block, so grain is kept too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import MultiPolygon

from applique.geometry.curves import flatten, polyline, transformed
from applique.geometry.lettering import lettered, lettering_width
from applique.geometry.rings import resolve
from applique.model import Curve, CutLine
from applique.units import MM_PER_INCH

Face = Literal["right", "wrong"]

SHEET_WIDTH_MM = 12 * MM_PER_INCH
"""Rows are filled up to this width: that of the usual cutting mat."""

MARGIN_MM = 6.0
GAP_MM = 6.0
LABEL_MM = 4.0
SMALLEST_LABEL_MM = 2.0
FLAT_INSET_MM = 1.5
"""How far inside a template's side the second line lies that says to leave it flat."""

HEADING_MM = 8.0

_FACE_TEXT = {
    "right": "FABRIC RIGHT SIDE UP",
    "wrong": "FABRIC WRONG SIDE UP - MIRRORED",
}
_TEMPLATE_TEXT = "TEMPLATES - MIRRORED, FROM CARD, NOT FROM FABRIC"
_FLAT_TEXT = "DOUBLE LINE - LEAVE FLAT, DON'T TURN"


@dataclass(frozen=True, eq=False)
class PlacedCut:
    """A cut line in its place on the sheet: closed curves in mm, from the sheet's upper left."""

    piece: str
    kind: str
    curves: tuple[Curve, ...]


@dataclass(frozen=True, eq=False)
class Sheet:
    """One sheet at true size, mm. `cuts` are cut from the fabric, `templates` from card; `drawing`
    holds open lines, (n, 2) arrays, for a pen; `test_square` measures one inch."""

    fabric: str
    face: Face
    width: float
    height: float
    cuts: tuple[PlacedCut, ...]
    templates: tuple[PlacedCut, ...]
    drawing: tuple[np.ndarray, ...]
    test_square: Curve


@dataclass(frozen=True, eq=False)
class _Item:
    """A cut line as it lies on the table, its bounding box at (0, 0)."""

    line: CutLine
    curves: tuple[Curve, ...]
    flat: tuple[np.ndarray, ...]
    shape: MultiPolygon
    width: float
    height: float
    mirrored: bool


def sheet_of(fabric: str, lines: Sequence[CutLine], face: Face) -> Sheet:
    """Lay the cut lines of one fabric out on a sheet.

    With the wrong side up, as fusible web lies with its paper up, everything is mirrored; templates
    are mirrored in any case, because they are used on the back.
    """
    page = _Page(fabric, face)
    items = [_item(line, face) for line in lines]
    cuts = page.rows([item for item in items if item.line.kind != "template"])
    templates: list[PlacedCut] = []
    turned = [item for item in items if item.line.kind == "template"]
    if turned:
        page.heading(_TEMPLATE_TEXT)
        if any(item.flat for item in turned):
            page.heading(_FLAT_TEXT)
        templates = page.rows(turned)
    return page.finished(cuts, templates)


def _item(line: CutLine, face: Face) -> _Item:
    mirrored = face == "wrong" or line.kind == "template"
    flip = np.array([[-1.0 if mirrored else 1.0, 0.0, 0.0], [0.0, 1.0, 0.0]])
    curves = [transformed(curve, flip) for curve in line.curves]
    shape = resolve([flatten(curve) for curve in curves], "evenodd").shape
    left, top, right, bottom = shape.bounds
    at_origin = _shift(-left, -top)
    curves = [transformed(curve, at_origin) for curve in curves]
    shape = shapely.transform(shape, lambda points: points - [left, top])
    flat = tuple(points * flip.diagonal() - [left, top] for points in line.flat)
    return _Item(line, tuple(curves), flat, shape, right - left, bottom - top, mirrored)


def _beside(points: np.ndarray, shape: MultiPolygon) -> list[np.ndarray]:
    """A line a little inside a side of a shape."""
    line = shapely.linestrings(points)
    moved = [shapely.offset_curve(line, side * FLAT_INSET_MM) for side in (1.0, -1.0)]
    inside = max((side.intersection(shape) for side in moved), key=lambda part: part.length)
    return [
        shapely.get_coordinates(part)
        for part in shapely.get_parts(inside)
        if part.geom_type == "LineString"
    ]


def _shift(x: float, y: float) -> np.ndarray:
    return np.array([[1.0, 0.0, x], [0.0, 1.0, y]])


class _Page:
    """A sheet being filled from the top."""

    def __init__(self, fabric: str, face: Face) -> None:
        self._fabric = fabric
        self._face = face
        self._drawing: list[np.ndarray] = []
        self._right = MARGIN_MM
        self._top = MARGIN_MM
        square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]]) * MM_PER_INCH
        self._test_square = polyline(square + MARGIN_MM, closed=True)
        self._write("1 IN", MARGIN_MM + 4.0, MARGIN_MM + MM_PER_INCH / 2 - 2.0, LABEL_MM)
        beside = MARGIN_MM + MM_PER_INCH + GAP_MM
        self._write(fabric, beside, MARGIN_MM, HEADING_MM)
        self._write(_FACE_TEXT[face], beside, MARGIN_MM + HEADING_MM + GAP_MM, HEADING_MM)
        self._top = MARGIN_MM + MM_PER_INCH + GAP_MM

    def heading(self, text: str) -> None:
        """Write a line of text across the sheet."""
        self._write(text, MARGIN_MM, self._top, HEADING_MM)
        self._top += HEADING_MM + GAP_MM

    def rows(self, items: Sequence[_Item]) -> list[PlacedCut]:
        """Place items in rows, the tallest first, with their labels."""
        placed = []
        x, row_bottom = MARGIN_MM, self._top
        for item in sorted(items, key=lambda item: (-round(item.height, 3), item.line.piece)):
            if x > MARGIN_MM and x + item.width > SHEET_WIDTH_MM - MARGIN_MM:
                x, self._top = MARGIN_MM, row_bottom
            placed.append(self._place(item, x, self._top))
            row_bottom = max(row_bottom, self._top + item.height + LABEL_MM + 2.0 + GAP_MM)
            self._right = max(self._right, x + item.width)
            x += item.width + GAP_MM
        self._top = row_bottom
        return placed

    def finished(self, cuts: list[PlacedCut], templates: list[PlacedCut]) -> Sheet:
        """The sheet, as large as what lies on it."""
        return Sheet(
            fabric=self._fabric,
            face=self._face,
            width=self._right + MARGIN_MM,
            height=self._top - GAP_MM + MARGIN_MM,
            cuts=tuple(cuts),
            templates=tuple(templates),
            drawing=tuple(self._drawing),
            test_square=self._test_square,
        )

    def _place(self, item: _Item, x: float, y: float) -> PlacedCut:
        shift = _shift(x, y)
        self._label(item, x, y)
        if item.line.grain_degrees is not None:
            self._grain(item, item.line.grain_degrees, x, y)
        for points in item.flat:
            self._drawing.extend(np.add(line, [x, y]) for line in _beside(points, item.shape))
        curves = tuple(transformed(curve, shift) for curve in item.curves)
        return PlacedCut(item.line.piece, item.line.kind, curves)

    def _label(self, item: _Item, x: float, y: float) -> None:
        """Write the label where a pen may write: on the wrong side inside the piece, if there is
        room; else below it, in what is thrown away."""
        text = item.line.piece
        if item.mirrored:
            spot = shapely.maximum_inscribed_circle(item.shape, tolerance=0.5)
            centre, rim = shapely.get_coordinates(spot)
            room = 2 * float(np.hypot(*(rim - centre))) * 0.7
            height = min(LABEL_MM, room, LABEL_MM * room / lettering_width(text, LABEL_MM))
            if height >= SMALLEST_LABEL_MM:
                left = x + centre[0] - lettering_width(text, height) / 2
                self._write(text, left, y + centre[1] - height / 2, height)
                return
        self._write(text, x, y + item.height + 2.0, LABEL_MM)

    def _grain(self, item: _Item, degrees: float, x: float, y: float) -> None:
        """An arrow with two heads along the grain, beside the label's place."""
        angle = np.radians(180.0 - degrees if item.mirrored else degrees)
        along = np.array([np.cos(angle), np.sin(angle)])
        across = np.array([-along[1], along[0]])
        centre = shapely.get_coordinates(item.shape.representative_point())[0] + [x, y]
        half = min(12.0, item.width / 4, item.height / 4)
        for sign in (-1.0, 1.0):
            tip = centre + sign * half * along
            back = tip - sign * half / 3 * along
            self._drawing.append(
                np.array([back + across * half / 6, tip, back - across * half / 6])
            )
        self._drawing.append(np.array([centre - half * along, centre + half * along]))

    def _write(self, text: str, x: float, y: float, height: float) -> None:
        place = np.array([x, y])
        self._drawing.extend(line + place for line in lettered(text, height))
        self._right = max(self._right, x + lettering_width(text, height))
