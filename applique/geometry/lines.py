"""Lines made fit for measuring: jitter taken out, points put where they are needed."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.walk import Walk, step_lengths

JITTER_MM = 0.004
"""Points that stray from a line by less than this are noise of the 0.001 mm grid, not shape."""

SAME_PLACE_MM = 0.01
"""Points this near to the one before say nothing of the line's direction."""


def without_jitter(points: np.ndarray, closed: bool) -> np.ndarray:
    """A line (n, 2) without the points that make no difference to it (Douglas and Peucker, 1973).

    Both ends are kept; a closed line does not repeat its first point, which it keeps too. One so
    thin that no three points would be left to it keeps all of them.
    """
    if len(points) <= 3:
        return points
    line = shapely.linestrings(np.vstack([points, points[:1]]) if closed else points)
    kept = shapely.get_coordinates(shapely.simplify(line, JITTER_MM, preserve_topology=False))
    apart = step_lengths(kept) >= SAME_PLACE_MM
    kept = kept[np.concatenate([[True], apart[:-1], [True]])]
    if closed:
        return kept[:-1] if len(kept) > 3 else points
    return kept


def dense(points: np.ndarray, apart_mm: float) -> np.ndarray:
    """The same open line with points on its long chords, none further apart than `apart_mm`."""
    walk = Walk(points, closed=False)
    counts = np.maximum(np.ceil(np.diff(walk.arc) / apart_mm), 1).astype(int)
    if counts.max() == 1:
        return points
    index = np.repeat(np.arange(len(counts)), counts)
    first = np.repeat(np.cumsum(counts) - counts, counts)
    share = ((np.arange(counts.sum()) - first) / counts[index])[:, None]
    between = points[index] + share * (points[index + 1] - points[index])
    return np.vstack([between, points[-1:]])


def flanked(points: np.ndarray, beside_mm: float) -> np.ndarray:
    """The same open line with a point `beside_mm` to either side of every inner vertex, where its
    chords are long enough: what is measured at a vertex then does not reach along a whole chord."""
    if len(points) == 2:
        return points
    walk = Walk(points, closed=False)
    inner = walk.arc[1:-1]
    steps = walk.arc[1:] - walk.arc[:-1]
    before = (inner - beside_mm)[steps[:-1] > 2 * beside_mm]
    after = (inner + beside_mm)[steps[1:] > 2 * beside_mm]
    if len(before) + len(after) == 0:
        return points
    return walk.at(np.sort(np.concatenate([walk.arc, before, after])))


def length_inside(starts: np.ndarray, ends: np.ndarray, shape: BaseGeometry) -> np.ndarray:
    """How much of straight lines from `starts` to `ends` (n, 2) lies in a shape: (n,) of mm."""
    paths = shapely.linestrings(np.stack([starts, ends], axis=1))
    return np.asarray(shapely.length(shapely.intersection(paths, shape)))
