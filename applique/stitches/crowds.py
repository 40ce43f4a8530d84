"""Where needle points crowd each other: circles of 1 mm that hold too many of them."""

from __future__ import annotations

import numpy as np
import shapely

MOST = 6
"""Penetrations that a circle may hold (docs/sources.md, needle density)."""

RADIUS_MM = 0.502
"""Radius of the circle, which is centred on each penetration: half a millimetre, and the rounding
of what is written."""

_NEARBY_MM = 2 * RADIUS_MM + 1.6 + RADIUS_MM
"""Needle points this near to a crowded place may be concerned when one in it is drawn back."""

_GRID = 1 << 32
"""Rows of a grid are numbered apart by so much: more cells than any drawing reaches."""


def crowded_places(points: np.ndarray) -> list[np.ndarray]:
    """The indices of the points near each crowded place, place by place."""
    maybe = np.flatnonzero(_in_full_cells(points))
    if len(maybe) == 0:
        return []
    holes = shapely.points(points)
    tree = shapely.STRtree(holes)
    centre, _ = tree.query(holes[maybe], predicate="dwithin", distance=RADIUS_MM)
    left = np.zeros(len(points), dtype=bool)
    left[maybe] = np.bincount(centre, minlength=len(maybe)) > MOST
    found = []
    while left.any():
        first = int(np.argmax(left))
        near = np.sort(tree.query(holes[first], predicate="dwithin", distance=_NEARBY_MM))
        found.append(near)
        left[near[np.hypot(*(points[near] - points[first]).T) <= 2 * RADIUS_MM]] = False
    return found


def _in_full_cells(points: np.ndarray) -> np.ndarray:
    """Which points (n, 2) may have a full circle: those that share the nine cells of a grid round
    them, as wide as a circle's radius each, with more than `MOST` points in all."""
    cells = np.floor(points / RADIUS_MM).astype(np.int64)
    keys, inverse, counts = np.unique(
        cells[:, 0] * _GRID + cells[:, 1], return_inverse=True, return_counts=True
    )
    around = np.zeros(len(keys), dtype=np.int64)
    for step in (-_GRID - 1, -_GRID, -_GRID + 1, -1, 0, 1, _GRID - 1, _GRID, _GRID + 1):
        at = np.minimum(np.searchsorted(keys, keys + step), len(keys) - 1)
        around += np.where(keys[at] == keys + step, counts[at], 0)
    return np.asarray(around[inverse] > MOST)


def within(places: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Which of the points (n, 2) lie in the circles round the places (m, 2): (m, n) of bool."""
    dx = places[:, 0, None] - points[:, 0]
    dy = places[:, 1, None] - points[:, 1]
    return dx * dx + dy * dy <= RADIUS_MM * RADIUS_MM
