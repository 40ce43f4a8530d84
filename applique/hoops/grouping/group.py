"""The fewest hoopings for a block, with the proof that fewer can't do.

First a plan is made by always taking the window that takes most; then come the bounds (`cover.py`,
`bounds.py`), and then passes of the search (`search.py`), each wider than the one before, that look
for a plan with one hooping less than the best. A pass that looked at everything and found nothing
proves the best plan; where none could, the bound is raised as far as passes can look at everything.
At last, of plans equally short, one
with fewer thread changes and less stabiliser is sought (`preferring.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from itertools import islice

import numpy as np

from applique.hoops.grouping.bounds import Bounds, bounds_of, least_in_all, with_deadlines
from applique.hoops.grouping.candidates import window_sets
from applique.hoops.grouping.convex import sets_in_order
from applique.hoops.grouping.cover import certificate_of, weights_over
from applique.hoops.grouping.order import order_of
from applique.hoops.grouping.preferring import preferred
from applique.hoops.grouping.search import Outcome, Search
from applique.hoops.grouping.sets import maximal
from applique.hoops.problem import (
    Certificate,
    Effort,
    Grouping,
    ImpossibleOrder,
    Problem,
    Progress,
    Width,
)

_WINDOWS_AT_ONCE = 100
"""Windows that are split by the order between two reports of progress."""

ALL = 1_000_000
"""More windows than any block has places for."""

USUAL = Effort(
    passes=(Width(30, 10), Width(300, 20), Width(2_000, 60), Width(4_000, ALL)),
    steps=6_000,
    changes=400,
)
"""Some seconds for 200 parts; by trial (see `tests/benchmarks/hoopings.py`)."""

HASTY = Effort(passes=(Width(30, 10),), steps=100, changes=0)
"""Enough to tell which of several ways to divide large pieces promises the fewest hoopings."""

_GREEDY = (Width(1, 1), Width(30, 10), Width(1_000, ALL))
"""The passes for a first plan; only parts with a fixed hooping need more than the first."""


def group(
    problem: Problem,
    keep_going: Callable[[Progress], bool] | None = None,
    effort: Effort = USUAL,
) -> Grouping:
    """Share the parts out among as few hoopings as the search finds.

    `keep_going` is told of the progress several times a second; where it answers False the best
    plan so far is returned at once, not `finished`. Without it, the search ends by its own counts.
    Raises TooLarge for parts that no window holds, and ImpossibleOrder for parts whose order is a
    circle, or whose `fixed` hoopings contradict the order or the windows.
    """
    if len(problem.boxes) == 0:
        return Grouping((), 0, 0, Certificate((), 1))
    run = _Run(problem, effort)
    for what in run.work():
        if keep_going is not None and not keep_going(Progress(run.count, run.bound, what)):
            return run.grouping(finished=False)
    return run.grouping(finished=True)


class _Run:
    """A search under way; there is a plan from the very start."""

    def __init__(self, problem: Problem, effort: Effort) -> None:
        self._problem = problem
        self._effort = effort
        self._order = order_of(problem)
        self._sets = window_sets(problem.boxes, problem.windows, problem.keep_out)
        self._weights = weights_over(self._sets)
        self._hooping = self._first()
        sets = self._anywhere()
        self._certificate = certificate_of(sets, weights_over(sets))
        self._bounds = Bounds.none(len(problem.boxes))
        self.bound = max(self._certificate.bound, 1 + max(problem.fixed.values(), default=-1))

    @property
    def count(self) -> int:
        """The hoopings of the best plan so far."""
        return max(self._hooping) + 1

    def grouping(self, finished: bool) -> Grouping:
        """The best plan so far."""
        return Grouping(self._hooping, self.count, self.bound, self._certificate, finished)

    def work(self) -> Iterator[str]:
        """Go on step by step; says before each step what is being done."""
        yield "counting"
        if self.bound < self.count:
            yield from islice(self._fewest(), self._effort.steps)
        yield "tidying"
        tried = preferred(self._problem, self._order, self._hooping, self._effort.changes)
        for hooping in tried:
            self._hooping = hooping
            yield "tidying"

    def _first(self) -> tuple[int, ...]:
        most = len(self._problem.boxes) + 1 + max(self._problem.fixed.values(), default=-1)
        simple = Bounds.none(len(self._weights)).with_reason(self._weights, 0)
        bounds = with_deadlines(simple, self._sets, self._order, most)
        for width in _GREEDY:
            hooping = _last(Search(self._sets, self._order, bounds).within(most, width)).hooping
            if hooping is not None:
                return hooping
        raise ImpossibleOrder(sorted(self._problem.fixed))

    def _anywhere(self) -> np.ndarray:
        """What windows can hold that may lie anywhere. Boxes that are kept out don't count in a
        certificate: whoever checks it need not know of them."""
        if not self._problem.keep_out:
            return self._sets
        return window_sets(self._problem.boxes, self._problem.windows)

    def _fewest(self) -> Iterator[str]:
        split = []
        for start in range(0, len(self._sets), _WINDOWS_AT_ONCE):
            some = self._sets[start : start + _WINDOWS_AT_ONCE]
            split.append(sets_in_order(some, self._order))
            yield "counting"
        sets = np.vstack(split)
        sets = sets[maximal(sets)]
        yield "counting"
        self._certify(sets)
        yield "counting"
        for bounds in bounds_of(sets, self._order):
            self._bounds = bounds
            yield "counting"
        self.bound = max(self.bound, least_in_all(self._bounds, sets, self._order))
        for width in self._effort.passes:
            found = True
            while found and self.bound < self.count:
                most = self.count - 1
                found = yield from self._pass(sets, most, width)
        # The last pass has already looked for a plan with one hooping less than the best.
        whole = True
        while whole and self.bound < self.count - 1:
            most = self.bound
            yield from self._pass(sets, most, self._effort.passes[-1])
            whole = self.bound > most

    def _certify(self, sets: np.ndarray) -> None:
        """Take the certificate that knows of the order, if it allows more. `sets` are what windows
        hold in order."""
        if self._problem.keep_out:
            sets = sets_in_order(self._anywhere(), self._order)
        certificate = certificate_of(sets, weights_over(sets))
        if certificate.bound > self._certificate.bound:
            self._certificate = certificate
            self.bound = max(self.bound, certificate.bound)

    def _pass(self, sets: np.ndarray, most: int, width: Width) -> Generator[str, None, bool]:
        """Look for a plan with `most` hoopings at most; returns whether one was found."""
        reasons = with_deadlines(self._bounds, sets, self._order, most)
        outcome = Outcome(None, False)
        for step in Search(self._sets, self._order, reasons).within(most, width):
            if step is None:
                yield f"looking for {most}"
            else:
                outcome = step
        if outcome.hooping is not None:
            self._hooping = outcome.hooping
        elif outcome.whole:
            self.bound = most + 1
        return outcome.hooping is not None


def _last(steps: Iterator[Outcome | None]) -> Outcome:
    *_, outcome = steps
    assert outcome is not None
    return outcome
