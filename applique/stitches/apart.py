"""Bites kept clear of each other: shortened until none meets another, from whatever edge it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely

from applique.stitches.bites import Bites, joined

APART_MM = 0.3
"""Bites keep this far from each other but for their roots."""

SHORTEST_MM = 0.4
"""A bite of less, measured from the run, could not be told from the run."""

_ROOT = 0.4
"""Share of a bite, from the outline on, that may lie near the next one."""

_ALIKE = 0.9
"""Of two bites too near each other the deeper one is shortened; if one is at least this share of
the other, both are, so that a small circle stays as regular as it is."""

_ONE_CORNER_MM = 0.4
"""Bites of two corners that meet within this of both look like one bite: a thread's width."""

_SHORTER = 0.8
_ROUNDS = 12

_OWN_HOLE_MM = 0.1
"""Bites that meet within this of their pivots share a hole, as where two corners touch."""


def apart(edges: Sequence[Bites]) -> list[Bites]:
    """The bites of all edges of a piece, shortened until none comes near another.

    Where there is no room for one its depth is 0; the run still goes past its pivot.
    """
    bites = joined(edges)
    bites = _on_outline_where_they_touch(bites)
    bites = _without(bites, _of_one_corner(bites))
    for _ in range(_ROUNDS):
        near, crossing = _longer(bites, *_near(bites)), _longer(bites, *_crossing(bites))
        # Only so as not to cross another is a bite made as short as it can be.
        near = near[bites.depth[near] > SHORTEST_MM]
        crossing = crossing[(bites.out + bites.depth)[crossing] > SHORTEST_MM]
        shorter = np.union1d(near, crossing)
        if len(shorter) == 0:
            break
        depth = bites.depth.copy()
        least = np.maximum(SHORTEST_MM - bites.out[shorter], 0.0)
        depth[shorter] = np.maximum(_SHORTER * depth[shorter], least)
        bites = replace(bites, depth=depth)
    bites = _without(bites, np.flatnonzero(bites.out + bites.depth < SHORTEST_MM - 1e-9))
    bites = _without(bites, _spare(bites, *_crossing(bites)))
    ends = np.cumsum([len(edge.arc) for edge in edges])[:-1]
    return [bites.taken(index) for index in np.split(np.arange(len(bites.arc)), ends)]


def _without(bites: Bites, index: np.ndarray) -> Bites:
    depth = bites.depth.copy()
    depth[index] = 0.0
    return replace(bites, depth=depth)


def _on_outline_where_they_touch(bites: Bites) -> Bites:
    """Where two corners of the piece touch, their bites share a pivot on the outline."""
    first, second = _crossing(bites)
    same = np.hypot(*(bites.base[first] - bites.base[second]).T) < _OWN_HOLE_MM
    out = bites.out.copy()
    out[first[same]] = 0.0
    return replace(bites, out=out)


def _of_one_corner(bites: Bites) -> np.ndarray:
    """Of two bites into the same side that meet near both their bases, the one that can be done
    without: two corners so close look like one. Indices, ascending."""
    first, second = _crossing(bites)
    lines = _lines(bites, np.concatenate([first, second]))
    meet = shapely.intersection(lines[: len(first)], lines[len(first) :])
    away = [shapely.distance(meet, shapely.points(bites.base[k])) for k in (first, second)]
    along = (bites.inward[first] * bites.inward[second]).sum(axis=1) > 0
    one = along & (np.maximum(*away) < _ONE_CORNER_MM)
    return _spare(bites, first[one], second[one])


def _spare(bites: Bites, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """The shorter bite of each pair, as far as none of the two is out already."""
    spare: set[int] = set()
    for a, b in zip(first.tolist(), second.tolist(), strict=True):
        if a < b and not spare & {a, b}:
            spare.add(a if bites.depth[a] < bites.depth[b] else b)
    return np.array(sorted(spare), dtype=int)


def _near(bites: Bites) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of bites that lie near each other, their roots aside."""
    deep = np.flatnonzero(bites.depth > 0)
    root = bites.base[deep] + bites.inward[deep] * (_ROOT * bites.depth[deep])[:, None]
    lines = shapely.linestrings(np.stack([root, bites.inner[deep]], axis=1))
    return _pairs(deep, lines, "dwithin", APART_MM)


def _crossing(bites: Bites) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of bites that cross each other."""
    deep = np.flatnonzero(bites.depth > 0)
    return _pairs(deep, _lines(bites, deep), "intersects", None)


def _pairs(
    index: np.ndarray, lines: np.ndarray, predicate: str, distance: float | None
) -> tuple[np.ndarray, np.ndarray]:
    first, second = shapely.STRtree(lines).query(lines, predicate=predicate, distance=distance)
    others = first != second
    return index[first[others]], index[second[others]]


def _lines(bites: Bites, index: np.ndarray) -> np.ndarray:
    """Bites as lines, from just past their pivots."""
    start = bites.outer + bites.inward * _OWN_HOLE_MM
    return shapely.linestrings(np.stack([start[index], bites.inner[index]], axis=1))


def _longer(bites: Bites, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Of pairs of bites those that are not the shorter."""
    return first[bites.depth[first] >= _ALIKE * bites.depth[second]]
