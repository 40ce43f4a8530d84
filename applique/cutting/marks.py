"""What stands on a piece: its label, its grain, and where a template's side stays flat or an
allowance is clipped. All lines are mm on the sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from applique.cutting.nested import Placement, placed
from applique.cutting.pieces import CutPiece
from applique.geometry.lettering import lettered, lettering_width
from applique.geometry.rings import polygons_of
from applique.model import EMPTY

LABEL_MM = 4.0
SMALLEST_LABEL_MM = 2.0
LABEL_HEIGHTS_MM = (LABEL_MM, 3.4, 2.8, 2.4, SMALLEST_LABEL_MM)
"""Labels are as high as there is room for: a pen of 0.3 mm still keeps a digit of 2 mm open."""

CLEAR_MM = 1.0
"""Labels and arrows keep so far from the piece's edge, where a knife and a stitch may stray."""

FLAT_INSET_MM = 1.5
"""How far inside a template's side the second line lies that says to leave it flat."""

ARROWS_MM = (24.0, 16.0, 10.0, 7.0)
"""Lengths of grain arrows, the first for which there is room."""

_HEAD_MM = 2.4
_HEAD_HALF_MM = 0.9
_ARROW_WIDTH_MM = 2 * _HEAD_HALF_MM + 1.0
_BESIDE_MM = 0.8
"""Marks keep so far from each other."""

_GRID = 17
"""Places tried along each side of a piece's bounds; one of an odd number is the middle."""

Lines = tuple[np.ndarray, ...]


@dataclass(frozen=True, eq=False)
class Marks:
    """What a pen draws on a piece, open lines (n, 2) of mm; `labelled` says that its label found
    room."""

    lines: Lines
    labelled: bool


def marks_on(piece: CutPiece, placement: Placement) -> Marks:
    """All marks of a piece in its place. The label stands upright on the sheet however the piece is
    turned; the arrow keeps off it."""
    shape = placed(piece.shape, placement)
    beside = side_marks(piece, placement)
    taken = shapely.union_all([shapely.linestrings(line).buffer(_BESIDE_MM) for line in beside])
    room = shape.buffer(-CLEAR_MM).difference(taken)
    label = label_in(room, piece.mark)
    if label is None:
        return Marks((*beside, *grain_arrow(piece, placement, taken)), labelled=False)
    strokes, box = label
    taken = taken.union(box.buffer(_BESIDE_MM))
    return Marks((*strokes, *beside, *grain_arrow(piece, placement, taken)), labelled=True)


def label_in(
    room: BaseGeometry, text: str, heights_mm: Sequence[float] = LABEL_HEIGHTS_MM
) -> tuple[Lines, Polygon] | None:
    """A label's strokes and its box, at the first of some heights for which there is room, and then
    as far from the room's border as can be; None if there is no room."""
    parts = polygons_of(room)
    if not parts or not text:
        return None
    part = max(parts, key=lambda part: part.area)
    middle = shapely.get_coordinates(shapely.maximum_inscribed_circle(part, 0.2))[:1]
    places = np.vstack([middle, _grid_over(part.bounds)])
    shapely.prepare(part)
    for height in heights_mm:
        size = np.array([lettering_width(text, height), height])
        for tried in (places[:1], places[1:]):
            best = _roomiest(part, tried, size)
            if best is not None:
                corner = best - size / 2
                strokes = tuple(line + corner for line in lettered(text, height))
                return strokes, shapely.box(*corner, *(corner + size))
    return None


def grain_arrow(piece: CutPiece, placement: Placement, taken: BaseGeometry = EMPTY) -> Lines:
    """An arrow along the grain, clear of what is `taken` (mm on the sheet): with one head, at the
    print's top, where the piece may not be turned, else with two. Nothing where no grain was asked
    for or where there is no room."""
    if not piece.has_grain:
        return ()
    matrix = placement.matrix()
    onto, shift = matrix[:, :2].T, matrix[:, 2]
    unturned = shapely.transform(taken, lambda points: (points - shift) @ onto.T)
    middle = _upright_place(piece.shape, unturned)
    if middle is None:
        return ()
    place, length = middle
    heads = (-1.0,) if piece.turn == "none" else (-1.0, 1.0)
    return tuple(line @ onto + shift for line in _arrow(place, length, heads))


def side_marks(piece: CutPiece, placement: Placement) -> Lines:
    """The second lines beside sides that stay flat, and the clips, in their place."""
    matrix = placement.matrix()
    moved = [points @ matrix[:, :2].T + matrix[:, 2] for points in (*piece.flat, *piece.clips)]
    shape = placed(piece.shape, placement)
    flat = [line for points in moved[: len(piece.flat)] for line in _beside(points, shape)]
    return (*flat, *moved[len(piece.flat) :])


def _grid_over(bounds: tuple[float, float, float, float]) -> np.ndarray:
    left, top, right, bottom = bounds
    shares = (np.arange(_GRID) + 0.5) / _GRID
    xs, ys = np.meshgrid(left + shares * (right - left), top + shares * (bottom - top))
    return np.stack([xs.ravel(), ys.ravel()], axis=1)


def _roomiest(part: Polygon, places: np.ndarray, size: np.ndarray) -> np.ndarray | None:
    """Of places (n, 2) for the middle of a box, the one furthest from a shape's border."""
    boxes = shapely.box(*np.hstack([places - size / 2, places + size / 2]).T)
    fits = shapely.contains(part, boxes)
    if not fits.any():
        return None
    room = np.round(shapely.distance(boxes[fits], part.boundary), 3)
    return np.asarray(places[fits][int(np.argmax(room))])


def _upright_place(shape: MultiPolygon, taken: BaseGeometry) -> tuple[np.ndarray, float] | None:
    """The middle and the length of the longest upright arrow within a shape, as near as can be to
    the middle of the shape's widest place."""
    room = shape.buffer(-CLEAR_MM).difference(taken)
    if room.is_empty:
        return None
    middle = shapely.get_coordinates(shapely.maximum_inscribed_circle(shape, 0.5))[0]
    places = np.vstack([middle, _grid_over(room.bounds)])
    away = np.round(((places - middle) ** 2).sum(axis=1), 3)
    shapely.prepare(room)
    for length in ARROWS_MM:
        half = np.array([_ARROW_WIDTH_MM, length]) / 2
        boxes = shapely.box(*np.hstack([places - half, places + half]).T)
        fits = shapely.contains(room, boxes)
        if fits.any():
            return places[int(np.argmin(np.where(fits, away, np.inf)))], length
    return None


def _arrow(middle: np.ndarray, length: float, heads: tuple[float, ...]) -> list[np.ndarray]:
    """An upright line with heads at its upper (-1) or lower end (1)."""
    along = np.array([0.0, length / 2])
    lines = [np.array([middle - along, middle + along])]
    head = min(_HEAD_MM, length / 4)
    for end in heads:
        tip = middle + end * along
        back = tip - [0.0, end * head]
        side = np.array([_HEAD_HALF_MM * head / _HEAD_MM, 0.0])
        lines.append(np.array([back - side, tip, back + side]))
    return lines


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
