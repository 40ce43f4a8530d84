"""Of plans with equally many hoopings, one with fewer thread changes and less stabiliser.

Hill climbing: single parts, and all parts of one colour in a hooping, go into another hooping where
order and windows allow it and the plan gets better. A plan is better with fewer colour blocks in
all its hoopings together (see `sequence/colours`) or, with as many, less stabiliser: each hooping
takes a piece as large as the smallest window that holds it and SPARE_MM more on each side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from applique.hoops.grouping.blocks import MOST_EXACT, fewest_of, quick_count
from applique.hoops.grouping.candidates import sets_of_size
from applique.hoops.grouping.order import Order
from applique.hoops.problem import Problem, SizeMm

SPARE_MM = 25.4
"""What a piece of stabiliser is wider and higher than a window: half an inch on each side for the
frame to hold (common practice)."""


def preferred(
    problem: Problem, order: Order, hooping: Sequence[int], changes: int
) -> Iterator[tuple[int, ...]]:
    """Better and better plans, from `hooping` on: the hooping of each part, as the best stands
    after each change that was tried. Ends when no change helps or `changes` were tried."""
    plan = _Plan(problem, order, hooping)
    improved = True
    while improved:
        improved = False
        for parts in plan.groups():
            for number in plan.open_to(parts):
                if changes == 0:
                    return
                changes -= 1
                improved = plan.move_if_better(parts, number) or improved
                yield plan.hooping


class _Plan:
    """A plan, and what its hoopings cost."""

    def __init__(self, problem: Problem, order: Order, hooping: Sequence[int]) -> None:
        self._problem = problem
        self._order = order
        self._hooping = np.array(hooping)
        self._count = int(self._hooping.max()) + 1
        self._fixed = np.isin(np.arange(len(hooping)), list(problem.fixed))
        self._colour = np.unique(np.array(problem.colours), return_inverse=True)[1]
        sizes = sorted(set(problem.windows), key=lambda size: (_piece_mm2(size), size))
        sets = [sets_of_size(problem.boxes, size, problem.keep_out) for size in sizes]
        self._sets = np.vstack(sets)
        self._piece = np.repeat([_piece_mm2(size) for size in sizes], [len(held) for held in sets])
        self._known: dict[bytes, int] = {}

    @property
    def hooping(self) -> tuple[int, ...]:
        """The hooping of each part."""
        return tuple(self._hooping.tolist())

    def groups(self) -> list[np.ndarray]:
        """What may be moved as one, (n,) bool each: the parts of one colour in a hooping, if there
        are several, and single parts."""
        free = ~self._fixed
        found = []
        for number in range(self._count):
            for colour in np.unique(self._colour[self._hooping == number]):
                group = (self._hooping == number) & (self._colour == colour)
                if group.sum() > 1 and not group[self._fixed].any():
                    found.append(group)
        return found + list(np.eye(len(free), dtype=bool)[free])

    def open_to(self, parts: np.ndarray) -> list[int]:
        """The other hoopings that the order leaves open to some parts of one hooping, and where
        a thread of their colour is used anyway or they leave none of it behind."""
        if len(np.unique(self._hooping[parts])) != 1:
            return []
        source = int(self._hooping[parts][0])
        rest = (self._hooping == source) & ~parts
        if not rest.any():
            return []
        first, last = self._between(parts)
        colour = int(self._colour[parts][0])
        leaves_some = bool((self._colour[rest] == colour).any())
        used = [bool((self._colour[self._hooping == k] == colour).any()) for k in range(last + 1)]
        return [
            number
            for number in range(first, last + 1)
            if number != source and (used[number] or not leaves_some)
        ]

    def _between(self, parts: np.ndarray) -> tuple[int, int]:
        """The first and the last hooping that the order of all other parts allows."""
        reach, strictly = self._order.reach, self._order.strictly
        lower, upper = reach[:, parts].any(axis=1), reach[parts].any(axis=0)
        before, after = strictly[:, parts].any(axis=1), strictly[parts].any(axis=0)
        first = max(
            int(self._hooping[lower & ~parts].max(initial=0)),
            int(self._hooping[before].max(initial=-1)) + 1,
        )
        last = min(
            int(self._hooping[upper & ~parts].min(initial=self._count - 1)),
            int(self._hooping[after].min(initial=self._count)) - 1,
        )
        return first, last

    def move_if_better(self, parts: np.ndarray, number: int) -> bool:
        """Move some parts of one hooping into another if they fit and the plan gets better."""
        source = self._hooping == self._hooping[parts][0]
        target = self._hooping == number
        # All hoopings concerned are reckoned in the same way.
        exact = int((target | source).sum()) <= MOST_EXACT
        after = self._cost((target | parts, source & ~parts), exact)
        before = self._cost((target, source), exact)
        if after is None or before is None or after >= before:
            return False
        self._hooping[parts] = number
        return True

    def _cost(self, hoopings: Sequence[np.ndarray], exact: bool) -> tuple[int, float] | None:
        """Colour blocks and mm² of stabiliser; None if the parts of one fit into no window."""
        filled = [parts for parts in hoopings if parts.any()]
        area = 0.0
        for parts in filled:
            holding = self._sets[:, parts].all(axis=1)
            if not holding.any():
                return None
            area += float(self._piece[holding.argmax()])
        return sum(self._blocks(parts, exact) for parts in filled), area

    def _blocks(self, parts: np.ndarray, exact: bool) -> int:
        """Colour blocks of a hooping of some parts."""
        key = np.packbits(parts).tobytes() + bytes([exact])
        if key not in self._known:
            rows = np.array([part for part in self._order.sequence if parts[part]], dtype=np.int64)
            inside = self._order.reach[np.ix_(rows, rows)]
            below = [np.flatnonzero(column).tolist() for column in inside.T]
            colours = [self._problem.colours[part] for part in rows]
            count = fewest_of if exact else quick_count
            self._known[key] = count(colours, below)
        return self._known[key]


def _piece_mm2(size: SizeMm) -> float:
    return (size[0] + SPARE_MM) * (size[1] + SPARE_MM)
