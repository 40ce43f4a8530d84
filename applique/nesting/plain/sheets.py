"""All shapes of a task on few sheets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from applique.cutting.bound import least_sheets
from applique.cutting.nested import NestedSheet, NestingTask, Stock
from applique.errors import InputError
from applique.nesting.plain.angles import may_fit, size_needed_mm
from applique.nesting.plain.kit import Kit
from applique.nesting.plain.trying import Filled, best_filled, moved_up

_MORE = 3
"""Times as many tries a sheet in each round as in the one before."""

_NAMED = 5
"""Shapes named in one sentence at most."""


def nest_plainly(task: NestingTask, may_go_on: Callable[[], bool]) -> tuple[NestedSheet, ...]:
    """All shapes of a task on few sheets.

    Scraps and sheets that there are only so many of are used first; then as few sheets as are
    found, the largest size first. The last one is of the smallest size that holds what lies on it,
    and laid from the top if all finds room so. The first result is always finished, without asking
    `may_go_on`; better ones are looked for as long as it says so. Gap and margin are kept to 0.0005
    mm. Raises InputError, naming them, for shapes that fit on no sheet or for which there are no
    sheets left.
    """
    if not task.shapes:
        return ()
    kit = _kit_for(task)
    sheets = _fewest(kit, may_go_on)
    return (*sheets[:-1], _tidied(kit, sheets[-1]))


def count_plainly(task: NestingTask) -> int:
    """How many sheets the first result has. Raises InputError as `nest_plainly` does."""
    return len(_fewest(_kit_for(task), lambda: False)) if task.shapes else 0


def _kit_for(task: NestingTask) -> Kit:
    _refuse_oversize(task)
    return Kit(task, range(len(task.shapes)), task.stocks)


def _fewest(kit: Kit, may_go_on: Callable[[], bool]) -> tuple[NestedSheet, ...]:
    """The fewest sheets that are found, the last one not tidied yet."""
    task = kit.task
    best = _nested(kit, 1, lambda: True)
    tries = _MORE
    fewest = least_sheets(task) if len(task.stocks) == 1 else 1
    while (best.left or len(best.sheets) > fewest) and may_go_on():
        found = _nested(kit, tries, may_go_on)
        best = min(best, found, key=lambda nested: nested.cost)
        tries *= _MORE
    if best.left:
        raise InputError(
            _no_room(task, best.left, "find no room on what there is", "Give more to cut from")
        )
    return best.sheets


@dataclass(frozen=True, eq=False)
class _Nested:
    """Shapes on sheets, and those left over; `used_mm2` is the area of shapes on the last sheet."""

    sheets: tuple[NestedSheet, ...]
    left: tuple[int, ...]
    used_mm2: float

    @property
    def cost(self) -> tuple[float, ...]:
        """What is to be small: shapes left over, sheets that are no scraps, their area, and what
        lies on the last."""
        whole = [sheet.stock for sheet in self.sheets if sheet.stock.is_rectangle]
        area = sum(stock.shape.area for stock in whole)
        return len(self.left), len(whole), area, self.used_mm2


def _nested(kit: Kit, tries: int, may_go_on: Callable[[], bool]) -> _Nested:
    """Sheet after sheet, each the fullest of some tries. What is left when time runs out stays
    left over."""
    left = list(range(len(kit.task.shapes)))
    sheets: list[NestedSheet] = []
    last = Filled((), 0.0)
    for stock in _in_order(kit.task.stocks):
        there = stock.count
        while left and there != 0 and may_go_on():
            found = best_filled(kit, left, stock, tries, may_go_on)
            if not found.placements:
                break
            last = found
            sheets.append(NestedSheet(stock, found.placements))
            laid = {placement.index for placement in found.placements}
            left = [k for k in left if k not in laid]
            there = None if there is None else there - 1
    if sheets and not left:
        sheets[-1] = _smallest(kit, sheets, tries, may_go_on)
    return _Nested(tuple(sheets), tuple(left), last.area_mm2)


def _in_order(stocks: Sequence[Stock]) -> list[Stock]:
    """Stocks in the order they are used in: scraps, small ones first, so that large ones stay
    whole; then sheets, large ones first. Sheets there are only so many of are scraps where others
    can be had without end."""
    endless = any(stock.count is None for stock in stocks if stock.is_rectangle)

    def rank(stock: Stock) -> tuple[bool, float]:
        area = float(stock.shape.area)
        scrap = not stock.is_rectangle or (endless and stock.count is not None)
        return (False, area) if scrap else (True, -area)

    return sorted(stocks, key=rank)


def _smallest(
    kit: Kit, sheets: Sequence[NestedSheet], tries: int, may_go_on: Callable[[], bool]
) -> NestedSheet:
    """The last sheet, or the smallest one that is to be had and holds all that lies on it."""
    last = sheets[-1]
    indices = sorted(placement.index for placement in last.placements)
    smaller = [s for s in kit.task.stocks if s.shape.area < last.stock.shape.area]
    for stock in sorted(smaller, key=lambda s: float(s.shape.area)):
        used = sum(sheet.stock is stock for sheet in sheets)
        if stock.count is not None and used >= stock.count:
            continue
        found = best_filled(kit, indices, stock, tries, may_go_on)
        if len(found.placements) == len(indices):
            return NestedSheet(stock, found.placements)
    return last


def _refuse_oversize(task: NestingTask) -> None:
    large = [
        k
        for k, shape in enumerate(task.shapes)
        if not any(may_fit(shape, stock, task.margin_mm, task.turn) for stock in task.stocks)
    ]
    if large:
        raise InputError(_no_room(task, large, "fits on no sheet", "Give a larger sheet"))


def _tidied(kit: Kit, sheet: NestedSheet) -> NestedSheet:
    """A sheet with room left, its shapes moved up if all of them find room there."""
    indices = sorted(placement.index for placement in sheet.placements)
    found = moved_up(kit, indices, sheet.stock)
    return (
        NestedSheet(sheet.stock, found.placements)
        if len(found.placements) == len(indices)
        else sheet
    )


def _no_room(task: NestingTask, indices: Sequence[int], fault: str, remedy: str) -> str:
    """One sentence for shapes without a sheet."""
    said = []
    for k in indices[:_NAMED]:
        width, height = (
            np.ceil(np.array(size_needed_mm(task.shapes[k], task.margin_mm, task.turn)) * 10) / 10
        )
        said.append(f"{task.names[k]} (needs {width:.1f} x {height:.1f} mm, margin included)")
    more = f" and {len(indices) - _NAMED} more" if len(indices) > _NAMED else ""
    return f"{', '.join(said)}{more}: {fault}. {remedy}."
