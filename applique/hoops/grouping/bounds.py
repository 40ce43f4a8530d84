"""How many hoopings must come before a part, and after it.

A part can be sewn in a hooping only together with everything it lies on that isn't done by then. If
in every hooping all windows at once took what they can, the parts would be done in as many rounds
as some chain of parts needs hoopings; no plan is faster. The round of a part, from 0, is its
*head*; its round when the order is turned round is its *tail*: so many hoopings come after it.

All parts with a tail of so many hoopings must be covered before those hoopings begin; the weights
of `cover.py`, taken over those parts alone, and the tail together bound the number of hoopings.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from applique.hoops.grouping.cover import CAPACITY, weights_over
from applique.hoops.grouping.order import Order


@dataclass(frozen=True, eq=False)
class Bounds:
    """Reasons for so many hoopings. `weights` are (k, n): what a hooping takes weighs CAPACITY at
    most. `tails`, (k,): after the last part that has a weight come so many hoopings."""

    weights: np.ndarray
    tails: np.ndarray

    @staticmethod
    def none(parts: int) -> Bounds:
        """No reasons yet, for so many parts."""
        return Bounds(np.zeros((0, parts)), np.zeros(0))

    def with_reason(self, weights: np.ndarray, tail: int) -> Bounds:
        """These and one reason more."""
        return Bounds(np.vstack([self.weights, weights]), np.append(self.tails, tail))

    def each(self, left: np.ndarray) -> np.ndarray:
        """Hoopings, in fractions, that the parts `left`, (s, n) bool, need by each reason, (s, k);
        0 where none of the parts concerned is left."""
        heavy = left.astype(float) @ self.weights.T
        return np.where(heavy > 0, heavy / CAPACITY + self.tails, 0.0)

    def least(self, left: np.ndarray) -> np.ndarray:
        """The whole hoopings, (s,), that the parts `left`, (s, n) bool, need at least."""
        return np.ceil(self.each(left)).max(axis=1).astype(np.int64)


def heads(sets: np.ndarray, order: Order) -> np.ndarray:
    """For each part, (n,), how many hoopings come before its own at least."""
    return _rounds(sets, order.reach, order.strictly)


def tails(sets: np.ndarray, order: Order) -> np.ndarray:
    """For each part, (n,), how many hoopings come after its own at least."""
    return _rounds(sets, order.reach.T, order.strictly.T)


def _rounds(sets: np.ndarray, before: np.ndarray, strictly: np.ndarray) -> np.ndarray:
    rounds = np.zeros(sets.shape[1], dtype=np.int64)
    left = np.ones(sets.shape[1], dtype=bool)
    outside = (~sets).astype(np.float32)
    number = 0
    while left.any():
        waiting_for = (before & left[:, None]).astype(np.float32)
        complete = sets & (outside @ waiting_for < 0.5)
        now = complete.any(axis=0) & left & ~(strictly & left[:, None]).any(axis=0)
        rounds[now] = number
        left &= ~now
        number += 1
    return rounds


def bounds_of(sets: np.ndarray, order: Order) -> Iterator[Bounds]:
    """The bounds for parts of which a hooping can hold the `sets`, (m, n) bool, one reason more
    each time: for the parts with so long a tail, and for those with so long a head."""
    after, before = tails(sets, order), heads(sets, order)
    bounds = Bounds.none(sets.shape[1])
    for tail in range(int(after.max(initial=0)) + 1):
        bounds = bounds.with_reason(weights_over(sets, after >= tail), tail)
        yield bounds
    for head in range(1, int(before.max(initial=0)) + 1):
        bounds = bounds.with_reason(weights_over(sets, before >= head), 0)
        yield bounds


def with_deadlines(bounds: Bounds, sets: np.ndarray, order: Order, most: int) -> Bounds:
    """The bounds with the reasons that lie in the latest hoopings of parts, where there are to be
    `most` hoopings in all."""
    for last in np.unique(order.latest[order.latest < most]):
        weights = weights_over(sets, order.latest <= last)
        bounds = bounds.with_reason(weights, most - 1 - int(last))
    return bounds


def least_in_all(bounds: Bounds, sets: np.ndarray, order: Order) -> int:
    """The least number of hoopings for all parts: those before the parts with so long a head, and
    what these need from there on."""
    before = heads(sets, order)
    first = np.arange(int(before.max(initial=0)) + 1)
    needed = first + bounds.least(before >= first[:, None])
    return max(
        int(needed.max()),
        int((before + tails(sets, order)).max(initial=-1)) + 1,
        int(order.earliest.max(initial=-1)) + 1,
    )
