"""Whether a certificate holds, by its definition alone; nothing of the search is used here.

A window that holds some parts still holds them when it is pushed right and down until its left and
top edges are those of two of them. So every left of a box is tried with every top of a box. Of the
parts inside, two are at odds if one must go into an earlier hooping than the other, or if between
them comes one that lies outside: no hooping in this window takes both. Parts of which no two are at
odds must not weigh more than the capacity. All numbers are whole: lengths in thousandths of a
millimetre, to which coordinates snap.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from applique.hoops.problem import Certificate, SizeMm

_PER_MM = 1_000


def faults_in(
    certificate: Certificate,
    boxes: np.ndarray,
    windows: Sequence[SizeMm],
    below: Sequence[Sequence[int]] = (),
    apart: Sequence[Sequence[int]] = (),
) -> list[str]:
    """What is wrong with a certificate for parts with the `boxes`, an (n, 4) array of mm; empty if
    it holds. `below` and `apart` are the order of the parts (see `Problem`); without them it must
    hold for hooping in any order. What may not be reached into is not looked at: if a window may
    lie nowhere near a part, fewer hoopings still don't do."""
    if len(certificate.weights) != len(boxes):
        return [f"there are {len(certificate.weights)} weights for {len(boxes)} parts"]
    if certificate.capacity < 1:
        return [f"the capacity is {certificate.capacity}, and must be 1 or more"]
    if min(certificate.weights, default=0) < 0:
        return ["some weights are less than 0"]
    if sum(certificate.weights) >= 2**62:
        return ["the weights are too large to be added up exactly"]
    placed = np.rint(np.asarray(boxes, dtype=float).reshape(-1, 4) * _PER_MM).astype(np.int64)
    order = _Order(below, apart, len(placed))
    faults = []
    for width, height in windows:
        size = round(width * _PER_MM), round(height * _PER_MM)
        heaviest = _heaviest(certificate, placed, size, order)
        if heaviest > certificate.capacity:
            faults.append(
                f"a window of {width:g} x {height:g} mm holds parts that weigh {heaviest}, more "
                f"than {certificate.capacity}"
            )
    return faults


class _Order:
    """Which parts come before which, and which of them in an earlier hooping: (n, n) of bool."""

    def __init__(
        self, below: Sequence[Sequence[int]], apart: Sequence[Sequence[int]], count: int
    ) -> None:
        weak, strict = _matrix(below, count), _matrix(apart, count)
        paths = weak | strict | np.eye(count, dtype=bool)
        while not np.array_equal(twice := _then(paths, paths), paths):
            paths = twice
        self._earlier = _then(_then(paths, strict), paths)
        self._before = paths & ~np.eye(count, dtype=bool)

    def at_odds(self, inside: np.ndarray) -> np.ndarray:
        """Which of the parts of a window, (k,) indices, are at odds: (k, k) of bool."""
        outside = np.ones(len(self._before), dtype=bool)
        outside[inside] = False
        around = _then(self._before[inside][:, outside], self._before[outside][:, inside])
        odds = around | self._earlier[np.ix_(inside, inside)]
        return np.asarray(odds | odds.T)


def _matrix(lowers: Sequence[Sequence[int]], count: int) -> np.ndarray:
    """Pairs (lower, upper) as a matrix."""
    pairs = np.zeros((count, count), dtype=bool)
    for upper, under in enumerate(lowers):
        for lower in under:
            pairs[lower, upper] = True
    return pairs


def _then(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Whether a step of one relation and then one of another lead from a part to a part."""
    return np.asarray((first.astype(np.float32) @ second.astype(np.float32)) > 0)


def _heaviest(
    certificate: Certificate, placed: np.ndarray, size: tuple[int, int], order: _Order
) -> int:
    """The largest weight that a hooping in a window of one size can hold, in any place; only as far
    as it is more than the capacity."""
    weights = np.array(certificate.weights, dtype=np.int64)
    heaviest = 0
    for inside in _windows(placed, size):
        if weights[inside].sum() > certificate.capacity:
            found = _heaviest_at_peace(weights[inside], order.at_odds(inside), certificate.capacity)
            heaviest = max(heaviest, found)
    return heaviest


def _windows(placed: np.ndarray, size: tuple[int, int]) -> Iterator[np.ndarray]:
    """The parts, as indices, of every window whose left and top edges are those of parts in it."""
    left, top, right, bottom = placed.T
    for start in np.unique(left):
        across = np.flatnonzero((left >= start) & (right <= start + size[0]))
        for upper in np.unique(top[across]):
            held = (top[across] >= upper) & (bottom[across] <= upper + size[1])
            inside = across[held]
            if len(inside) and left[inside].min() == start and top[inside].min() == upper:
                yield inside


def _heaviest_at_peace(weights: np.ndarray, odds: np.ndarray, capacity: int) -> int:
    """The largest weight of parts of which no two are at odds; 0 if none is above the capacity."""
    heaviest = 0
    waiting = [np.ones(len(weights), dtype=bool)]
    while waiting:
        members = waiting.pop()
        weight = int(weights[members].sum())
        if weight <= max(capacity, heaviest):
            continue
        quarrels = np.where(members, odds[:, members].sum(axis=1), 0)
        worst = int(quarrels.argmax())
        if quarrels[worst] == 0:
            heaviest = weight
            continue
        without = members.copy()
        without[worst] = False
        waiting += [without, members & ~odds[worst]]
    return heaviest
