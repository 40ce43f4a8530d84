"""Shapes laid as their boxes, in rows: at once, for any number of them, and exactly.

A packer that looks for places misses grids that fill a sheet to the last tenth of a millimetre.
Rows don't: boxes are sorted by height, each goes into the first row that has room for it, and rows
into the first sheet (first fit by decreasing height: E. Coffman, M. Garey, D. Johnson and R.
Tarjan, "Performance bounds for level-oriented two-dimensional packing algorithms", SIAM Journal on
Computing 9, 1980).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely import MultiPolygon

from applique.cutting.nested import NestedSheet, NestingTask, Placement, Stock, placed

_ROUNDING_MM = 1e-6
"""Sums of sides may exceed a sheet's by so much: rounding."""

_SAME = 1e-9
"""An upright box no larger than the smallest by more than this share of it is taken as it is."""


@dataclass(frozen=True)
class _Box:
    """A shape's box, upright at `angle_degrees`; its corner then lies at `left` and `top`."""

    index: int
    angle_degrees: float
    left: float
    top: float
    width: float
    height: float


@dataclass
class _Row:
    """Boxes side by side from the left, below `top`; `width` is what they take."""

    top: float
    height: float
    width: float = 0.0
    boxes: list[tuple[_Box, float]] = field(default_factory=list)


def nest_in_rows(task: NestingTask) -> tuple[NestedSheet, ...]:
    """All shapes in rows, on sheets of the largest kind of which there are as many as needed; none
    where there is no such kind or a box is larger than it."""
    plenty = [stock for stock in task.stocks if stock.is_rectangle and stock.count is None]
    if not plenty or not task.shapes:
        return ()
    stock = max(plenty, key=lambda each: each.shape.area)
    boxes = [_box(task, index) for index in range(len(task.shapes))]
    width, height = (side - 2 * task.margin_mm for side in stock.size_mm)
    if any(box.width > width + _ROUNDING_MM or box.height > height + _ROUNDING_MM for box in boxes):
        return ()
    sheets: list[list[_Row]] = []
    for box in sorted(boxes, key=lambda each: (-each.height, -each.width, each.index)):
        row = _row_for(box, sheets, width, height, task.gap_mm)
        row.boxes.append((box, row.width))
        row.width += box.width + task.gap_mm
    return tuple(_sheet(stock, rows, task.margin_mm) for rows in sheets)


def _row_for(
    box: _Box, sheets: list[list[_Row]], width: float, height: float, gap_mm: float
) -> _Row:
    """The first row with room for a box, or a new one, on a new sheet if need be."""
    for rows in sheets:
        for row in rows:
            low = box.height <= row.height + _ROUNDING_MM
            if low and row.width + box.width <= width + _ROUNDING_MM:
                return row
        top = rows[-1].top + rows[-1].height + gap_mm
        if top + box.height <= height + _ROUNDING_MM:
            rows.append(_Row(top, box.height))
            return rows[-1]
    sheets.append([_Row(0.0, box.height)])
    return sheets[-1][0]


def _sheet(stock: Stock, rows: Sequence[_Row], margin_mm: float) -> NestedSheet:
    return NestedSheet(
        stock,
        tuple(
            Placement(
                box.index,
                box.angle_degrees,
                margin_mm + x - box.left,
                margin_mm + row.top - box.top,
            )
            for row in rows
            for box, x in row.boxes
        ),
    )


def _box(task: NestingTask, index: int) -> _Box:
    """A shape's box: as it lies or, where it may turn, the smallest, its longer side across."""
    shape = task.shapes[index]
    angle = _upright_degrees(shape) if task.turn == "any" else 0.0
    left, top, right, bottom = placed(shape, Placement(index, angle, 0.0, 0.0)).bounds
    return _Box(index, angle, left, top, right - left, bottom - top)


def _upright_degrees(shape: MultiPolygon) -> float:
    """The turn that lays the smallest rectangle round a shape with its longer side across."""
    left, top, right, bottom = shape.bounds
    smallest = shapely.minimum_rotated_rectangle(shape)
    if (right - left) * (bottom - top) <= smallest.area * (1 + _SAME):
        return 0.0 if right - left >= bottom - top else 90.0
    sides = np.diff(shapely.get_coordinates(smallest)[:3], axis=0)
    along = max(sides, key=lambda side: float(np.hypot(*side)))
    return -math.degrees(math.atan2(along[1], along[0])) % 360.0
