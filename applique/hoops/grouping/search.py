"""Layer by layer through the states: what can be done with so many hoopings at most.

A layer holds the states after the same number of hoopings. A state from which the weights of what
is left (see `cover.py`) say that the hoopings don't suffice is dropped, and so is one whose parts
done are among those done in another state of the layer. Of a layer that grows too large the states
with the least left are kept. A search that never had to drop one for that proves that there is no
way if it finds none.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from applique.hoops.grouping.bounds import Bounds
from applique.hoops.grouping.cover import CAPACITY
from applique.hoops.grouping.order import Order
from applique.hoops.grouping.sets import distinct, maximal_so_far
from applique.hoops.grouping.states import States
from applique.hoops.problem import Width

_CELLS = 100_000
"""States times windows that are worked on at a time: some hundredths of a second."""

_MOST_COMPARED = 60_000
"""Larger layers are cut to this size before each state is compared with each other one."""


_SHARPNESS = 2.0
"""How much more a bound counts that is larger by one hooping, as a power of e; by trial."""

_NUDGE = 0.001
"""What all parts together weigh, in hoopings, beyond the bounds: so that of windows that are equal
by the bounds the one that takes more parts comes first."""


@dataclass(frozen=True)
class Outcome:
    """`hooping` of each part if a way was found. `whole`: nothing was left out for want of room."""

    hooping: tuple[int, ...] | None
    whole: bool


class Search:
    """Ways to sew all parts. `sets` are what the windows can hold, (m, n) bool."""

    def __init__(self, sets: np.ndarray, order: Order, bounds: Bounds) -> None:
        self._order = order
        self._states = States(sets, order)
        self._batch = max(1, _CELLS // len(sets))
        self._bounds = bounds

    def within(self, most: int, width: Width) -> Iterator[Outcome | None]:
        """Look for a way with `most` hoopings at most; None now and then, at last the outcome."""
        done = np.zeros((1, len(self._order.sequence)), dtype=bool)
        layers: list[tuple[np.ndarray, np.ndarray]] = []
        whole = True
        for number in range(most):
            rows, parents = [], []
            for start in range(0, len(done), self._batch):
                batch = done[start : start + self._batch]
                after, parent, all_kept = self._steps(batch, number, most, width)
                whole = whole and all_kept
                rows.append(after)
                parents.append(parent + start)
                yield None
            done, parent = np.vstack(rows), np.concatenate(parents)
            for latest in self._kept(done, width):
                kept, all_kept = latest
                yield None
            whole = whole and all_kept
            done, parent = done[kept], parent[kept]
            layers.append((done, parent))
            if len(done) == 0:
                break
            finished = np.flatnonzero(done.all(axis=1))
            if len(finished):
                yield Outcome(_traced(layers, int(finished[0])), whole)
                return
        yield Outcome(None, whole)

    def _steps(
        self, done: np.ndarray, number: int, most: int, width: Width
    ) -> tuple[np.ndarray, np.ndarray, bool]:
        """The states after one more hooping, the index of the one before each, and whether these
        are all that can lead to the end in time."""
        taken = self._states.taken(done, number)
        weights = self._urgency(done)
        gains = self._states.weighed(taken, weights)
        # No more than the hoopings after this one hold may be left: a quick look before the exact.
        held = CAPACITY * (most - number - 1 + 2 * _NUDGE)
        needed = np.where(done, 0.0, weights).sum(axis=1) - held
        useful = (gains > 0) & (gains >= needed[:, None])
        best = useful & _largest(gains, width.branches)
        all_kept = bool((best == useful).all())
        state, window = np.nonzero(best)
        after = done[state] | self._states.chosen(taken, state, window)
        idle = np.flatnonzero((gains <= 0).all(axis=1) & self._may_wait(done, number))
        after = np.vstack([after, done[idle]])
        state = np.concatenate([state, idle])
        in_time = self._bounds.least(~after) <= most - number - 1
        after, state = after[in_time], state[in_time]
        first = distinct(after)
        return after[first], state[first], all_kept

    def _may_wait(self, done: np.ndarray, number: int) -> np.ndarray:
        """In which states hooping `number` may stay empty: some parts have to wait for theirs,
        and none may not wait any longer."""
        left, order = ~done, self._order
        due = (left & (order.latest <= number)).any(axis=1)
        waiting = (left & (order.earliest > number)).any(axis=1)
        return np.logical_and(waiting, ~due)

    def _urgency(self, done: np.ndarray) -> np.ndarray:
        """The weights of the parts, (s, n), by which the windows are ranked in each state: those of
        all bounds together, the more of each the larger it is."""
        each = self._bounds.each(~done)
        share = np.exp((each - each.max(axis=1, keepdims=True)) * _SHARPNESS)
        share /= share.sum(axis=1, keepdims=True)
        return share @ self._bounds.weights + _NUDGE * CAPACITY / done.shape[1]

    def _remaining(self, done: np.ndarray) -> np.ndarray:
        """By how much, (s,), states are ranked: the largest of all bounds on what is left, and a
        little more the more of them are nearly as large."""
        each = self._bounds.each(~done)
        most = each.max(axis=1)
        shares = np.exp((each - most[:, None]) * _SHARPNESS).sum(axis=1)
        return most + np.log(shares) / _SHARPNESS

    def _kept(self, done: np.ndarray, width: Width) -> Iterator[tuple[np.ndarray, bool]]:
        """Which states of a layer to go on with, those with the least left first, and whether
        these are all that matter; in steps, of which the last one tells."""
        left = self._remaining(done)
        order = np.argsort(left, kind="stable")
        compared = order[:_MOST_COMPARED]
        for maximal in maximal_so_far(done[compared]):
            best = compared[maximal]
            best = best[np.argsort(left[best], kind="stable")]
            all_kept = len(best) <= width.states and len(order) == len(compared)
            yield best[: width.states], all_kept


def _largest(gains: np.ndarray, count: int) -> np.ndarray:
    """Which of each row's numbers are its `count` largest, or as large as the last of those."""
    if gains.shape[1] <= count:
        return np.ones(gains.shape, dtype=bool)
    least = -np.partition(-gains, count - 1, axis=1)[:, count - 1]
    return gains >= least[:, None]


def _traced(layers: list[tuple[np.ndarray, np.ndarray]], last: int) -> tuple[int, ...]:
    """The hooping of each part on the way to a state of the last layer."""
    hooping = np.zeros(layers[0][0].shape[1], dtype=np.int64)
    at = last
    for number in range(len(layers) - 1, -1, -1):
        done, parent = layers[number]
        hooping[done[at]] = number
        at = int(parent[at])
    return tuple(hooping.tolist())
