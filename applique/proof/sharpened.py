"""Edges with their blunted corners made sharp: what a drawing cuts or rounds off within half a
millimetre is one corner to the eye, and its mitre may be sewn as that of a sharp one."""

from __future__ import annotations

import numpy as np

from applique.geometry.corners import Corners, find_corners
from applique.geometry.lines import without_jitter
from applique.geometry.walk import Walk, unit
from applique.model import EdgeRun

_SIDE_MM = 0.3
"""A side's direction at its corner is taken over this reach."""

_FURTHEST_MM = 1.5
"""Sides that would only meet further off than this stay as they were drawn."""


def sharpened(run: EdgeRun) -> EdgeRun:
    """An edge whose corners are points: where one reaches over several vertices, its sides go on to
    where they meet."""
    walk = Walk(without_jitter(run.points, run.closed), run.closed)
    corners = find_corners(walk)
    blunt = [k for k in range(corners.count) if corners.stop_mm[k] > corners.start_mm[k]]
    met = {k: _meeting(walk, corners, k) for k in blunt}
    if all(vertex is None for vertex in met.values()):
        return run
    kept = np.ones(len(walk.points), dtype=bool)
    arc = walk.arc[: len(walk.points)]
    inserted: list[tuple[float, np.ndarray]] = []
    for k, vertex in met.items():
        if vertex is None:
            continue
        start, stop = float(corners.start_mm[k]), float(corners.stop_mm[k])
        kept &= ~_between(arc, start, stop, walk)
        inserted.append(((start + stop) / 2, vertex))
    places = [(float(a), p) for a, p in zip(arc[kept], walk.points[kept], strict=True)]
    places += [(a % walk.length if run.closed else a, p) for a, p in inserted]
    points = np.array([point for _, point in sorted(places, key=lambda item: item[0])])
    return EdgeRun(points, run.closed, run.ring) if len(points) >= 3 else run


def _between(arc: np.ndarray, start: float, stop: float, walk: Walk) -> np.ndarray:
    """Which vertices lie on a corner that may reach across the start of a closed walk."""
    near = 1e-9
    inside = (arc >= start - near) & (arc <= stop + near)
    if walk.closed and start < 0:
        inside |= arc >= start + walk.length - near
    return inside


def _meeting(walk: Walk, corners: Corners, k: int) -> np.ndarray | None:
    """Where the two sides of a corner meet, (2,) mm; None if that is not in front of both, or too
    far off."""
    start, stop = float(corners.start_mm[k]), float(corners.stop_mm[k])
    here, there = walk.at(start), walk.at(stop)
    arriving = unit(here - walk.at(start - _SIDE_MM))
    leaving = unit(walk.at(stop + _SIDE_MM) - there)
    cross = float(arriving[0] * leaving[1] - arriving[1] * leaving[0])
    if abs(cross) < 0.05:
        return None
    between = there - here
    onward = float(between[0] * leaving[1] - between[1] * leaving[0]) / cross
    back = float(between[0] * arriving[1] - between[1] * arriving[0]) / cross
    if not (0 <= onward <= _FURTHEST_MM and -_FURTHEST_MM <= back <= 0):
        return None
    return np.asarray(here + onward * arriving)
