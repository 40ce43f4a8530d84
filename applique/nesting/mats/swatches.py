"""Rectangles of fabric that hold all of some shapes, in whole quarter inches."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import shapely

from applique.cutting.nested import NestedSheet, NestingTask, Placement, Stock, placed, rectangle
from applique.cutting.validity import faults_of
from applique.nesting.mats.plan import QUARTER_INCH_MM

_ROUNDING_MM = 1e-4
"""A side longer than so many quarter inches by less is that long: a tenth of what the check of a
nesting lets a gap lack."""


@dataclass(frozen=True, eq=False)
class Swatch:
    """A rectangle of a fabric: columns and rows of quarter inches, and where the shapes lie on it,
    in mm from its upper left corner."""

    columns: int
    rows: int
    placements: tuple[Placement, ...]

    @property
    def area(self) -> int:
        """In squares of a quarter inch."""
        return self.columns * self.rows

    def turned(self) -> Swatch:
        """It and all that lies on it, by a quarter turn clockwise."""
        across = self.rows * QUARTER_INCH_MM
        placements = tuple(
            Placement(it.index, (it.angle_degrees + 90.0) % 360.0, across - it.y_mm, it.x_mm)
            for it in self.placements
        )
        return Swatch(self.rows, self.columns, placements)


def quarters_at_least(length_mm: float) -> int:
    """The quarter inches that a length needs."""
    return math.ceil((length_mm - _ROUNDING_MM) / QUARTER_INCH_MM)


def quarters_at_most(length_mm: float) -> int:
    """The quarter inches that go into a length."""
    return max(math.floor((length_mm + _ROUNDING_MM) / QUARTER_INCH_MM), 0)


def sheet_for(columns: int, rows: int) -> Stock:
    """A rectangle of so many quarter inches as something to cut from."""
    return rectangle("patch", columns * QUARTER_INCH_MM, rows * QUARTER_INCH_MM)


def swatch_round(task: NestingTask, placements: Sequence[Placement]) -> Swatch | None:
    """The least rectangle round some shapes in their places, which lie in its middle; the task's
    gap is kept to its border. None if they don't keep the gap to one another."""
    lying = [placed(task.shapes[it.index], it) for it in placements]
    left, top, right, bottom = shapely.total_bounds(lying)
    columns = quarters_at_least(right - left + 2 * task.gap_mm)
    rows = quarters_at_least(bottom - top + 2 * task.gap_mm)
    stock = sheet_for(columns, rows)
    dx, dy = (
        (side - from_mm - to_mm) / 2
        for side, from_mm, to_mm in zip(stock.size_mm, (left, top), (right, bottom), strict=True)
    )
    moved = tuple(replace(it, x_mm=it.x_mm + dx, y_mm=it.y_mm + dy) for it in placements)
    swatch = Swatch(columns, rows, moved)
    return None if _is_faulty(task, swatch, stock) else swatch


def worth_keeping(swatches: Iterable[Swatch]) -> tuple[Swatch, ...]:
    """Swatches, the smallest first, without those that are in no direction less than another."""
    kept: list[Swatch] = []
    for swatch in sorted(swatches, key=lambda each: (each.area, each.columns)):
        if not any(it.columns <= swatch.columns and it.rows <= swatch.rows for it in kept):
            kept.append(swatch)
    return tuple(kept)


def part_of(task: NestingTask, indices: Sequence[int]) -> NestingTask:
    """The task of some of the shapes alone."""
    return replace(
        task,
        names=tuple(task.names[k] for k in indices),
        shapes=tuple(task.shapes[k] for k in indices),
    )


def _is_faulty(task: NestingTask, swatch: Swatch, stock: Stock) -> bool:
    alone = part_of(task, [it.index for it in swatch.placements])
    alone = replace(alone, stocks=(stock,), margin_mm=task.gap_mm)
    renumbered = tuple(replace(it, index=k) for k, it in enumerate(swatch.placements))
    return bool(faults_of(alone, [NestedSheet(stock, renumbered)]))
