"""Underlay gives way: where its needle points and those of the edge above would crowd a place, the
underlay, which nobody sees, moves one of its own along its line, or goes without it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from applique.stitches.line import SewnLine
from applique.stitches.relief import MOST, RADIUS_MM

LONGEST_MM = 7.0
"""A stitch that results from one left out is no longer than this, as in a satin."""

ASTRAY_MM = 0.5
"""How far a stitch that results may lie from a needle point left out: the underlay stays in its
band."""

FURTHEST_ASTRAY_MM = 1.2
"""The same in mm where there is nowhere to move it to."""

_MOVES_MM = (0.3, 0.6, 0.9, 1.2, 1.6)
"""How far a needle point may be moved along a stitch, by at most half of it."""


def yielding(lines: Sequence[SewnLine], edge: Sequence[SewnLine]) -> list[SewnLine]:
    """Lines of underlay changed so that no circle of 1 mm is overfull by them and by the edge that
    is sewn on them, as far as that can be had."""
    if not lines or not edge:
        return list(lines)
    needles = _Needles(lines, np.vstack([line.points for line in edge]))
    needles.give_way()
    return [replace(line, points=needles.points_of(k)) for k, line in enumerate(lines)]


class _Needles:
    """The needle points of underlay lines and, after them, the fixed ones of the edge."""

    def __init__(self, lines: Sequence[SewnLine], holes: np.ndarray) -> None:
        sizes = [len(line.points) for line in lines]
        self._stops = np.cumsum(sizes)
        self._starts = self._stops - sizes
        self._own = int(self._stops[-1])
        self._points = np.vstack([*(line.points for line in lines), holes])
        self._kept = np.ones(len(self._points), dtype=bool)
        places = shapely.points(self._points)
        tree = shapely.STRtree(places)
        self._one, self._other = tree.query(places, predicate="dwithin", distance=RADIUS_MM)
        self._counts = np.bincount(self._one, minlength=len(self._points))

    def points_of(self, line: int) -> np.ndarray:
        """What became of a line, (n, 2) mm."""
        rows = np.arange(self._starts[line], self._stops[line])
        return self._points[rows[self._kept[rows]]]

    def give_way(self) -> None:
        """Change the underlay's points in overfull circles one after the other."""
        full = self._counts[self._one] > MOST
        concerned = np.unique(self._other[full & (self._other < self._own)])
        ends = {*self._starts.tolist(), *(self._stops - 1).tolist()}
        for k in concerned.tolist():
            near = self._near(self._points[k])
            if self._counts[near].max() <= MOST:
                continue
            before = self._neighbour(k, -1) if k not in self._starts else None
            after = self._neighbour(k, 1) if k + 1 not in self._stops else None
            astray = np.inf if k in ends else _astray(*self._points[[before, k, after]])
            neighbours = [i for i in (after, before) if i is not None]
            if astray <= ASTRAY_MM or (
                not self._moved(k, near, neighbours) and astray <= FURTHEST_ASTRAY_MM
            ):
                self._kept[k] = False
                self._counts[near] -= 1

    def _moved(self, k: int, near: np.ndarray, neighbours: list[int]) -> bool:
        """Move a point along its stitches to the nearest place that has room for it; False if there
        is none. `near` are the points in its circle, itself included."""
        others = near[near != k]
        self._kept[k] = False
        self._counts[others] -= 1
        for place in self._places_along(k, neighbours):
            room = self._near(place)
            if len(room) < MOST and (self._counts[room] < MOST).all():
                self._points[k], others = place, room
                break
        self._kept[k] = True
        self._counts[others] += 1
        self._counts[k] = len(others) + 1
        return len(others) < MOST and bool((self._counts[others] <= MOST).all())

    def _places_along(self, k: int, neighbours: list[int]) -> list[np.ndarray]:
        start = self._points[k]
        ways = self._points[neighbours] - start
        lengths = np.hypot(ways[:, 0], ways[:, 1])
        return [
            start + way * (step / length)
            for step in _MOVES_MM
            for way, length in zip(ways, lengths.tolist(), strict=True)
            if step <= length / 2
        ]

    def _near(self, place: np.ndarray) -> np.ndarray:
        """The indices of the points in the circle round a place."""
        across = self._points - place
        inside = (across * across).sum(axis=1) <= RADIUS_MM * RADIUS_MM
        return np.flatnonzero(inside & self._kept)

    def _neighbour(self, k: int, step: int) -> int:
        """The next point of the line that is still there."""
        k += step
        while not self._kept[k]:
            k += step
        return k


def _astray(before: np.ndarray, point: np.ndarray, after: np.ndarray) -> float:
    """How far a point lies from the stitch that would do without it, mm; infinitely far if that
    would be too long."""
    way = after - before
    length = float(np.hypot(*way))
    if length > LONGEST_MM:
        return np.inf
    offset = point - before
    share = min(max(float(offset @ way) / max(length * length, 1e-12), 0.0), 1.0)
    return float(np.hypot(*(offset - share * way)))
