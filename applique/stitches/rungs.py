"""Rungs along an edge: the ladder on which satin, zigzag and zigzag tack-downs are sewn.

The needle goes to and fro between an outer and an inner rail, half a spacing further at each
penetration. Corners are mitred (`mitre.py`). Where the shape is narrower than the band, a rung ends
on the medial axis, so the two sides share the width between them.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.corners import Corners, find_corners
from applique.geometry.lines import flanked, length_inside, without_jitter
from applique.geometry.medial import medial_reach
from applique.geometry.walk import (
    Walk,
    sampled,
    step_lengths,
    turned_left,
    unit,
    vertex_directions,
)
from applique.model import EdgeRun
from applique.stitches.ladder import Band, Rungs, joined
from applique.stitches.mitre import Corner

_OVERLAP_STEPS = 3
"""A smooth ring is closed by so many penetrations beyond its start."""

_BENDS_WITHIN_MM = 0.5
"""Rungs turn with the line within this distance of a vertex, not along a whole chord."""

SHORTEST_RUNG_MM = 0.5
"""Rungs that come out shorter, cut off from both ends, are left out."""

INTERLOCK_MM = 0.3
INTERLOCK_SHARE = 0.6
"""How far rungs reach past a medial axis, and at most what share of the way to it: the two sides
interlock there, so that nothing opens between them and the needle doesn't perforate one line."""

_WHOLE = 0.02
"""What a count may exceed a whole number by and still be it: outlines are rounded to 0.001 mm."""


def rungs(run: EdgeRun, band: Band, edges: BaseGeometry, fabric: BaseGeometry) -> Rungs:
    """The rungs along an edge run.

    `edges` are the lines of all edges of the piece, which share narrow places with this one;
    `fabric` is the shape that inner ends must lie on.
    """
    walk = Walk(without_jitter(run.points, run.closed), run.closed)
    corners = find_corners(walk)
    if run.closed and corners.count == 0:
        ladder = _smooth_ring(walk, band)
    else:
        ladder = _side_by_side(walk, corners, band, edges)
    ladder = _on_fabric(_within_medial_axis(ladder, edges), fabric)
    return ladder.only(ladder.tip | (ladder.high - ladder.low >= SHORTEST_RUNG_MM))


def _smooth_ring(walk: Walk, band: Band) -> Rungs:
    """A closed ring without corners. It closes half a spacing off, so that the overlap falls
    between the first stitches and not into their holes."""
    around = flanked(np.vstack([walk.points, walk.points[:1]]), _BENDS_WITHIN_MM)
    directions = vertex_directions(around[:-1], closed=True)
    side = _Side(around, np.vstack([directions, directions[:1]]), band)
    steps = max(math.ceil(side.length / (band.spacing_mm / 2) - _WHOLE) | 1, 5)
    positions = side.length * np.arange(steps + 1 + _OVERLAP_STEPS) / steps
    return side.ladder(np.mod(positions, side.length), starts_outside=True)


def _side_by_side(walk: Walk, corners: Corners, band: Band, edges: BaseGeometry) -> Rungs:
    """An open run, or a closed one with corners: its sides, and a point at every corner."""
    spans = _spans(walk, corners)
    sides = [walk.section(start, stop) for start, stop in spans]
    ways = [vertex_directions(side, closed=False) for side in sides]
    count = len(sides)
    joints: list[Corner | None] = [None] * (count + 1)
    for k in range(corners.count):
        # The corner between side i and the one after it; a closed walk begins at one.
        i = k - 1 if walk.closed else k
        sharpest = walk.at(corners.arc_mm[k])
        vertex = _vertex(sides[i][-1], ways[i][-1], sides[i + 1][0], ways[i + 1][0], sharpest)
        turn = float(corners.turn[k])
        blunted = math.dist(vertex, sharpest)
        joints[i + 1] = Corner(vertex, ways[i][-1], ways[i + 1][0], turn, band, edges, blunted)
    if walk.closed:
        joints[count] = joints[0]
    parts = []
    for k, (start, stop) in enumerate(spans):
        before, after = joints[k], joints[k + 1]
        spare = max((stop - start) / 2 - band.spacing_mm / 8, 0.0)
        start += min(before.short_mm, spare) if before else 0.0
        stop -= min(after.short_mm, spare) if after else 0.0
        ends = (ways[k][0], ways[k][-1])
        parts.append(_side_ladder(walk.section(start, stop), before, after, band, ends))
        if after is not None:
            parts.append(after.point())
    return joined(parts)


def _spans(walk: Walk, corners: Corners) -> list[tuple[float, float]]:
    """From where to where each side runs: between corners, and to the ends of an open run."""
    starts, stops = corners.stop_mm.tolist(), corners.start_mm.tolist()
    if walk.closed:
        last = [stop + walk.length for stop in stops[:1]]
        return list(zip(starts, [*stops[1:], *last], strict=True))
    return list(zip([0.0, *starts], [*stops, walk.length], strict=True))


def _vertex(
    end: np.ndarray,
    arriving: np.ndarray,
    start: np.ndarray,
    leaving: np.ndarray,
    sharpest: np.ndarray,
) -> np.ndarray:
    """Where two sides meet: in one point, or, across a chamfer, where they would meet if both went
    straight on. A tip that no chamfer makes has its sharpest vertex."""
    between = start - end
    if not between.any():
        return end
    cross = arriving[0] * leaving[1] - arriving[1] * leaving[0]
    if abs(cross) < 0.1:
        return sharpest
    onward = (between[0] * leaving[1] - between[1] * leaving[0]) / cross
    back = (between[0] * arriving[1] - between[1] * arriving[0]) / cross
    met = end + onward * arriving
    chamfered = onward >= 0 >= back and math.dist(met, sharpest) <= math.dist(start, end)
    return met if chamfered else sharpest


def _side_ladder(
    points: np.ndarray,
    before: Corner | None,
    after: Corner | None,
    band: Band,
    end_directions: tuple[np.ndarray, np.ndarray],
) -> Rungs:
    """The rungs of one side, carried on beyond the corners at its ends, where it has the unit
    directions given.

    Next to a convex corner the needle goes down inside, so that the corner's point follows outside;
    next to a concave one it is the other way round.
    """
    first_way, last_way = end_directions
    to_first = _beyond(before, points[0], -first_way)
    to_last = _beyond(after, points[-1], last_way)
    points = flanked(points, _BENDS_WITHIN_MM)
    directions = vertex_directions(points, closed=False)
    ends = [points[0] - first_way * to_first, points[-1] + last_way * to_last]
    side = _Side(
        np.vstack([ends[0], points, ends[1]]), np.vstack([first_way, directions, last_way]), band
    )
    first = _first_position(before, side, band)
    starts_outside = before is None or not before.convex
    stops_outside = after is not None and not after.convex
    steps = max(math.ceil((side.length - first) / (band.spacing_mm / 2) - _WHOLE), 1)
    if after is not None and (steps % 2 == 0) != (starts_outside == stops_outside):
        steps += 1
    positions = first + (side.length - first) / steps * np.arange(steps + 1)
    ladder = side.ladder(positions, starts_outside)
    arc = side.base_arc(positions)
    if before is not None:
        ladder = before.cut(ladder, before.carried_mm - arc)
    if after is not None:
        ladder = after.cut(ladder, arc - side.base_length + after.carried_mm)
    return ladder


def _beyond(corner: Corner | None, end: np.ndarray, way: np.ndarray) -> float:
    """How far a side goes on past its end: to the corner's vertex and on from there."""
    if corner is None or corner.is_open:
        return 0.0
    return max(float((corner.vertex - end) @ way), 0.0) + corner.carried_mm


def _first_position(before: Corner | None, side: _Side, band: Band) -> float:
    """Where a side begins: half a spacing after a corner, between the holes of the side before it;
    at a slight corner at once, so that no notch is left beside its tip."""
    if before is None or before.carried_mm == 0 or before.slight:
        return 0.0
    return min(band.spacing_mm / 2, side.length / 2)


class _Side:
    """A smooth side with its two rails, measured along whichever rail is locally the longer."""

    def __init__(self, points: np.ndarray, directions: np.ndarray, band: Band) -> None:
        outward = -turned_left(directions)
        self._band = band
        self._outer = points + outward * band.outside_mm
        self._inner = points - outward * band.inside_mm
        base = step_lengths(points)
        longer = np.maximum(np.maximum(step_lengths(self._outer), step_lengths(self._inner)), base)
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
            shared=np.zeros(count),
            spare=np.zeros(count),
        )


def _within_medial_axis(ladder: Rungs, edges: BaseGeometry) -> Rungs:
    """End rungs where another part of the outline becomes nearer than their own."""
    outer = ladder.outer
    wanted = np.where(outer, ladder.high, -ladder.low)
    direction = np.where(outer, 1.0, -1.0)[:, None] * ladder.outward
    leads_away = wanted > 0
    reach = wanted.copy()
    to_axis = medial_reach(
        ladder.base[leads_away], direction[leads_away], wanted[leads_away], edges
    )
    past = np.minimum(INTERLOCK_MM, INTERLOCK_SHARE * to_axis)
    reach[leads_away] = np.minimum(to_axis + past, wanted[leads_away])
    across = np.minimum(2 * to_axis - INTERLOCK_MM, wanted[leads_away])
    shared, spare = ladder.shared.copy(), ladder.spare.copy()
    shared[leads_away] = reach[leads_away] - to_axis
    spare[leads_away] = np.maximum(across - reach[leads_away], 0.0)
    return replace(
        ladder,
        shared=shared,
        spare=spare,
        low=np.where(outer, ladder.low, -reach),
        high=np.where(outer, reach, ladder.high),
    )


def _on_fabric(ladder: Rungs, fabric: BaseGeometry) -> Rungs:
    """Draw inner ends back that lie off the fabric: at the very tip of a sharp point the other side
    is too near to be told from the rung's own."""
    inner = np.flatnonzero(~ladder.outer & (ladder.low < 0))
    shapely.prepare(fabric)
    ends = ladder.points[inner]
    off = inner[~shapely.contains_xy(fabric, ends[:, 0], ends[:, 1])]
    if len(off) == 0:
        return ladder
    low = ladder.low.copy()
    low[off] = -length_inside(ladder.base[off], ladder.points[off], fabric) / 2
    return replace(ladder, low=low)
