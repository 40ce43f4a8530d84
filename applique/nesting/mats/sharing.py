"""All fabrics on as few mats as can be found, several on a mat.

A fabric that is too much for one mat fills whole mats first. What is left of it, and every other
fabric, gets swatches; at first one by the plain packer, then more, and smaller ones, as long as
there is time.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace

from applique.cutting.bound import least_sheets
from applique.cutting.nested import NestedSheet, NestingTask, Placement, Stock
from applique.errors import InputError
from applique.nesting import solver
from applique.nesting.mats.arranging import Laid, Lying, Mat, arranged, cost, mat_of, tidied
from applique.nesting.mats.growing import Growing
from applique.nesting.mats.plan import QUARTER_INCH_MM, Patch, SharedMat
from applique.nesting.mats.swatches import Swatch, part_of, sheet_for
from applique.nesting.mats.tries import Rest, by_solver, rounds_of, run_round
from applique.nesting.plain.angles import may_fit
from applique.nesting.plain.sheets import nest_plainly
from applique.nesting.sheets import nest
from applique.report import Finding, error

_WHOLE_MATS_SHARE = 0.6
"""Of the time, for fabrics that fill whole mats, if all do."""

_CANT_BE_LAID = "some fabrics can't be laid on these mats"

_ARRANGING_SHARE = 0.2
"""Of the time, for the choice among swatches at the end."""

_HARD_TRY_S = 2.0
"""How long it tries to get a fabric on one mat where the plain packer can't."""


def share_mats(
    tasks: Sequence[tuple[str, NestingTask]],
    mats: Sequence[Stock],
    seconds: float,
    may_go_on: Callable[[], bool],
) -> tuple[SharedMat, ...]:
    """The shapes of all fabrics on few mats, within about so many seconds.

    `tasks` are of a fabric each, by name; their own stocks are not used, of the mats only the
    rectangular ones. Mats that are filled by one fabric alone come first. A first result is always
    finished.

    Raises InputError with a finding, its object the fabric, for each that has shapes too large for
    every mat, or the first that needs more mats than there are; and without findings where all
    together do.
    """
    end = time.monotonic() + seconds
    mats = [stock for stock in mats if stock.is_rectangle]
    tasks = [(fabric, replace(task, stocks=tuple(mats))) for fabric, task in tasks if task.shapes]
    if not tasks:
        return ()
    _refuse_oversize(tasks)
    sharing = _Sharing(mats, end, may_go_on)
    area_mm2 = sum(_area_mm2(task) for _, task in tasks)
    for fabric, task in tasks:
        sharing.add(fabric, task, seconds * _WHOLE_MATS_SHARE * _area_mm2(task) / area_mm2)
    return sharing.result()


class _Sharing:
    """Fabrics taken in one after another, then arranged."""

    def __init__(self, mats: Sequence[Stock], end: float, may_go_on: Callable[[], bool]) -> None:
        self._left = list(mats)
        self._arranging_s = _ARRANGING_SHARE * (end - time.monotonic())
        self._end = end - self._arranging_s
        self._may_go_on = may_go_on
        self._margin_mm = 0.0
        self._whole: list[SharedMat] = []
        self._rests: list[Rest] = []

    def add(self, fabric: str, task: NestingTask, seconds: float) -> None:
        """Take in a fabric: as a swatch or, where it is too much, on whole mats, nested within so
        many seconds, and what is on the emptiest of them as a swatch."""
        self._margin_mm = max(self._margin_mm, task.margin_mm)
        everything = tuple(range(len(task.shapes)))
        if self._as_swatch(fabric, task, everything, ()):
            return
        task = replace(task, stocks=tuple(self._left))
        try:
            sheets = nest(task, seconds, lambda progress: self._in_time()).sheets
        except InputError as problem:
            findings = [error("no-room", fabric, str(problem))]
            raise InputError(_CANT_BE_LAID, findings) from None
        emptiest = min(sheets, key=lambda sheet: _used_mm2(task, sheet))
        rest = tuple(it.index for it in emptiest.placements)
        if len(sheets) > 1 and self._as_swatch(fabric, task, rest, emptiest.placements):
            sheets = tuple(sheet for sheet in sheets if sheet is not emptiest)
        for sheet in sheets:
            box_mm = (0.0, 0.0, *sheet.stock.size_mm)
            patch = Patch(fabric, box_mm, sheet.placements)
            self._whole.append(SharedMat(sheet.stock, (patch,)))
            self._take(sheet.stock)

    def result(self) -> tuple[SharedMat, ...]:
        """Everything on its mats. Raises InputError where there are not enough."""
        best = arranged(self._choices(), self._mats(), lambda: False)
        if best is None:
            names = ", ".join(rest.fabric for rest in self._rests)
            raise InputError(f"there are not enough mats for {names}; give more, or larger ones")
        rows = sorted({mat.rows for mat in self._mats()}, reverse=True)
        most_columns = max(mat.columns for mat in self._mats())
        rounds = rounds_of(self._rests, rows)
        for number, tries in enumerate(rounds):
            if not self._in_time():
                break
            still = by_solver(rounds[number:])
            run_round(tries, still, most_columns, number, self._end, self._in_time)
        self._end += self._arranging_s
        found = arranged(self._choices(), self._mats(), self._in_time)
        best = min(best, found or best, key=cost)
        return (*self._whole, *map(self._shared, tidied(self._choices(), best)))

    def _in_time(self) -> bool:
        return self._may_go_on() and time.monotonic() < self._end

    def _mats(self) -> list[Mat]:
        return [mat_of(stock, self._margin_mm) for stock in self._left]

    def _choices(self) -> list[tuple[Swatch, ...]]:
        return [rest.growing.swatches for rest in self._rests]

    def _take(self, used: Stock) -> None:
        """One mat less."""
        self._left = [
            replace(stock, count=stock.count - 1)
            if stock.name == used.name and stock.count is not None
            else stock
            for stock in self._left
        ]

    def _as_swatch(
        self,
        fabric: str,
        task: NestingTask,
        indices: tuple[int, ...],
        lying: Sequence[Placement],
    ) -> bool:
        """Whether some shapes of a fabric were got on one swatch, which then shares a mat; `lying`
        is how they lie on a mat of their own, if they do."""
        part = part_of(task, indices)
        mats = [mat for mat in self._mats() if mat.columns and mat.rows]
        sheets = tuple(sheet_for(mat.columns, mat.rows) for mat in mats)
        if least_sheets(replace(part, stocks=sheets, margin_mm=task.gap_mm)) > 1:
            return False
        growing = Growing(part)
        if lying:
            growing.as_they_lie(lying, [(mat.columns, mat.rows) for mat in mats])
        for mat in mats if not growing.swatches else ():
            growing.plainly(mat.rows, mat.columns)
        if not growing.swatches and solver.is_there() and self._in_time():
            for mat in mats:
                growing.by_solver(mat.rows, mat.columns, _HARD_TRY_S, 0, self._in_time)
        if growing.swatches:
            self._rests.append(Rest(fabric, indices, growing))
        return bool(growing.swatches)

    def _shared(self, laid: Laid) -> SharedMat:
        """A mat with its patches, from the top down."""
        lying = sorted(laid.lying, key=lambda it: (it.y, it.x))
        return SharedMat(laid.mat.stock, tuple(self._patch(it) for it in lying))

    def _patch(self, it: Lying) -> Patch:
        rest = self._rests[it.item]
        left, top = (self._margin_mm + side * QUARTER_INCH_MM for side in (it.x, it.y))
        right = left + it.swatch.columns * QUARTER_INCH_MM
        bottom = top + it.swatch.rows * QUARTER_INCH_MM
        placements = tuple(
            Placement(
                rest.indices[each.index], each.angle_degrees, each.x_mm + left, each.y_mm + top
            )
            for each in it.swatch.placements
        )
        return Patch(rest.fabric, (left, top, right, bottom), placements)


def _refuse_oversize(tasks: Sequence[tuple[str, NestingTask]]) -> None:
    findings: list[Finding] = []
    for fabric, task in tasks:
        large = [
            k
            for k, shape in enumerate(task.shapes)
            if not any(may_fit(shape, stock, task.margin_mm, task.turn) for stock in task.stocks)
        ]
        if large:
            try:
                nest_plainly(part_of(task, large), lambda: False)
            except InputError as problem:
                findings.append(error("oversize", fabric, str(problem)))
    if findings:
        raise InputError(_CANT_BE_LAID, findings)


def _area_mm2(task: NestingTask) -> float:
    return float(sum(shape.area for shape in task.shapes))


def _used_mm2(task: NestingTask, sheet: NestedSheet) -> float:
    return float(sum(task.shapes[it.index].area for it in sheet.placements))
