"""Sheets filled one by one by the solver, within a time."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

from applique.cutting.nested import NestedSheet, NestingTask, Placement, Stock
from applique.errors import InputError
from applique.nesting.choosing import even_choice
from applique.nesting.filling import (
    Room,
    fits_at_all,
    fullest,
    on_sheet,
    room_of,
    shapes_of,
)
from applique.nesting.plain.sheets import nest_plainly
from applique.nesting.strip import shortest
from applique.nesting.topping import topped_up

_DENSEST = 0.94
"""No more of a sheet's room is ever asked to be filled, half the gap round each shape included."""

_USUAL = 0.84
"""How full sheets usually get, where nothing is known yet."""

_STEP = 0.03
_LOOSEST = 0.4
_TRIES_A_SHEET = 2.5
_SHORTEST_TRY_S, _LONGEST_TRY_S = 0.4, 6.0
_TIDYING_S, _TIDYING_A_SHAPE_S, _LONGEST_TIDYING_S = 0.5, 0.05, 2.0
"""How long the last sheet is packed towards one end: so long and so much more a shape, at most."""


class Search:
    """Fills the rectangular sheets of a task until a moment of the clock, or as long as
    `may_go_on` says so."""

    def __init__(self, task: NestingTask, end: float, may_go_on: Callable[[], bool]) -> None:
        self._task = task
        self._end = end
        self._may_go_on = may_go_on
        self._shapes = shapes_of(task)
        self._stocks = _in_order(stock for stock in task.stocks if stock.is_rectangle)
        self._usual = _USUAL
        self._seed = 0

    def one_by_one(self, loose: Sequence[int]) -> tuple[NestedSheet, ...]:
        """The shapes on sheets, each as full as was found; the plain packer lays what is left when
        the time is over. None if the sheets run out."""
        left, stocks = list(loose), list(self._stocks)
        sheets: list[NestedSheet] = []
        while left and self._may_go_on():
            sheet = self._last_sheet(left, stocks) or self._full_sheet(left, stocks)
            if sheet is None:
                break
            sheets.append(sheet)
            left = _without(left, sheet.placements)
            stocks = _one_less(stocks, sheet.stock)
        if not left:
            return tuple(sheets)
        try:
            return (*sheets, *self._plainly(left, stocks))
        except InputError:
            return ()

    def shared_out(self, loose: Sequence[int], count: int, turn: int) -> tuple[NestedSheet, ...]:
        """The shapes on so many sheets, each with its even share; none where that fails."""
        left, stocks = list(loose), list(self._stocks)
        sheets: list[NestedSheet] = []
        for still in range(count, 0, -1):
            room = self._largest(left, stocks)
            if room is None:
                return ()
            areas = self._shapes.areas(left)
            share = min(sum(areas) / still, room.area)
            choices = [even_choice(areas, share * 1.01, 2 * turn + k) for k in (0, 1)]
            sheet = self._filled(left, choices, room, self._try_s(still))
            if sheet is None:
                return ()
            sheets.append(sheet)
            left = _without(left, sheet.placements)
            stocks = _one_less(stocks, sheet.stock)
            if not left:
                return tuple(sheets)
        return ()

    def _full_sheet(self, left: Sequence[int], stocks: Sequence[Stock]) -> NestedSheet | None:
        """A sheet of the largest kind, as full as was found in its share of the time."""
        room = self._largest(left, stocks)
        if room is None:
            return None
        areas = self._shapes.areas(left)
        level = min(self._usual + _STEP, _DENSEST)
        while level >= _LOOSEST and self._may_go_on():
            seconds = self._try_s(sum(areas) / (room.area * self._usual))
            levels = (level, level - _STEP)
            choices = [even_choice(areas, part * room.area, self._seed % 7) for part in levels]
            sheet = self._filled(left, choices, room, seconds)
            if sheet is not None:
                taken = sum(self._shapes.areas([it.index for it in sheet.placements]))
                self._usual = min(max(taken / room.area, _LOOSEST), _DENSEST)
                return sheet
            level -= 2 * _STEP
        return None

    def _last_sheet(self, left: Sequence[int], stocks: Sequence[Stock]) -> NestedSheet | None:
        """All that is left on the smallest sheet that holds it, packed towards one end."""
        area = sum(self._shapes.areas(left))
        for stock in sorted(stocks, key=lambda each: each.shape.area):
            room = self._room(stock)
            if area > room.area * _DENSEST or not all(self._fits(k, room) for k in left):
                continue
            strip = self._shapes.strip(left, room)
            tidying_s = min(_TIDYING_S + _TIDYING_A_SHAPE_S * len(left), _LONGEST_TIDYING_S)
            seconds = max(min(self._try_s(1.0), tidying_s), _SHORTEST_TRY_S)
            if area > room.area * self._usual:  # It fits by a narrow margin, if at all.
                seconds = self._try_s(1.0)
            self._seed += 1
            best = shortest(strip, seconds, self._seed, 0.0, lambda length: self._may_go_on())
            if best is not None and best.length_mm <= room.length:
                return NestedSheet(stock, on_sheet(best, left, room))
        return None

    def _filled(
        self, left: Sequence[int], choices: Sequence[Sequence[int]], room: Room, seconds: float
    ) -> NestedSheet | None:
        self._seed += 1
        named = [[left[k] for k in choice if self._fits(left[k], room)] for choice in choices]
        found = fullest(
            self._shapes, [it for it in named if it], room, seconds, self._seed, self._may_go_on
        )
        if not found:
            return None
        others = _without(left, found)
        return topped_up(self._task, NestedSheet(room.stock, found), others)

    def _try_s(self, sheets_left: float) -> float:
        """How long one try may take, so that there is time for all sheets."""
        left_s = self._end - time.monotonic()
        share = left_s / (_TRIES_A_SHEET * max(sheets_left, 1.0))
        return min(max(share, _SHORTEST_TRY_S), _LONGEST_TRY_S)

    def _largest(self, left: Sequence[int], stocks: Sequence[Stock]) -> Room | None:
        """The room of the first kind of sheet that the largest of the shapes fits."""
        largest = max(left, key=lambda k: self._shapes.polygons[k].area)
        rooms = [self._room(stock) for stock in stocks]
        return next((room for room in rooms if self._fits(largest, room)), None)

    def _room(self, stock: Stock) -> Room:
        return room_of(stock, self._task.gap_mm, self._task.margin_mm)

    def _fits(self, index: int, room: Room) -> bool:
        return fits_at_all(self._shapes.polygons[index], self._shapes.angles[index], room)

    def _plainly(self, left: Sequence[int], stocks: Sequence[Stock]) -> tuple[NestedSheet, ...]:
        task = replace(
            self._task,
            names=tuple(self._task.names[k] for k in left),
            shapes=tuple(self._task.shapes[k] for k in left),
            stocks=tuple(stocks),
        )
        return tuple(
            NestedSheet(
                sheet.stock, tuple(replace(it, index=left[it.index]) for it in sheet.placements)
            )
            for sheet in nest_plainly(task, lambda: False)
        )


def _in_order(stocks: Iterable[Stock]) -> tuple[Stock, ...]:
    """Sheets of which there are only so many first, then the largest."""
    return tuple(sorted(stocks, key=lambda stock: (stock.count is None, -stock.shape.area)))


def _one_less(stocks: Sequence[Stock], used: Stock) -> list[Stock]:
    """What there is after one sheet was used."""
    left = []
    for stock in stocks:
        if stock is used and stock.count is not None:
            stock = replace(stock, count=stock.count - 1)
        if stock.count != 0:
            left.append(stock)
    return left


def _without(left: Sequence[int], placements: Sequence[Placement]) -> list[int]:
    laid = {it.index for it in placements}
    return [k for k in left if k not in laid]
