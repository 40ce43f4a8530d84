"""The medial axis, met from the outline: how far one side of a shape reaches before the other."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

NEARER_BY_MM = 0.03
NEARER_BY_SHARE = 1 - math.cos(math.radians(15.0))
"""Another part of the outline must be nearer by this to count: by more than the flattening error,
and by more than a rung gains that stands up to 15 degrees off square, as beside a bend."""

WITHIN_MM = 0.003
"""The end of a rung is placed as near as this."""

_MOST_ROUNDS = 20
"""Three or four rounds settle nearly every rung; the others are as near as it matters by then."""


def medial_reach(
    base: np.ndarray, direction: np.ndarray, reach_mm: np.ndarray, outline: BaseGeometry
) -> np.ndarray:
    """How far one can go from points on the outline (n, 2) along unit directions, up to `reach_mm`
    (n,), before another part of the outline is nearer than the start: the medial axis, in mm.

    A circle that touches the outline at the start is shrunk until no part of the outline lies in
    it, each time so that it just touches the part that was nearest to its centre.
    """
    shapely.prepare(outline)
    result = reach_mm.astype(float)
    touched = np.zeros(base.shape)
    active = np.flatnonzero(_met(base + direction * reach_mm[:, None], reach_mm, outline))
    for _ in range(_MOST_ROUNDS):
        reach = result[active]
        centres = base[active] + direction[active] * reach[:, None]
        nearest = _nearest(outline, centres)
        away = np.hypot(*(nearest - centres).T)
        inside = away < reach * (1 - NEARER_BY_SHARE) - NEARER_BY_MM - WITHIN_MM
        if not inside.any():
            break
        active, nearest = active[inside], nearest[inside]
        touching = _touching(base[active], direction[active], nearest)
        result[active] = np.minimum(touching, reach[inside])
        touched[active] = nearest
    limited = np.flatnonzero(result < reach_mm)
    result[limited] = _on_axis(base[limited], direction[limited], touched[limited], result[limited])
    return result


def _met(centres: np.ndarray, reach_mm: np.ndarray, outline: BaseGeometry) -> np.ndarray:
    """Whether the outline comes nearer to the centres (n, 2) than the starts that lie `reach_mm`
    from them, by enough to count: (n,) of bool."""
    nearer = reach_mm * (1 - NEARER_BY_SHARE) - NEARER_BY_MM - WITHIN_MM
    return np.asarray(shapely.dwithin(outline, shapely.points(centres), nearer))


def _nearest(outline: BaseGeometry, places: np.ndarray) -> np.ndarray:
    """The points of the outline nearest to places (n, 2)."""
    lines = shapely.shortest_line(outline, shapely.points(places))
    return shapely.get_coordinates(lines)[::2]


def _touching(base: np.ndarray, direction: np.ndarray, other: np.ndarray) -> np.ndarray:
    """How far to go so that the other point is only just not nearer than the start, (n,) mm.

    With w from the other point to the start it is the smaller root r of
    |w + r direction| = r (1 - NEARER_BY_SHARE) - NEARER_BY_MM.
    """
    way = base - other
    share = 1 - NEARER_BY_SHARE
    square = 1 - share * share
    half = (way * direction).sum(axis=1) + share * NEARER_BY_MM
    rest = (way * way).sum(axis=1) - NEARER_BY_MM * NEARER_BY_MM
    root = np.sqrt(np.maximum(half * half - square * rest, 0.0))
    return np.maximum(rest / np.maximum(root - half, 1e-9), 0.0)


def _on_axis(
    base: np.ndarray, direction: np.ndarray, other: np.ndarray, reach: np.ndarray
) -> np.ndarray:
    """Reaches (n,) drawn back from where another part of the outline counts as nearer to where it
    is as near as the start; by no more than what has to count is between two facing sides."""
    way = base - other
    towards = np.maximum(-2 * (way * direction).sum(axis=1), 1e-9)
    level = (way * way).sum(axis=1) / towards
    past = (NEARER_BY_MM + NEARER_BY_SHARE * reach) / 2
    return np.minimum(reach, np.maximum(level, reach - past))
