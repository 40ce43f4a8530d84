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
    bites = _without(bites, _spare(bites, SHORTEST_MM))
    for _ in range(_ROUNDS):
        near = np.union1d(_longer(bites, *_near(bites)), _longer(bites, *_crossing(bites)))
        near = near[bites.depth[near] > SHORTEST_MM]
        if len(near) == 0:
            break
        depth = bites.depth.copy()
        depth[near] *= _SHORTER
        bites = replace(bites, depth=depth)
    bites = _without(bites, np.flatnonzero(bites.out + bites.depth < SHORTEST_MM))
    bites = _without(bites, _spare(bites, np.inf))
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


def _spare(bites: Bites, within_mm: float) -> np.ndarray:
    """Of two bites that meet so near to both their bases, one that can be done without: two corners
    that lie so close look like one. Indices, ascending."""
    first, second = _crossing(bites)
    lines = _lines(bites, np.concatenate([first, second]))
    meet = shapely.intersection(lines[: len(first)], lines[len(first) :])
    away = [shapely.distance(meet, shapely.points(bites.base[k])) for k in (first, second)]
    spare: set[int] = set()
    for a, b in zip(*(k[np.maximum(*away) < within_mm] for k in (first, second)), strict=True):
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
