"""Rungs along an edge: the ladder on which satin, zigzag and zigzag tack-downs are sewn.

The needle goes to and fro between an outer and an inner rail, half a spacing further at each
penetration. Corners are mitred (`mitre.py`). Where the shape is narrower than the band, a rung ends
on the medial axis, so the two sides share the width between them.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from shapely.geometry.base import BaseGeometry

from applique.geometry.corners import Corners, find_corners
from applique.geometry.medial import medial_reach
from applique.geometry.walk import Walk, sampled, turned_left, unit, vertex_directions
from applique.model import EdgeRun
from applique.stitches.ladder import Band, Rungs, joined
from applique.stitches.mitre import OPEN_END, End, cut_at_corner, end_at, point_of

_OVERLAP_STEPS = 3
"""A smooth ring is closed by so many penetrations beyond its start."""


def rungs(run: EdgeRun, band: Band, outline: BaseGeometry) -> Rungs:
    """The rungs along an edge run. `outline` is the piece's whole boundary (lines)."""
    walk = Walk(run.points, run.closed)
    corners = find_corners(walk)
    if run.closed and len(corners.arc_mm) == 0:
        ladder = _smooth_ring(walk, band)
    else:
        ladder = _side_by_side(walk, corners, band)
    return _within_medial_axis(ladder, outline)


def _smooth_ring(walk: Walk, band: Band) -> Rungs:
    """A closed ring without corners. It closes half a spacing off, so that the overlap falls
    between the first stitches and not into their holes."""
    around = np.vstack([walk.points, walk.points[:1]])
    directions = vertex_directions(walk.points, closed=True)
    side = _Side(around, np.vstack([directions, directions[:1]]), band)
    steps = max(math.ceil(side.length / (band.spacing_mm / 2)) | 1, 5)
    positions = side.length * np.arange(steps + 1 + _OVERLAP_STEPS) / steps
    return side.ladder(np.mod(positions, side.length), starts_outside=True)


def _side_by_side(walk: Walk, corners: Corners, band: Band) -> Rungs:
    """An open run, or a closed one with corners: its sides, and a point at every corner."""
    stops = _stops(walk, corners)
    count = len(stops) - 1
    sides = [walk.section(stops[k], stops[k + 1]) for k in range(count)]
    ways = [vertex_directions(side, closed=False) for side in sides]
    joints = [OPEN_END] * (count + 1)
    for k in range(0 if walk.closed else 1, count):
        joints[k] = end_at(ways[k - 1][-1], ways[k][0], band)
    joints[count] = joints[0]
    parts = []
    for k in range(count):
        spare = max((stops[k + 1] - stops[k]) / 2 - band.spacing_mm / 8, 0.0)
        start = stops[k] + min(joints[k].short_mm, spare)
        stop = stops[k + 1] - min(joints[k + 1].short_mm, spare)
        parts.append(_side_ladder(walk.section(start, stop), joints[k], joints[k + 1], band))
        if joints[k + 1].turn != 0:
            leaving = ways[(k + 1) % count][0]
            parts.append(point_of(sides[k][-1], ways[k][-1], leaving, joints[k + 1], band))
    return joined(parts)


def _stops(walk: Walk, corners: Corners) -> np.ndarray:
    """Where sides begin and end: at corners, and at the ends of an open run."""
    if walk.closed:
        return np.append(corners.arc_mm, corners.arc_mm[0] + walk.length)
    return np.concatenate([[0.0], corners.arc_mm, [walk.length]])


def _side_ladder(points: np.ndarray, start: End, stop: End, band: Band) -> Rungs:
    """The rungs of one side, carried on beyond the corners at its ends.

    Next to a convex corner the needle goes down inside, so that the corner's point follows outside;
    next to a concave one it is the other way round.
    """
    directions = vertex_directions(points, closed=False)
    before = points[0] - directions[0] * start.carried_mm
    after = points[-1] + directions[-1] * stop.carried_mm
    extended = np.vstack([before, points, after])
    side = _Side(extended, np.vstack([directions[:1], directions, directions[-1:]]), band)
    # The far side of a corner begins half a spacing later, between the holes of the near side.
    first = min(band.spacing_mm / 2, side.length / 2) if start.carried_mm else 0.0
    starts_outside, stops_outside = start.turn <= 0, stop.turn < 0
    steps = max(math.ceil((side.length - first) / (band.spacing_mm / 2)), 1)
    if stop.turn != 0 and (steps % 2 == 0) != (starts_outside == stops_outside):
        steps += 1
    positions = np.linspace(first, side.length, steps + 1)
    ladder = side.ladder(positions, starts_outside)
    arc = side.base_arc(positions)
    ladder = cut_at_corner(ladder, start.carried_mm - arc, start, band)
    return cut_at_corner(ladder, arc - side.base_length + stop.carried_mm, stop, band)


class _Side:
    """A smooth side with its two rails, measured along whichever rail is locally the longer."""

    def __init__(self, points: np.ndarray, directions: np.ndarray, band: Band) -> None:
        outward = -turned_left(directions)
        self._band = band
        self._outer = points + outward * band.outside_mm
        self._inner = points - outward * band.inside_mm
        base = _steps(points)
        longer = np.maximum(np.maximum(_steps(self._outer), _steps(self._inner)), base)
        self._position = np.concatenate([[0.0], np.cumsum(longer)])
        self._base_arc = np.concatenate([[0.0], np.cumsum(base)])
        self.length = float(self._position[-1])
        self.base_length = float(self._base_arc[-1])

    def base_arc(self, positions: np.ndarray) -> np.ndarray:
        """Arc length on the outline at positions along the longer rail, mm."""
        return np.interp(positions, self._position, self._base_arc)

    def ladder(self, positions: np.ndarray, starts_outside: bool) -> Rungs:
        """The full rungs at positions along the longer rail, outer and inner ends in turn."""
        outer = sampled(positions, self._position, self._outer)
        inner = sampled(positions, self._position, self._inner)
        width = self._band.outside_mm + self._band.inside_mm
        base = inner + (outer - inner) * (self._band.inside_mm / width)
        count = len(positions)
        return Rungs(
            base=base,
            outward=unit(outer - inner),
            low=np.full(count, -self._band.inside_mm),
            high=np.full(count, self._band.outside_mm),
            outer=(np.arange(count) % 2 == 0) == starts_outside,
            tip=np.zeros(count, dtype=bool),
        )


def _steps(points: np.ndarray) -> np.ndarray:
    delta = np.diff(points, axis=0)
    return np.hypot(delta[:, 0], delta[:, 1])


def _within_medial_axis(ladder: Rungs, outline: BaseGeometry) -> Rungs:
    """End rungs where another part of the outline becomes nearer than their own."""
    outer = ladder.outer
    wanted = np.where(outer, ladder.high, -ladder.low)
    direction = np.where(outer, 1.0, -1.0)[:, None] * ladder.outward
    leads_away = wanted > 0
    reach = wanted.copy()
    reach[leads_away] = medial_reach(
        ladder.base[leads_away], direction[leads_away], wanted[leads_away], outline
    )
    return replace(
        ladder,
        low=np.where(outer, ladder.low, -reach),
        high=np.where(outer, reach, ladder.high),
    )
