"""Orders from which a search for a short route sets out."""

from __future__ import annotations

import heapq
from collections.abc import Sequence

import numpy as np

_HALVINGS = 10
"""The plane is cut into 1024 x 1024 cells for the curve that visits them all."""


def nearest_first(
    starts: np.ndarray,
    ends: np.ndarray,
    waits_for: Sequence[Sequence[int]],
    here: np.ndarray | None,
) -> list[int]:
    """From where the needle is, (2,) in mm, to the nearest of `starts`, again and again; `ends`
    is where the needle comes out, both (n, 2) arrays of mm. Thing i follows `waits_for[i]`."""
    count = len(starts)
    waiting, above = _waiting(waits_for)
    closed = np.where(np.array(waiting) > 0, np.inf, 0.0)
    order: list[int] = []
    for _ in range(count):
        away = np.zeros(count) if here is None else ((starts - here) ** 2).sum(axis=1)
        nearest = int(np.argmin(away + closed))
        order.append(nearest)
        here = ends[nearest]
        closed[nearest] = np.inf
        for upper in above[nearest]:
            waiting[upper] -= 1
            if waiting[upper] == 0:
                closed[upper] = 0.0
    return order


def along_a_curve(points: np.ndarray, waits_for: Sequence[Sequence[int]]) -> list[int]:
    """The order of (n, 2) points in mm along a curve that fills the plane (Hilbert 1891), so that
    what follows each other in the order also lies together. Thing i follows `waits_for[i]`."""
    rank = _along_hilbert_curve(points).tolist()
    waiting, above = _waiting(waits_for)
    free = [(rank[thing], thing) for thing, many in enumerate(waiting) if many == 0]
    heapq.heapify(free)
    order: list[int] = []
    while free:
        _, thing = heapq.heappop(free)
        order.append(thing)
        for upper in above[thing]:
            waiting[upper] -= 1
            if waiting[upper] == 0:
                heapq.heappush(free, (rank[upper], upper))
    return order


def _waiting(waits_for: Sequence[Sequence[int]]) -> tuple[list[int], list[list[int]]]:
    """For each thing how many it waits for, and which wait for it."""
    above: list[list[int]] = [[] for _ in waits_for]
    for thing, lower_ones in enumerate(waits_for):
        for lower in set(lower_ones):
            above[lower].append(thing)
    return [len(set(lower_ones)) for lower_ones in waits_for], above


def _along_hilbert_curve(points: np.ndarray) -> np.ndarray:
    """How far along the curve each point's cell lies, counted in cells."""
    last = (1 << _HALVINGS) - 1
    low = points.min(axis=0)
    side = max(float((points.max(axis=0) - low).max()), 1e-9)
    x, y = np.minimum(((points - low) / side * (last + 1)).astype(np.int64), last).T
    along = np.zeros(len(points), dtype=np.int64)
    for level in range(_HALVINGS - 1, -1, -1):
        half = 1 << level
        right, lower = (x & half) > 0, (y & half) > 0
        along += half * half * ((3 * right) ^ lower)
        # The curve inside the first and the last quarter is turned.
        mirrored = right & ~lower
        x, y = np.where(mirrored, last - x, x), np.where(mirrored, last - y, y)
        x, y = np.where(lower, x, y), np.where(lower, y, x)
    return along
