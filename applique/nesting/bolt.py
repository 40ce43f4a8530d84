"""Fabric or fusible web from the bolt: of a usable width and any length.

Fabric is bought by length. Its grain runs along the length, so a length of it is a sheet as wide as
the fabric's usable width, its grain up the sheet as everywhere. The solver packs strips along their
length: the shapes lie in them turned by a quarter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon

from applique.cutting.needed import FabricNeeded
from applique.cutting.nested import (
    ANGLES_DEGREES,
    NestedSheet,
    NestingTask,
    Placement,
    placed,
    rectangle,
)
from applique.cutting.validity import TOLERANCE_MM, faults_of
from applique.errors import InputError, OutputError
from applique.nesting.boxes import nest_in_rows
from applique.nesting.filling import Room, fits_at_all
from applique.nesting.plain import lay_upward, nest_plainly
from applique.nesting.shapes import distinct_angles, solver_shape
from applique.nesting.strip import Strip
from applique.units import MM_PER_YARD

_PLAINLY_FULL = 0.6
"""How full the plain packer gets a length at most, gaps counted as pieces: longer ones are tried in
vain."""

_FEW = 40
"""So many pieces at most the plain packer lays in any case where rows would do too: it got web for
3 to 10 of them up to a quarter shorter, for 80 by a tenth, in 10 to 20 ms each (measured)."""

_WASTEFUL = 0.55
"""Rows that are less full, gaps counted as pieces, it lays anew however many pieces there are: half
squares then take half the length (measured)."""

_NAMED = 5
"""Pieces named in one sentence at most."""

_QUARTER_TURN = Placement(0, 90.0, 0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Bolt:
    """Fabric or web of a usable width and any length, and what is cut from it."""

    what: str
    task: NestingTask
    width_mm: float

    def needed(self, length_mm: float) -> FabricNeeded:
        """So much of it, in words of the shop."""
        area_mm2 = float(sum(shape.area for shape in self.task.shapes))
        return FabricNeeded(self.what, len(self.task.shapes), area_mm2, self.width_mm, length_mm)

    def refuse_too_wide(self) -> None:
        """Raise InputError if there are pieces wider than it, however they may be turned."""
        found = [
            f"{name} (needs {math.ceil(least_mm * 10) / 10:.1f} mm)"
            for name, shape in zip(self.task.names, self.task.shapes, strict=True)
            if (least_mm := self._least_mm(shape, across=True)) > self.width_mm + TOLERANCE_MM
        ]
        if found:
            more = f" and {len(found) - _NAMED} more" if len(found) > _NAMED else ""
            raise InputError(
                f"{self.what}: {', '.join(found[:_NAMED])}{more}: wider than the usable width of "
                f"{self.width_mm:g} mm; give a larger one"
            )

    def _least_mm(self, shape: MultiPolygon, across: bool) -> float:
        """How much of the width, or else of the length, a shape takes at least."""
        if ANGLES_DEGREES[self.task.turn] is None:
            return _least_width_mm(shape)
        left, top, right, bottom = shape.bounds
        return right - left if across else bottom - top

    def least_length_mm(self) -> float:
        """A length that all shapes certainly take: the longest of them, or, each grown by half the
        gap, all their areas on a length grown likewise."""
        gap_mm = self.task.gap_mm
        grown_mm2 = float(shapely.area(shapely.buffer(list(self.task.shapes), gap_mm / 2)).sum())
        longest_mm = max(self._least_mm(shape, across=False) for shape in self.task.shapes)
        return max(longest_mm, grown_mm2 / (self.width_mm + gap_mm) - gap_mm)

    def enough_mm(self) -> float:
        """The greatest length for which no more must be bought than there must be anyway."""
        least = self.needed(self.least_length_mm())
        return min(least.yard_eighths * MM_PER_YARD / 8, least.metre_tenths * 100.0)

    def strip(self) -> Strip | None:
        """The shapes as the solver takes them, their grain along the strip. None where one of them
        might not fit, for which the solver would fail."""
        height = self.width_mm + self.task.gap_mm
        room = Room(rectangle(self.what, self.width_mm, 1.0), math.inf, height, False, 0.0)
        grown = [solver_shape(shape, self.task.gap_mm) for shape in self.task.shapes]
        turned = tuple(placed(shape, _QUARTER_TURN) for shape in grown)
        allowed = ANGLES_DEGREES[self.task.turn]
        angles = tuple(distinct_angles(shape, allowed) for shape in turned)
        if not all(map(fits_at_all, turned, angles, [room] * len(turned))):
            return None
        return Strip(turned, angles, height)

    def length_of(self, placements: Sequence[Placement]) -> float:
        """The least length that all shapes take: in their places, if these stand the check, or in
        rows; where neither does, or where shapes without places may lie closer than in rows, as the
        plain packer lays them."""
        found = [self._checked(layout) for layout in (placements, self._in_rows()) if layout]
        lengths_mm = [length_mm for length_mm, faults in found if not faults]
        if lengths_mm:
            return min(lengths_mm) if placements else self._plainly_less(lengths_mm[0])
        length_mm, faults = self._checked(self._plainly())
        if faults:
            raise OutputError(f"{self.what}: what to buy can't be told ({faults[0]}); run it again")
        return length_mm

    def _plainly_less(self, length_mm: float) -> float:
        """The length that the plain packer needs if it is less than that of rows, where it is worth
        its time and less may have to be bought."""
        worth_while = (
            len(self.task.shapes) <= _FEW or self.least_length_mm() < _WASTEFUL * length_mm
        )
        if not worth_while or length_mm <= self.enough_mm():
            return length_mm
        stock = rectangle(self.what, self.width_mm, length_mm)
        laid = lay_upward(replace(self.task, stocks=(stock,)), stock)
        found_mm, faults = self._checked(laid) if laid else (length_mm, [])
        return length_mm if faults else min(length_mm, found_mm)

    def _checked(self, placements: Sequence[Placement]) -> tuple[float, list[str]]:
        """The length that a layout takes, and what is wrong with it on just that length."""
        top, bottom = self._extent(placements)
        stock = rectangle(self.what, self.width_mm, bottom - top)
        moved = tuple(replace(it, y_mm=it.y_mm - top) for it in placements)
        task = replace(self.task, stocks=(stock,))
        return bottom - top, faults_of(task, [NestedSheet(stock, moved)])

    def _extent(self, placements: Sequence[Placement]) -> tuple[float, float]:
        """Where a layout begins and ends along the length."""
        bounds = shapely.bounds([placed(self.task.shapes[it.index], it) for it in placements])
        return float(bounds[:, 1].min()), float(bounds[:, 3].max())

    def _in_rows(self) -> tuple[Placement, ...]:
        """All shapes in rows; none where a box is wider than the fabric."""
        bounds = shapely.bounds(list(self.task.shapes))
        diagonals_mm = np.hypot(*(bounds[:, 2:] - bounds[:, :2]).T)
        enough_mm = float(diagonals_mm.sum()) + self.task.gap_mm * len(bounds)
        stock = rectangle(self.what, self.width_mm, enough_mm)
        sheets = nest_in_rows(replace(self.task, stocks=(stock,)))
        return sheets[0].placements if len(sheets) == 1 else ()

    def _plainly(self) -> list[Placement]:
        """All shapes as the plain packer lays them: on long sheets that become one."""
        bounds = shapely.bounds(list(self.task.shapes))
        diagonal_mm = float(np.hypot(*(bounds[:, 2:] - bounds[:, :2]).T).max())
        length_mm = max(diagonal_mm, self.least_length_mm() / _PLAINLY_FULL)
        stock = rectangle(self.what, self.width_mm, length_mm)
        laid: list[Placement] = []
        end_mm = 0.0
        for sheet in nest_plainly(replace(self.task, stocks=(stock,)), lambda: False):
            top, bottom = self._extent(sheet.placements)
            laid += [replace(it, y_mm=it.y_mm - top + end_mm) for it in sheet.placements]
            end_mm += bottom - top + self.task.gap_mm + TOLERANCE_MM
        return laid


def _least_width_mm(shape: MultiPolygon) -> float:
    """The narrowest two parallel lines that a shape fits between: a side of its hull lies on one
    of them (M. Shamos, "Computational geometry", 1978)."""
    corners = shapely.get_coordinates(shape.convex_hull)
    sides = np.diff(corners, axis=0)
    normals = np.stack([-sides[:, 1], sides[:, 0]]) / np.hypot(*sides.T)
    return float(np.ptp(corners @ normals, axis=0).min())
