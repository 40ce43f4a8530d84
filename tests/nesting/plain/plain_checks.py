"""What any laying must keep to, by shapely alone, and shapes to be laid."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from applique.cutting.nested import NestedSheet, NestingTask, Placement, Stock, Turn, placed

TOLERANCE_MM = 0.001


def never() -> bool:
    """No time for another try."""
    return False


def times(count: int) -> Callable[[], bool]:
    """Time for so many more tries."""
    left = iter(range(count))
    return lambda: next(left, None) is not None


def task_of(
    shapes: Sequence[MultiPolygon],
    *stocks: Stock,
    turn: Turn = "any",
    gap_mm: float = 3.0,
    margin_mm: float = 6.0,
) -> NestingTask:
    """A task whose shapes are called piece 0, piece 1, ..."""
    names = tuple(f"piece {number}" for number in range(len(shapes)))
    return NestingTask(names, tuple(shapes), turn, stocks, gap_mm, margin_mm)


def assert_kept(task: NestingTask, stock: Stock, placements: Sequence[Placement]) -> None:
    """Gap, margin and turn rule are kept on one sheet."""
    lying = [placed(task.shapes[it.index], it) for it in placements]
    sheet = stock.shape.buffer(TOLERANCE_MM, join_style="mitre")
    for shape in lying:
        assert sheet.covers(shape)
        assert shape.distance(stock.shape.boundary) >= task.margin_mm - TOLERANCE_MM
    for one in range(len(lying)):
        for other in range(one):
            assert lying[one].distance(lying[other]) >= task.gap_mm - TOLERANCE_MM
            assert lying[one].intersection(lying[other]).area == 0
    allowed = {"none": {0.0}, "half": {0.0, 180.0}}
    if task.turn in allowed:
        assert {it.angle_degrees for it in placements} <= allowed[task.turn]


def assert_all_kept(task: NestingTask, sheets: Sequence[NestedSheet]) -> None:
    """Every shape lies on a sheet, once, and every rule is kept."""
    indices = sorted(it.index for sheet in sheets for it in sheet.placements)
    assert indices == list(range(len(task.shapes)))
    for sheet in sheets:
        assert_kept(task, sheet.stock, sheet.placements)
    for stock in task.stocks:
        used = sum(sheet.stock is stock for sheet in sheets)
        assert stock.count is None or used <= stock.count


def jagged(generator: np.random.Generator, count: int, largest_mm: float) -> list[MultiPolygon]:
    """Shapes with corners in and out, every third with a hole, every fifth of two parts."""
    shapes = []
    for number in range(count):
        corners = int(generator.integers(3, 12))
        angles = np.sort(generator.uniform(0, 2 * np.pi, corners))
        radii = generator.uniform(0.3, 1.0, corners) * generator.uniform(0.2, 1.0) * largest_mm
        points = np.stack([radii * np.cos(angles), radii * np.sin(angles)], axis=1)
        shape = Polygon(points).buffer(1.0)
        if number % 3 == 0:
            shape = shape.difference(shape.buffer(-largest_mm / 8))
        if number % 5 == 0:
            beside = shapely.box(
                *(shape.bounds[2:] + np.array([2.0, 0.0])), *(np.array(shape.bounds[2:]) + 9.0)
            )
            shape = shape.union(beside)
        parts = [part for part in shapely.get_parts(shape) if part.area > 4.0]
        shapes.append(MultiPolygon(parts))
    return shapes
