"""The best packing of shapes' smallest rectangles that rectpack finds, by many settings."""

from __future__ import annotations

import numpy as np
import rectpack
import shapely

from applique.cutting.nested import NestingTask

_PACKERS = (
    rectpack.MaxRectsBssf,
    rectpack.MaxRectsBaf,
    rectpack.MaxRectsBlsf,
    rectpack.SkylineMwfl,
    rectpack.GuillotineBssfSas,
    rectpack.GuillotineBafSas,
)
_ORDERS = (
    rectpack.SORT_AREA,
    rectpack.SORT_LSIDE,
    rectpack.SORT_SSIDE,
    rectpack.SORT_PERI,
    rectpack.SORT_DIFF,
)
_PER_MM = 1000


def fewest_rectangle_sheets(task: NestingTask) -> int:
    """The fewest sheets of the task's first kind on which 30 settings lay a rectangle round each
    shape, the smallest at any angle, with gap and margin."""
    width, height = task.stocks[0].size_mm
    more = task.gap_mm - 2 * task.margin_mm
    room = (int((width + more) * _PER_MM), int((height + more) * _PER_MM))
    sides = [_sides(shape, task.gap_mm) for shape in task.shapes]
    return min(_sheets(packer, order, room, sides) for packer in _PACKERS for order in _ORDERS)


def _sheets(packer: type, order: object, room: tuple[int, int], sides: list) -> int:  # type: ignore[type-arg]
    packing = rectpack.newPacker(
        pack_algo=packer, sort_algo=order, rotation=True, bin_algo=rectpack.PackingBin.BBF
    )
    for number, (width, height) in enumerate(sides):
        packing.add_rect(width, height, number)
    packing.add_bin(*room, count=len(sides))
    packing.pack()
    laid = sum(len(sheet) for sheet in packing)
    return len(packing) if laid == len(sides) else len(sides) + 1


def _sides(shape: shapely.MultiPolygon, gap_mm: float) -> tuple[int, int]:
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
    sides = np.linalg.norm(np.diff(corners[:3], axis=0), axis=1) + gap_mm
    return int(np.ceil(sides[0] * _PER_MM)), int(np.ceil(sides[1] * _PER_MM))
