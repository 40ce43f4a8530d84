"""The order in which to sew things so that the needle's way between them is short.

Few things: the shortest way, by dynamic programming over sets (Bellman; Held and Karp, both 1962).
More: from nearest to nearest, then exchanges that shorten, then the same again and again with two
stretches swapped by chance (iterated local search: Martin, Otto and Felten, "Large-step Markov
chains for the traveling salesman problem", 1991). A way a little longer than the last is accepted
too, less and less so (threshold accepting: Dueck and Scheuer 1990). Very many: in windows along a
curve. All from memory.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.sequence.ways.begun import along_a_curve, nearest_first
from applique.sequence.ways.way import Way

EFFORT = 10
"""Restarts for each thing, besides `_FEWEST_RESTARTS`. Computed: routes of 90 things then come
within 0.5 % of the shortest, those of 500 within 1.5 % of a lower bound."""

MOST_EXACT = 9
"""Up to so many things the shortest way is found; the work doubles with each more."""

MOST_TOGETHER = 1_000
"""More things are improved in windows of half as many, so that memory stays within bounds."""

_FEWEST_RESTARTS = 600

_RESTARTED_TOGETHER = 300
"""More things get no more restarts than so many, so that time grows only in proportion."""

_NEAR = 50
"""Every other restart swaps stretches of together at most so many things."""

_LONGER = 1.0
"""At first a restart may lengthen the route by this share of the mean way between things. Computed:
of 0, 0.2, 0.5, 1 and 2 it left the least."""

_UNITS_IN_MM = 1e6
"""Ways are counted in whole nanometres: sums are then exact, and what is equally long stays so."""


def shortest_route(
    starts: np.ndarray,
    ends: np.ndarray,
    waits_for: Sequence[Sequence[int]],
    here: np.ndarray | None = None,
    effort: int = EFFORT,
) -> list[int]:
    """The order of n things with a short way between them. The needle goes in at `starts` and
    comes out at `ends`, (n, 2) arrays of mm; thing i comes after all of `waits_for[i]`, which must
    not go round in a circle. `here`, (2,) in mm, is where the needle is before, None if that
    doesn't matter. `effort` is the number of restarts for each thing. Never longer than going
    from nearest to nearest."""
    count = len(starts)
    if count < 2:
        return list(range(count))
    ways = _ways(starts, ends, here, None) if count <= MOST_TOGETHER else None
    if ways is not None and count <= MOST_EXACT:
        return _shortest_of_all(ways, waits_for)
    order = nearest_first(starts, ends, waits_for, here)
    restarts = _FEWEST_RESTARTS + effort * min(count, _RESTARTED_TOGETHER)
    if ways is not None:
        return _shortened(ways, order, waits_for, restarts)
    other = _shortened_in_windows(starts, ends, waits_for, here, restarts)
    return min(order, other, key=lambda found: _length_mm(starts, ends, here, found))


def _length_mm(
    starts: np.ndarray, ends: np.ndarray, here: np.ndarray | None, order: Sequence[int]
) -> float:
    """The needle's way between things in an order."""
    between = float(_distance_mm(ends[order[:-1]], starts[order[1:]]).sum())
    return between if here is None else between + float(_distance_mm(here, starts[order[0]]))


def _ways(
    starts: np.ndarray, ends: np.ndarray, here: np.ndarray | None, there: np.ndarray | None
) -> np.ndarray:
    """(n + 2, n + 2): the way from the end of one to the start of another in whole nanometres;
    last but one the beginning, last the end of the route, 0 away where it doesn't matter."""
    count = len(starts)
    ways = np.zeros((count + 2, count + 2))
    ways[:count, :count] = _distance_mm(ends[:, None], starts[None])
    if here is not None:
        ways[count, :count] = _distance_mm(here, starts)
    if there is not None:
        ways[:count, count + 1] = _distance_mm(ends, there)
    return np.rint(ways * _UNITS_IN_MM)


def _distance_mm(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Distances along the last axis; by square roots, which every machine rounds alike."""
    return np.sqrt(((b - a) ** 2).sum(axis=-1))


def _shortest_of_all(ways: np.ndarray, waits_for: Sequence[Sequence[int]]) -> list[int]:
    """The shortest order, by the shortest way through each set of things to each last one."""
    count = len(ways) - 2
    between = ways[:count, :count]
    sets = np.arange(1 << count)
    sizes = sum((sets >> k) & 1 for k in range(count))
    needed = np.array([sum(1 << lower for lower in set(found)) for found in waits_for])
    length = np.full((len(sets), count), np.inf)
    before = np.zeros((len(sets), count), dtype=np.int64)
    free = np.flatnonzero(needed == 0)
    length[1 << free, free] = ways[count, free]
    for size in range(2, count + 1):
        chosen = sets[sizes == size]
        for last in range(count):
            rest = chosen[(chosen >> last) & 1 == 1] ^ (1 << last)
            rest = rest[rest & needed[last] == needed[last]]
            through = length[rest] + between[:, last]
            whole = rest | (1 << last)
            before[whole, last] = _last_of_least(through)
            length[whole, last] = through.min(axis=1)
    return _traced_back(length, before)


def _last_of_least(lengths: np.ndarray) -> np.ndarray:
    """The index of the least length along the last axis, the last one of equals: of two orders
    that are equally long, that one then is taken which ends with what lies on top."""
    count = lengths.shape[-1]
    return np.asarray(count - 1 - np.argmin(lengths[..., ::-1], axis=-1))


def _traced_back(length: np.ndarray, before: np.ndarray) -> list[int]:
    """The order of which (set, last) arrays hold the lengths and the last but one."""
    left = len(length) - 1
    last = int(_last_of_least(length[left]))
    order = [last]
    while left != 1 << last:
        left, last = left ^ (1 << last), int(before[left, last])
        order.append(last)
    return order[::-1]


def _shortened(
    ways: np.ndarray, order: Sequence[int], waits_for: Sequence[Sequence[int]], restarts: int
) -> list[int]:
    """An order made shorter by exchanges and by restarts."""
    count = len(order)
    way = Way(ways, order, waits_for)
    way.improve(range(count, -1, -1))
    shortest, shortest_order = way.length, way.order[1:-1]
    longer = _LONGER * way.length / count
    for k, (first, middle, last) in enumerate(_stretches(count, restarts)):
        if not way.may_swap(first, middle, last):
            continue
        before = way.length, way.order[:], way.place[:]
        way.improve(way.swap(first, middle, last, way.won_by_swap(first, middle, last)))
        if way.length > before[0] + longer * (1 - k / restarts):
            way.length, way.order, way.place = before
        elif way.length < shortest:
            shortest, shortest_order = way.length, way.order[1:-1]
    return shortest_order


def _stretches(count: int, restarts: int) -> list[tuple[int, int, int]]:
    """For each restart the places of two stretches to swap: the first place, the first of the
    second stretch and the last. In turn they lie anywhere and near together, where a swap hurts
    less and is less often forbidden."""
    chance = np.random.default_rng(count)
    reach = np.where(np.arange(restarts) % 2 == 0, count, min(count, _NEAR))[:, None]
    first = 1 + (chance.random((restarts, 1)) * (count - reach + 1)).astype(int)
    bounds = np.sort(first + (chance.random((restarts, 3)) * reach).astype(int), axis=1)
    return [(a, b, c) for a, b, c in bounds.tolist() if a < b]


def _shortened_in_windows(
    starts: np.ndarray,
    ends: np.ndarray,
    waits_for: Sequence[Sequence[int]],
    here: np.ndarray | None,
    restarts: int,
) -> list[int]:
    """An order along a curve made shorter in windows that overlap by half; what comes before and
    after a window stays where it is. All windows share the restarts."""
    order = along_a_curve(starts, waits_for)
    size = MOST_TOGETHER // 2
    beginnings = range(0, len(order) - size // 2, size // 2)
    for first in beginnings:
        window = order[first : first + size]
        index = {thing: k for k, thing in enumerate(window)}
        waiting = [[index[low] for low in waits_for[thing] if low in index] for thing in window]
        before = ends[order[first - 1]] if first else here
        after = starts[order[first + size]] if first + size < len(order) else None
        ways = _ways(starts[window], ends[window], before, after)
        found = _shortened(ways, range(len(window)), waiting, restarts // len(beginnings))
        order[first : first + size] = [window[k] for k in found]
    return order
