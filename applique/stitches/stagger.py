"""Short stitches: needle points that stand back where rungs run together.

On the inside of a bend and along a medial axis the rungs of a satin converge on one rail. There a
share of them ends earlier, so that the needle does not chew one hole. Which ones, a ruler tells:
its shortest marks, every other rung, end first, where all rungs together are half a spacing apart;
every fourth goes on to where they are a quarter apart, and so on. At any depth those that are left
are no further apart than the spacing, so nothing opens.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from applique.stitches.ladder import Rungs

SHORTEST_MM = 0.5
"""No short stitch below this: the proof's lower bound for satin."""

_SHARES = np.linspace(1.0, 0.1, 19)
"""Shares of a rung at which the distance to its neighbours is looked at, the longest first."""

_LONGEST_MARK = 5
"""Beyond so many halvings a rail has come to a point."""


def staggered(ladder: Rungs, spacing_mm: float) -> Rungs:
    """The ladder with short stitches on either rail wherever neighbours get closer than half the
    spacing."""
    side = np.cumsum(ladder.tip)
    inner = np.flatnonzero(~ladder.outer & ~ladder.tip)
    outer = np.flatnonzero(ladder.outer & ~ladder.tip)
    low, high = ladder.low.copy(), ladder.high.copy()
    low[inner] = _ends(ladder, inner, side[inner], ladder.low, ladder.high, spacing_mm)
    high[outer] = _ends(ladder, outer, side[outer], ladder.high, ladder.low, spacing_mm)
    cut_off = (low - ladder.low) + (ladder.high - high)
    return replace(ladder, low=low, high=high, spare=ladder.spare + cut_off)


def _ends(
    ladder: Rungs,
    index: np.ndarray,
    side: np.ndarray,
    end: np.ndarray,
    start: np.ndarray,
    spacing_mm: float,
) -> np.ndarray:
    """New heights for the rungs `index` of one rail, which end at height `end` and begin at
    `start`. `side` (n,) numbers the sides they stand on."""
    heights = end[index].copy()
    if len(index) < 3:
        return heights
    apart = _apart(ladder.points[index], side)
    crowded = np.flatnonzero(apart < spacing_mm / 2)
    if len(crowded) == 0:
        return heights
    wanted = spacing_mm / 2.0 ** (1 + _marks(side)[crowded])
    length = np.abs(end[index] - start[index])[crowded]
    shares = np.ones(len(crowded))
    left = np.ones(len(crowded), dtype=bool)
    for share in _SHARES:
        left &= share * length >= SHORTEST_MM
        if not left.any():
            break
        height = start[index] + share * (end[index] - start[index])
        points = ladder.base[index] + ladder.outward[index] * height[:, None]
        shares[left] = share
        left &= _apart(points, side)[crowded] < wanted
    heights[crowded] = start[index][crowded] + shares * (end[index] - start[index])[crowded]
    return heights


def _apart(points: np.ndarray, side: np.ndarray) -> np.ndarray:
    """How far points (n, 2) of a rail are from their neighbours on the same side, in the mean."""
    steps = np.hypot(*(points[1:] - points[:-1]).T)
    steps[side[1:] != side[:-1]] = np.nan
    before = np.concatenate([[np.nan], steps])
    after = np.concatenate([steps, [np.nan]])
    alone = np.isnan(before) & np.isnan(after)
    both = np.where(np.isnan(before), after, before) + np.where(np.isnan(after), before, after)
    return np.where(alone, np.inf, both / 2)


def _marks(side: np.ndarray) -> np.ndarray:
    """The marks of a ruler along each side: 0, 1, 0, 2, 0, 1, 0, 3 and so on, (n,) of int."""
    first = np.flatnonzero(np.concatenate([[True], side[1:] != side[:-1]]))
    counts = np.diff(np.append(first, len(side)))
    number = np.arange(len(side)) - np.repeat(first, counts) + 1
    marks = np.zeros(len(side), dtype=int)
    for mark in range(1, _LONGEST_MARK + 1):
        marks[number % 2**mark == 0] = mark
    return marks
