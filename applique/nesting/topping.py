"""The room that remains on a sheet, in holes and between shapes, filled with small ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely import Polygon

from applique.cutting.nested import NestedSheet, NestingTask, Placement, Stock, placed
from applique.geometry.rings import polygons_of
from applique.nesting.plain.trying import lay_on

_MOST_TRIED = 40
"""So many of the shapes that are left are tried, those that might fit, the largest first."""


def topped_up(task: NestingTask, sheet: NestedSheet, left: Sequence[int]) -> NestedSheet:
    """The sheet with as many of the shapes left over as go into the room that remains."""
    if not left:
        return sheet
    lying = [placed(task.shapes[it.index], it) for it in sheet.placements]
    usable = sheet.stock.shape.buffer(task.gap_mm - task.margin_mm, join_style="mitre")
    free = usable.difference(shapely.union_all(lying))
    added: list[Placement] = []
    remaining = list(left)
    for part in sorted(polygons_of(free), key=lambda each: -each.area):
        room = part.buffer(-task.gap_mm)
        fitting = _possible(task, remaining, room.area)
        if not fitting:
            continue
        found = _laid_in(part, task, fitting)
        added.extend(found)
        laid = {it.index for it in found}
        remaining = [k for k in remaining if k not in laid]
    return NestedSheet(sheet.stock, (*sheet.placements, *added))


def _laid_in(part: Polygon, task: NestingTask, fitting: Sequence[int]) -> list[Placement]:
    """What goes into one part of the free room, at least a gap from its border."""
    left, top, _, _ = part.bounds
    stock = Stock("", shapely.transform(part, lambda points: points - [left, top]), 1)
    found = lay_on(replace(task, margin_mm=task.gap_mm), fitting, stock, lambda: False)
    return [replace(it, x_mm=it.x_mm + left, y_mm=it.y_mm + top) for it in found]


def _possible(task: NestingTask, left: Sequence[int], room_mm2: float) -> list[int]:
    """Shapes that are no larger than a room, the largest first."""
    small = [k for k in left if task.shapes[k].area <= room_mm2]
    return sorted(small, key=lambda k: -task.shapes[k].area)[:_MOST_TRIED]
