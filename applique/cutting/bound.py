"""How many sheets are certainly needed, whatever is done.

Two reasons, the better one counts.

By area: shapes that keep a gap apart may each be grown by half the gap (by a disc, in every
direction: the Minkowski sum) and still don't overlap, and all of them then lie in the usable part
of a sheet grown by half the gap. So the grown areas on a sheet sum up to no more than its own: the
usual area bound of packing. Turning changes no area, so it holds for any turning.

By pairs: shapes of which no two can share a sheet need a sheet each. Two shapes can't if not even
two bodies can that lie inside them: the largest circles, which turning doesn't change, and, where
turning is at most by half a turn, upright rectangles.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.cutting.nested import NestingTask, Stock
from applique.geometry.rings import polygons_of

_LACKING_MM = 0.001
"""What the check of a nesting lets a gap or a margin lack; the bound must hold for that too."""

_ARCS = 16
"""Chords in a quarter circle, where areas are reckoned."""

_INSIDE_MM = 0.01
_HALVINGS = 12
"""How exactly the largest circles and rectangles are found; smaller ones only weaken the bound."""

_ROUNDING = 1e-9
"""Areas are equal if they differ by this share of themselves."""


def least_sheets(task: NestingTask) -> int:
    """A lower bound on the number of sheets that the shapes of a task need.

    0 if there are no shapes; one more than there are sheets if all together are too small.
    """
    if not task.shapes:
        return 0
    return max(_by_area(task), len(_apart(task)), 1)


def _by_area(task: NestingTask) -> int:
    """Sheets, the largest first, until their areas can hold all shapes."""
    gap_mm = max(task.gap_mm - _LACKING_MM, 0.0)
    grown = shapely.buffer(np.array(task.shapes, object), gap_mm / 2, quad_segs=_ARCS)
    left = float(shapely.area(grown).sum()) * (1 - _ROUNDING)
    rooms = [(_room_mm2(stock, task.margin_mm, gap_mm), stock.count) for stock in task.stocks]
    sheets = 0
    for room_mm2, count in sorted(rooms, key=lambda room: -room[0]):
        if room_mm2 <= 0:
            break
        needed = math.ceil(left / room_mm2)
        if count is None or needed <= count:
            return sheets + needed
        sheets += count
        left -= count * room_mm2
    return sheets + 1


def _room_mm2(stock: Stock, margin_mm: float, gap_mm: float) -> float:
    """The area of the usable part of a sheet grown by half the gap, at least: the arcs lie around
    the true ones instead of inside."""
    around = 1 / math.cos(math.pi / (4 * _ARCS))
    grown = shapely.buffer(_usable(stock, margin_mm), gap_mm / 2 * around, quad_segs=_ARCS)
    return float(grown.area)


def _usable(stock: Stock, margin_mm: float) -> BaseGeometry:
    """The part of a sheet in which shapes may lie, or a little more: chords cut off less of it
    than the true arcs round its holes would."""
    return shapely.buffer(stock.shape, -max(margin_mm - _LACKING_MM, 0.0), quad_segs=_ARCS)


@dataclass(frozen=True)
class _Body:
    """A circle, and an upright rectangle (of no size where shapes turn freely), inside a shape."""

    radius_mm: float
    width_mm: float
    height_mm: float


def _apart(task: NestingTask) -> list[int]:
    """Indices of shapes of which no two can share a sheet, found by taking the largest first."""
    upright = task.turn != "any"
    gap_mm = task.gap_mm - _LACKING_MM
    sizes = np.array([_size_mm(stock, task.margin_mm) for stock in task.stocks]).reshape(-1, 2)
    bounds = shapely.bounds(np.array(task.shapes, object))
    sides = bounds[:, 2:] - bounds[:, :2]
    # Most shapes are far too small: not even bodies as large as the bounding boxes would do.
    outer = [_Body(min(w, h) / 2, w * upright, h * upright) for w, h in sides.tolist()]
    largest = _Body(sides.min(axis=1).max() / 2, *(sides.max(axis=0) * upright).tolist())
    likely = [k for k, body in enumerate(outer) if _never_beside(body, largest, sizes, gap_mm)]
    bodies = {k: _body_in(task.shapes[k], upright) for k in likely}
    taken: list[int] = []
    for k in sorted(likely, key=lambda k: (-bodies[k].radius_mm, k)):
        if all(_never_beside(bodies[k], bodies[other], sizes, gap_mm) for other in taken):
            taken.append(k)
    return taken


def _size_mm(stock: Stock, margin_mm: float) -> tuple[float, float]:
    """Width and height of the usable part of a sheet, at least."""
    width, height = stock.size_mm
    margins = 2 * max(margin_mm - _LACKING_MM, 0.0)
    return width - margins, height - margins


def _never_beside(a: _Body, b: _Body, sizes_mm: np.ndarray, gap_mm: float) -> bool:
    """Whether on no sheet of these sizes, (n, 2), two bodies have room with a gap between them."""
    radii = a.radius_mm + b.radius_mm
    # Circles lie furthest apart in opposite corners.
    circles = np.hypot(*np.maximum(sizes_mm - radii, 0.0).T) < radii + gap_mm - _LACKING_MM
    between = sizes_mm - [a.width_mm + b.width_mm, a.height_mm + b.height_mm]
    overlapping = (between < -_LACKING_MM).all(axis=1)
    near = np.hypot(*np.maximum(between, 0.0).T) < gap_mm
    return bool((circles | overlapping | near).all())


def _body_in(shape: MultiPolygon, upright: bool) -> _Body:
    """The largest circle in a shape, and a large rectangle."""
    circles = [
        shapely.get_coordinates(shapely.maximum_inscribed_circle(part, tolerance=_INSIDE_MM))
        for part in polygons_of(shape)
    ]
    centre, rim = max(circles, key=lambda ends: float(np.hypot(*(ends[1] - ends[0]))))
    radius_mm = float(np.hypot(*(rim - centre)))
    if not upright:
        return _Body(radius_mm, 0.0, 0.0)
    left, top, right, bottom = shape.bounds
    middle = np.array([left + right, top + bottom]) / 2
    half = np.array([right - left, bottom - top]) / 2
    shapely.prepare(shape)
    share = max(_share_inside(shape, place, half) for place in (middle, centre))
    return _Body(radius_mm, *(2 * share * half).tolist())


def _share_inside(shape: MultiPolygon, centre: np.ndarray, half: np.ndarray) -> float:
    """By how much a rectangle of these half sides round a place shrinks to lie inside a shape."""

    def is_inside(share: float) -> bool:
        return bool(shape.covers(shapely.box(*(centre - share * half), *(centre + share * half))))

    if is_inside(1.0):
        return 1.0
    inside, outside = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (inside + outside) / 2
        inside, outside = (middle, outside) if is_inside(middle) else (inside, middle)
    return inside
