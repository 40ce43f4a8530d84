"""Underlay gives way: where its needle points and those of the edge above would crowd a place, the
underlay, which nobody sees, goes without one of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from applique.stitches.line import SewnLine
from applique.stitches.relief import MOST, RADIUS_MM

LONGEST_MM = 7.0
"""A stitch that results is no longer than this, as in a satin."""

ASTRAY_MM = 0.8
"""How far a stitch that results may lie from a needle point left out: the underlay stays in its
band."""


def yielding(lines: Sequence[SewnLine], edge: Sequence[SewnLine]) -> list[SewnLine]:
    """Lines of underlay without the needle points that would overfill a circle of 1 mm together
    with the edge sewn on them. Their ends stay."""
    if not lines or not edge:
        return list(lines)
    stops = np.cumsum([len(line.points) for line in lines])
    starts = np.concatenate([[0], stops[:-1]])
    kept = _kept([line.points for line in lines], np.vstack([line.points for line in edge]))
    return [
        replace(line, points=line.points[kept[a:b]])
        for line, a, b in zip(lines, starts.tolist(), stops.tolist(), strict=True)
    ]


def _kept(lines: Sequence[np.ndarray], holes: np.ndarray) -> np.ndarray:
    """Which points of the lines stay, (n,) of bool."""
    own = np.vstack(lines)
    every = np.vstack([own, holes])
    places = shapely.points(every)
    tree = shapely.STRtree(places)
    one, other = tree.query(places, predicate="dwithin", distance=RADIUS_MM)
    counts = np.bincount(one, minlength=len(every))
    # Only circles that are too full concern the underlay, and only its points in them.
    concerned = np.unique(other[(counts[one] > MOST) & (other < len(own))])
    kept = np.ones(len(own), dtype=bool)
    ends = np.cumsum([len(line) for line in lines])
    fixed = {0, *(ends - 1).tolist(), *ends[:-1].tolist()}
    for k in concerned.tolist():
        near = other[one == k]
        if k in fixed or counts[near].max() <= MOST:
            continue
        before, after = _neighbours(kept, k)
        if not _may_go(own[before], own[k], own[after]):
            continue
        kept[k] = False
        counts[near] -= 1
    return kept


def _neighbours(kept: np.ndarray, k: int) -> tuple[int, int]:
    """The points before and after one that are still there."""
    before, after = k - 1, k + 1
    while not kept[before]:
        before -= 1
    while not kept[after]:
        after += 1
    return before, after


def _may_go(before: np.ndarray, point: np.ndarray, after: np.ndarray) -> bool:
    """Whether a stitch from one point to another may do without one between."""
    way = after - before
    length = float(np.hypot(*way))
    if length > LONGEST_MM:
        return False
    offset = point - before
    share = min(max(float(offset @ way) / max(length * length, 1e-12), 0.0), 1.0)
    return bool(np.hypot(*(offset - share * way)) <= ASTRAY_MM)
