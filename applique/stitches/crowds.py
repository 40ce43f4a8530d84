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
    maybe, beside = _in_full_cells(points)
    if len(maybe) == 0:
        return []
    # Most points lie on rails far from any other: only the few that may matter are put in a tree.
    tree = shapely.STRtree(shapely.points(points[beside]))
    circles = shapely.points(points[maybe])
    centre, _ = tree.query(circles, predicate="dwithin", distance=RADIUS_MM)
    left = np.zeros(len(points), dtype=bool)
    left[maybe] = np.bincount(centre, minlength=len(maybe)) > MOST
    found = []
    while left.any():
        away = np.hypot(*(points - points[int(np.argmax(left))]).T)
        found.append(np.flatnonzero(away <= _NEARBY_MM))
        left[away <= 2 * RADIUS_MM] = False
    return found


def _in_full_cells(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The indices of points (n, 2) that may have a full circle, and of all that may lie in one.

    A circle lies within the nine cells round its centre's, in a grid as wide as its radius; if they
    hold no more than `MOST` points, neither does the circle.
    """
    cells = np.floor(points / RADIUS_MM).astype(np.int64)
    keys, inverse, counts = np.unique(
        cells[:, 0] * _GRID + cells[:, 1], return_inverse=True, return_counts=True
    )
    full = _over_nine_cells(keys, counts) > MOST
    beside = _over_nine_cells(keys, full.astype(np.int64)) > 0
    return np.flatnonzero(full[inverse]), np.flatnonzero(beside[inverse])


def _over_nine_cells(keys: np.ndarray, values: np.ndarray) -> np.ndarray:
    """The sums of values (n,) over each cell and the eight round it; `keys` (n,) ascend."""
    total = np.zeros(len(keys), dtype=np.int64)
    for row in (-_GRID, 0, _GRID):
        # Three cells of a row follow one another, so one look-up finds where they begin and end.
        first = np.searchsorted(keys, keys + (row - 1))
        last = np.searchsorted(keys, keys + (row + 2))
        before = np.concatenate([[0], np.cumsum(values)])
        total += before[last] - before[first]
    return total


def within(places: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Which of the points (n, 2) lie in the circles round the places (m, 2): (m, n) of bool."""
    dx = places[:, 0, None] - points[:, 0]
    dy = places[:, 1, None] - points[:, 1]
    return dx * dx + dy * dy <= RADIUS_MM * RADIUS_MM
