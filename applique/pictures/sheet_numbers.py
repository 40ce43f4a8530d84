"""Where the numbers of pieces stand on the map of a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon

from applique.cutting.marks import label_in
from applique.cutting.sheet import PlacedCut
from applique.geometry.lettering import lettering_width
from applique.pictures.canvas import Area

HEIGHTS_PX = (27.0, 22.0, 18.0, 15.0, 13.0)
"""Heights of numbers, the first for which there is room in the piece. On A4 paper 1200 px are
about 270 mm, so that the least is 2.9 mm high."""

_BESIDE_PX = 15.0
_INSIDE_MM = 0.6
_PAD_SHARE = 0.5
"""Room round a number beside its piece, for its height: that of its box and a little more."""

_DIRECTIONS = 32
_NEAREST_MM = 4.0
_FURTHEST_MM = 100.0
_AT_A_TIME = 64
_OVER_A_PIECE_MM = 15.0
"""What it counts for a line to lie over a piece."""


@dataclass(frozen=True)
class Number:
    """A number, the middle and the height of its letters, what it takes up on the sheet, and the
    end of the line that leads from it, None where it stands in its piece."""

    text: str
    middle_mm: tuple[float, float]
    height_px: float
    box: Polygon
    end_mm: tuple[float, float] | None = None


def place_sheet_numbers(
    cuts: Sequence[PlacedCut], area: Area, px_per_mm: float
) -> tuple[Number, ...]:
    """A place for the number of every piece: in it, else on the nearest place beside where neither
    a piece nor another number lies; where there is none, on the piece."""
    shapes = [cut.shape for cut in cuts]
    heights = [height / px_per_mm for height in HEIGHTS_PX]
    placed: dict[int, Number] = {}
    for k, (cut, shape) in enumerate(zip(cuts, shapes, strict=True)):
        found = label_in(shape.buffer(-_INSIDE_MM), cut.piece.mark, heights)
        if found is not None:
            box = found[1]
            height = (box.bounds[3] - box.bounds[1]) * px_per_mm
            placed[k] = Number(cut.piece.mark, _middle(box), height, box)
    ground = _Ground(shapes, area)
    for k, cut in enumerate(cuts):
        if k not in placed:
            placed[k] = ground.beside(cut.piece.mark, k, px_per_mm)
    return tuple(placed[k] for k in range(len(cuts)))


class _Ground:
    """What numbers beside their pieces keep off: all pieces, and what earlier numbers take up."""

    def __init__(self, shapes: Sequence[MultiPolygon], area: Area) -> None:
        self._shapes = shapes
        self._tree = shapely.STRtree(shapes)
        right, bottom = area.left + area.width, area.top + area.height
        self._picture = shapely.box(area.left, area.top, right, bottom)
        self._boxes: list[Polygon] = []
        self._leaders: list[LineString] = []

    def beside(self, text: str, index: int, px_per_mm: float) -> Number:
        """The number of a piece on the nearest free place; a line over other pieces counts as a
        longer one."""
        height = _BESIDE_PX / px_per_mm
        size = np.array([lettering_width(text, height), height]) + 2 * _PAD_SHARE * height
        circle = shapely.maximum_inscribed_circle(self._shapes[index], 0.2)
        end = shapely.get_coordinates(circle)[0]
        middle = self._nearest(end, size, end + _steps(height))
        box = _box(middle, size)
        self._boxes.append(box)
        self._leaders.append(shapely.linestrings([middle, end]))
        return Number(text, _pair(middle), _BESIDE_PX, box, _pair(end))

    def _nearest(self, end: np.ndarray, size: np.ndarray, middles: np.ndarray) -> np.ndarray:
        """The best of some places (n, 2) for the middle of a box; the end itself if none is
        free."""
        boxes = shapely.box(*np.hstack([middles - size / 2, middles + size / 2]).T)
        free = np.asarray(shapely.within(boxes, self._picture))
        free[self._tree.query(boxes, predicate="intersects")[0]] = False
        middles, boxes = middles[free], boxes[free]
        ends = np.broadcast_to(end, middles.shape)
        leaders = shapely.linestrings(np.stack([middles, ends], axis=1))
        crossed = self._tree.query(leaders, predicate="intersects")[0]
        over = np.bincount(crossed, minlength=len(leaders))
        order = np.argsort(np.hypot(*(middles - end).T) + _OVER_A_PIECE_MM * over, kind="stable")
        boxes, leaders = boxes[order], leaders[order]
        numbers, lines = (np.array(found, dtype=object) for found in (self._boxes, self._leaders))
        best = _first_off([(boxes, lines), (boxes, numbers), (leaders, np.append(numbers, lines))])
        if best is None:  # Rather a line over others than a number over its piece.
            best = _first_off([(boxes, numbers)])
        return end if best is None else np.asarray(middles[order[best]])


def _first_off(pairs: Sequence[tuple[np.ndarray, np.ndarray]]) -> int | None:
    """The first index at which shapes (n,) meet none of the others beside them, in every pair. Some
    are looked at at a time, because the first are mostly free."""
    for first in range(0, len(pairs[0][0]), _AT_A_TIME):
        some = slice(first, first + _AT_A_TIME)
        meets = [shapely.intersects(s[some, None], others).any(axis=1) for s, others in pairs]
        off = np.flatnonzero(~np.any(meets, axis=0))
        if len(off):
            return first + int(off[0])
    return None


def _steps(height_mm: float) -> np.ndarray:
    """Ways (n, 2) from a piece to places round it, the nearest first."""
    steps = np.arange(_NEAREST_MM, _FURTHEST_MM, height_mm / 2)
    angles = np.arange(_DIRECTIONS) * (2 * np.pi / _DIRECTIONS)
    ways = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return (steps[:, None, None] * ways).reshape(-1, 2)


def _box(middle: np.ndarray, size: np.ndarray) -> Polygon:
    return shapely.box(*(middle - size / 2), *(middle + size / 2))


def _middle(box: Polygon) -> tuple[float, float]:
    left, top, right, bottom = box.bounds
    return (left + right) / 2, (top + bottom) / 2


def _pair(point: np.ndarray) -> tuple[float, float]:
    x, y = point.tolist()
    return x, y
