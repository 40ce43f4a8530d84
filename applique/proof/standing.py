"""Where bites stand along the edges: on which run, at which corner, and how far they lean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LinearRing, LineString

from applique.geometry.corners import (
    CORNER_TO_THE_EYE_DEGREES,
    WINDOW_MM,
    Corners,
    find_corners,
)
from applique.geometry.lines import without_jitter
from applique.geometry.walk import Walk
from applique.model import EdgeRun
from applique.proof.bites import FoundBites

AT_CORNER_MM = 0.3
"""A bite this near to a corner is the corner's: less than a thread's width (0.4 mm)."""

REACH_MM = 0.25
"""A bite may be square to any direction that the outline takes within this reach, half a thread
and a little more: on a tight bend there is no other way to say what square is."""

_WRONG_SIDE_MM = 0.5
"""A bite belongs to a run on whose other side it lies only if no other is nearer by this."""

_CHORDS = 5
"""Directions are measured over so many chords within the reach, each above the flattening."""


@dataclass(frozen=True, eq=False)
class BittenRun:
    """One run with its corners and the bites along it.

    `arc` (n,) is where on the walk the bites' feet stand, in mm, and `way` (n, 2) leads from their
    pivots to their inner ends; `at_corner` gives each corner's own bite, -1 for none.
    """

    walk: Walk
    corners: Corners
    arc: np.ndarray
    way: np.ndarray
    at_corner: np.ndarray

    @property
    def corners_mm(self) -> np.ndarray:
        """Where on the walk the corners are, a cut or rounded one at its middle."""
        return (self.corners.start_mm + self.corners.stop_mm) / 2

    @property
    def own_corner_mm(self) -> np.ndarray:
        """The same, moved to the foot of the corner's own bite where it has one."""
        places = self.corners_mm
        has = self.at_corner >= 0
        places[has] += _short_way(self.walk, self.arc[self.at_corner[has]] - places[has])
        return places

    @property
    def between(self) -> np.ndarray:
        """Where on the walk the bites between the corners stand, in mm."""
        return np.delete(self.arc, self.at_corner[self.at_corner >= 0])

    @property
    def lean_degrees(self) -> np.ndarray:
        """How far each bite leans from square to the outline, or from its corner's bisector."""
        low, high = _directions(self.walk, self.arc, -REACH_MM, REACH_MM)
        for corner, k in enumerate(self.at_corner.tolist()):
            if k >= 0:
                low[k], high[k] = _across_corner(self.walk, self.corners, corner)
        # A bite to the left of the outline's direction is square to it.
        square = np.arctan2(-self.way[:, 0], self.way[:, 1])
        beside = _turn(square - (low + high) / 2)
        return np.degrees(np.maximum(np.abs(beside) - (high - low) / 2, 0.0))


def along_runs(bites: FoundBites, runs: Sequence[EdgeRun]) -> list[BittenRun]:
    """The bites sorted to the runs that they stand on, in the order of the runs."""
    walks = [Walk(without_jitter(run.points, run.closed), run.closed) for run in runs]
    lines = [LinearRing(w.points) if w.closed else LineString(w.points) for w in walks]
    feet = shapely.points(bites.foot)
    nearest = _own_runs(bites, walks, lines)
    found = []
    for k, (walk, line) in enumerate(zip(walks, lines, strict=True)):
        own = np.flatnonzero(nearest == k)
        corners = find_corners(walk, CORNER_TO_THE_EYE_DEGREES)
        arc = np.asarray(shapely.line_locate_point(line, feet[own]))
        at_corner = _corner_bites(walk, corners, arc)
        found.append(BittenRun(walk, corners, arc, bites.way[own], at_corner))
    return found


def _own_runs(bites: FoundBites, walks: list[Walk], lines: list[LineString]) -> np.ndarray:
    """Which run each bite stands on: the nearest one whose fabric the bite goes into."""
    within = shapely.points(bites.just_within)
    away = np.full((len(lines), len(within)), np.inf)
    for k, (walk, line) in enumerate(zip(walks, lines, strict=True)):
        arc = shapely.line_locate_point(line, within)
        low, high = _directions(walk, arc, -REACH_MM, REACH_MM)
        ahead = np.stack([np.cos((low + high) / 2), np.sin((low + high) / 2)], axis=1)
        aside = bites.just_within - walk.at(arc)
        left = ahead[:, 0] * aside[:, 1] - ahead[:, 1] * aside[:, 0] >= 0
        away[k] = shapely.distance(line, within) + np.where(left, 0.0, _WRONG_SIDE_MM)
    return np.argmin(away, axis=0) if lines else np.zeros(0, dtype=int)


def _corner_bites(walk: Walk, corners: Corners, arc: np.ndarray) -> np.ndarray:
    """For each corner the bite nearest to it, -1 where none is near enough."""
    if len(arc) == 0 or corners.count == 0:
        return np.full(corners.count, -1)
    middle = (corners.start_mm + corners.stop_mm) / 2
    reach = (corners.stop_mm - corners.start_mm) / 2 + AT_CORNER_MM
    away = np.abs(_short_way(walk, arc - middle[:, None]))
    return np.where(away.min(axis=1) <= reach, np.argmin(away, axis=1), -1)


def _short_way(walk: Walk, arc_mm: np.ndarray) -> np.ndarray:
    """Differences of arc length, on a closed walk the shorter way round."""
    if not walk.closed:
        return arc_mm
    return np.mod(arc_mm + walk.length / 2, walk.length) - walk.length / 2


def _directions(
    walk: Walk, arc: np.ndarray, from_mm: float, to_mm: float
) -> tuple[np.ndarray, np.ndarray]:
    """The least and the greatest direction, in radians, that the outline takes near places (n,)."""
    places = walk.at(arc[:, None] + np.linspace(from_mm, to_mm, _CHORDS + 1))
    chords = np.diff(places, axis=1)
    angles = np.arctan2(chords[..., 1], chords[..., 0])
    first = angles[:, :1]
    angles = first + np.cumsum(_turn(np.diff(angles, axis=1, prepend=first)), axis=1)
    return angles.min(axis=1), angles.max(axis=1)


def _across_corner(walk: Walk, corners: Corners, corner: int) -> tuple[float, float]:
    """The directions halfway between those before and those after a corner."""
    start, stop = corners.start_mm[[corner]], corners.stop_mm[[corner]]
    before = np.array(_directions(walk, start, -WINDOW_MM, 0.0))[:, 0]
    after = np.array(_directions(walk, stop, 0.0, WINDOW_MM))[:, 0]
    turn = float(corners.turn[corner])
    turned = turn + _turn(after.mean() - before.mean() - turn)
    half = (np.ptp(before) + np.ptp(after)) / 4
    middle = before.mean() + turned / 2
    return float(middle - half), float(middle + half)


def _turn(angles: np.ndarray) -> np.ndarray:
    """Angles in radians between half a turn back and half a turn on."""
    return np.mod(angles + np.pi, 2 * np.pi) - np.pi
