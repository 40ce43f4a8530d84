"""Swatches of one fabric found: strips of several heights, each as short as can be found."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import zip_longest

import numpy as np
import shapely

from applique.cutting.nested import NestingTask, Placement
from applique.nesting.filling import Room, along, fits_at_all, on_sheet, shapes_of
from applique.nesting.mats.plan import QUARTER_INCH_MM
from applique.nesting.mats.swatches import (
    Swatch,
    quarters_at_least,
    sheet_for,
    swatch_round,
    worth_keeping,
)
from applique.nesting.plain import lay_on
from applique.nesting.solver import SolverFailedError
from applique.nesting.strip import shortest

_PLAINLY_FULL = 0.8
"""How full, half the gap round each shape included, the plain packer is first asked to lay a strip;
a wrong guess costs a try, or a strip that is a little longer than need be."""

_GROWTH = 1.1
"""A strip that was too short is tried again so much longer."""

_SHARES = (1.0, 1 / 2, 1 / 3, 2 / 3, 1 / 4, 3 / 4)
"""Of a mat's height: strips that stand below one another without waste."""

_SQUARES = (1.0, 0.8, 1.25)
"""Heights of strips against that of a square one: of these, least is lost along the border."""

_USUAL = 0.75
"""How full a rectangle is guessed to get, for the side of a square one."""


class Growing:
    """The swatches found so far of one fabric, all shapes of the task on each."""

    def __init__(self, task: NestingTask) -> None:
        self._task = replace(task, margin_mm=task.gap_mm)
        self._shapes = shapes_of(task)
        self._all = range(len(task.shapes))
        self._area_mm2 = sum(self._shapes.areas(self._all))
        self._narrowest_mm = _narrowest_mm(task)
        self._solver_fails = False
        self.swatches: tuple[Swatch, ...] = ()

    def heights(self, most_rows: Sequence[int]) -> tuple[int, ...]:
        """Rows of strips worth trying on mats of some rows, the most promising first."""
        side = quarters_at_least(math.sqrt(self._area_mm2 / _USUAL) + self._task.gap_mm)
        squares = [round(share * side) for share in _SQUARES]
        wanted: list[int] = []
        for share, square in zip_longest(_SHARES, squares, fillvalue=0):
            wanted += [*(round(share * rows) for rows in most_rows), square]
        least = quarters_at_least(self._narrowest_mm + 2 * self._task.gap_mm)
        possible = (rows for rows in wanted if least <= rows <= max(most_rows))
        return tuple(dict.fromkeys(possible))

    def as_they_lie(self, lying: Sequence[Placement], rooms: Sequence[tuple[int, int]]) -> bool:
        """Take the shapes as they lie on a mat, one after another, if the swatch round them goes
        into one of some rooms, columns and rows; False if not."""
        swatch = swatch_round(self._task, [replace(it, index=k) for k, it in enumerate(lying)])
        if swatch is None or not any(
            swatch.columns <= columns and swatch.rows <= rows for columns, rows in rooms
        ):
            return False
        return self._keep(swatch)

    def plainly(self, rows: int, most_columns: int) -> bool:
        """Try a strip of so many rows with the plain packer; False where not all find room."""
        least = self._least_columns(rows)
        columns = max(math.ceil(least / _PLAINLY_FULL), least)
        while least <= most_columns:
            columns = min(columns, most_columns)
            stock = sheet_for(columns, rows)
            found = lay_on(self._task, self._all, stock, lambda: False)
            if len(found) == len(self._all):
                return self._keep(swatch_round(self._task, found))
            if columns == most_columns:
                break
            columns = math.ceil(columns * _GROWTH)
        return False

    def by_solver(
        self,
        rows: int,
        most_columns: int,
        seconds: float,
        seed: int,
        may_go_on: Callable[[], bool],
    ) -> bool:
        """Try a strip of so many rows with the solver; False where nothing was found in time."""
        room = self._room(most_columns, rows)
        if self._solver_fails or not all(
            fits_at_all(self._shapes.polygons[k], self._shapes.angles[k], room) for k in self._all
        ):
            return False
        strip = self._shapes.strip(self._all, room)
        enough = self._least_columns(rows) * QUARTER_INCH_MM - self._task.gap_mm
        try:
            best = shortest(strip, seconds, seed, enough, lambda length: may_go_on())
        except SolverFailedError:  # It would fail again.
            self._solver_fails = True
            return False
        if best is None or best.length_mm > room.length:
            return False
        return self._keep(swatch_round(self._task, on_sheet(best, self._all, room)))

    def _room(self, columns: int, rows: int) -> Room:
        return along(sheet_for(columns, rows), self._task.gap_mm, self._task.gap_mm)

    def _least_columns(self, rows: int) -> int:
        """Columns without which the shapes have no room for sure, or hardly any."""
        gap_mm = self._task.gap_mm
        height = rows * QUARTER_INCH_MM - gap_mm
        if height <= 0:
            return quarters_at_least(self._area_mm2)
        length = max(self._area_mm2 / height, self._narrowest_mm + gap_mm)
        return quarters_at_least(length + gap_mm)

    def _keep(self, swatch: Swatch | None) -> bool:
        if swatch is None:
            return False
        turned = (swatch.turned(),) if self._task.turn == "any" else ()
        self.swatches = worth_keeping([*self.swatches, swatch, *turned])
        return True


def _narrowest_mm(task: NestingTask) -> float:
    """What the narrow side of a rectangle that holds all shapes measures at least, gap apart."""
    boxes = [
        shape.envelope if task.turn != "any" else shapely.minimum_rotated_rectangle(shape)
        for shape in task.shapes
    ]
    corners = np.array([shapely.get_coordinates(box)[:3] for box in boxes])
    sides = np.hypot(*np.moveaxis(np.diff(corners, axis=1), -1, 0))
    return float(sides.min(axis=1).max())
