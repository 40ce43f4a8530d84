"""The fewest sheets: each filled as densely as can be found, what is left over at last.

A first result comes from the plain packer. Then the solver fills one sheet after another: of two
choices of shapes tried at once the fuller that fits is taken, the room that remains is topped up
with small ones, and the last sheet is packed towards one end, so that a usable piece is left of it.
Where that needs more sheets than is known to be needed, all shapes are shared out among one sheet
fewer as evenly as can be, and other choices are tried, as long as there is time.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from applique.cutting.bound import least_sheets
from applique.cutting.nested import NestedSheet, Nesting, NestingTask
from applique.nesting import solver
from applique.nesting.boxes import nest_in_rows
from applique.nesting.plain.sheets import nest_plainly
from applique.nesting.search import Search

_PLAINLY = 0.3
"""The share of the time in which the plain packer tries to do with fewer sheets."""

SOLVER, PLAIN = "solver", "plain packer"
PLAIN_SINCE_FAILED = "plain packer, since the solver failed"


@dataclass(frozen=True)
class Progress:
    """How far a nesting is: sheets of the best so far, how many are certainly needed, and what is
    being done."""

    found: int
    bound: int
    what: str


Told = Callable[[Progress], bool]
"""Hears how far the search is, and says whether it may go on."""


def nest(task: NestingTask, seconds: float, told: Told) -> Nesting:
    """All shapes of a task on few sheets, within about so many seconds.

    Raises InputError, naming them, for shapes that fit on no sheet or for which there are no
    sheets left.
    """
    begun = time.monotonic()
    end = begun + seconds
    bound = least_sheets(task)
    best = nest_plainly(task, lambda: False)
    in_rows = nest_in_rows(task)
    plenty = all(sheet.stock.count is None for sheet in best)
    if plenty and 0 < len(in_rows) < len(best):
        best = in_rows

    def may_go_on(what: str) -> bool:
        return told(Progress(len(best), bound, what)) and time.monotonic() < end

    if len(best) > bound and may_go_on("packing plainly"):
        share = _PLAINLY if solver.is_there() else 1.0
        plainly_until = begun + share * seconds
        plainly = nest_plainly(
            task, lambda: may_go_on("packing plainly") and time.monotonic() < plainly_until
        )
        best = min(best, plainly, key=len)
    if not solver.is_there() or len(task.shapes) == 1 or not may_go_on("filling sheets"):
        return Nesting(best, bound, PLAIN)
    on_scraps = tuple(sheet for sheet in best if not sheet.stock.is_rectangle)
    laid = {it.index for sheet in on_scraps for it in sheet.placements}
    loose = [k for k in range(len(task.shapes)) if k not in laid]
    search = Search(task, end, lambda: may_go_on("filling sheets"))
    turn, packer = 0, PLAIN_SINCE_FAILED
    try:
        found = search.one_by_one(loose)
        packer = SOLVER
        if found:
            best = _better(task, best, (*on_scraps, *found))
        while len(best) > max(bound, len(on_scraps) + 1) and may_go_on("sharing out among fewer"):
            turn += 1
            fewer = search.shared_out(loose, len(best) - len(on_scraps) - 1, turn)
            if fewer:
                best = _better(task, best, (*on_scraps, *fewer))
    except solver.SolverFailedError:
        pass  # What was found before it failed is as good as ever.
    return Nesting(best, bound, packer)


def _better(
    task: NestingTask, one: tuple[NestedSheet, ...], other: tuple[NestedSheet, ...]
) -> tuple[NestedSheet, ...]:
    """The nesting with fewer sheets, then of less area, then with less on its last sheet."""

    def cost(sheets: tuple[NestedSheet, ...]) -> tuple[float, ...]:
        area = sum(sheet.stock.shape.area for sheet in sheets)
        on_last = sum(task.shapes[it.index].area for it in sheets[-1].placements)
        return len(sheets), area, on_last

    return other if cost(other) <= cost(one) else one
