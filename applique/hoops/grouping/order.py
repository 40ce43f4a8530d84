"""What the order of the parts forces on the hoopings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from applique.hoops.problem import ImpossibleOrder, Problem

WHENEVER = 1_000_000
"""The latest hooping of a part that nothing presses."""


@dataclass(frozen=True, eq=False)
class Order:
    """The order of n parts. `sequence` names each part after all it lies on. `below[i]` are the
    parts directly below part i, without those that another of them implies; `apart[i]` those that
    go into an earlier hooping. `reach[i, k]` tells whether part i comes before part k, and
    `strictly[i, k]` whether into an earlier hooping; both (n, n) bool. `earliest` and `latest` are
    the hoopings, from 0, between which each part must be sewn, (n,) whole numbers."""

    sequence: tuple[int, ...]
    below: tuple[tuple[int, ...], ...]
    apart: tuple[tuple[int, ...], ...]
    reach: np.ndarray
    strictly: np.ndarray
    earliest: np.ndarray
    latest: np.ndarray


def order_of(problem: Problem) -> Order:
    """The order of the parts of a problem. Raises ImpossibleOrder where it is a circle, or where
    `fixed` contradicts it."""
    count = len(problem.boxes)
    weak = _pairs(problem.below, count)
    strict = _pairs(problem.apart, count)
    reach = _reach(weak | strict)
    if reach.diagonal().any():
        raise ImpossibleOrder(np.flatnonzero(reach.diagonal()).tolist())
    sequence = np.argsort(reach.sum(axis=0), kind="stable")
    whole = reach | np.eye(count, dtype=bool)
    implied = _product(reach, reach)
    direct = weak & ~implied & ~strict
    order = Order(
        sequence=tuple(sequence.tolist()),
        below=_lists(direct),
        apart=_lists(strict),
        reach=reach,
        strictly=_product(_product(whole, strict), whole),
        earliest=np.zeros(count, dtype=np.int64),
        latest=np.full(count, WHENEVER),
    )
    return _with_limits(order, problem)


def _pairs(lowers: Sequence[Sequence[int]], count: int) -> np.ndarray:
    """(lower, upper) bool."""
    pairs = np.zeros((count, count), dtype=bool)
    for upper, below in enumerate(lowers):
        pairs[list(below), upper] = True
    return pairs


def _lists(pairs: np.ndarray) -> tuple[tuple[int, ...], ...]:
    return tuple(tuple(np.flatnonzero(column).tolist()) for column in pairs.T)


def _reach(pairs: np.ndarray) -> np.ndarray:
    """Which part comes before which, in any number of steps (Warshall's algorithm)."""
    reach = pairs.copy()
    for part in range(len(pairs)):
        reach |= reach[:, part, None] & reach[None, part]
    return reach


def _product(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Whether there is a step of `first` and then one of `second`."""
    return (first.astype(np.float32) @ second.astype(np.float32)) > 0.5


def _with_limits(order: Order, problem: Problem) -> Order:
    earliest, latest = order.earliest, order.latest
    for part, number in problem.fixed.items():
        earliest[part], latest[part] = max(number, 0), number
    for part in order.sequence:
        for lower in order.below[part]:
            earliest[part] = max(earliest[part], earliest[lower])
        for lower in order.apart[part]:
            earliest[part] = max(earliest[part], earliest[lower] + 1)
    for part in reversed(order.sequence):
        for lower in order.below[part]:
            latest[lower] = min(latest[lower], latest[part])
        for lower in order.apart[part]:
            latest[lower] = min(latest[lower], latest[part] - 1)
    squeezed = np.flatnonzero(earliest > latest)
    if len(squeezed):
        raise ImpossibleOrder(squeezed.tolist())
    return order
