"""Corners of a line, told apart from tight curves.

A drawn corner is rarely a single vertex: tracing rounds it, a tool chamfers it, flattening splits
it. So a vertex is bent sharply if the line's direction, measured over a window on either side of
it, turns by more than a smooth line would, and does most of that turning in the middle of the
window. On a small circle the turn is spread evenly over the window, so a circle has no corners.
Sharp vertices close together are one corner.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from applique.geometry.walk import Walk

WINDOW_MM = 0.5
"""Reach of the window to each side: the tightest bend that 40 wt thread can still follow."""

SHARPEST_SMOOTH_DEGREES = 14.0
"""Turns up to this are part of a curve. Twice the turn of one chord of a flattened curve, so that a
chord is never taken for a corner."""

CORNER_TO_THE_EYE_DEGREES = 30.0
"""Turns from this on look like a corner: they get a stitch or a bite of their own."""

CONCENTRATED = 0.7
"""Share of the turn that must happen within half the window (an even bend has 0.5)."""

TOGETHER_MM = 0.3
LONGEST_CORNER_MM = 0.5
"""Sharp vertices nearer than the first to each other are one corner, no longer than the second: a
chamfer or a fillet that no stitch of 3.5 mm can show."""


@dataclass(frozen=True, eq=False)
class Corners:
    """The corners of a walk, in order. Corner i reaches from `start_mm[i]` to `stop_mm[i]` (the
    same place if it is a single vertex) and turns by `turn[i]` radians, to the left positive;
    `arc_mm[i]` is its sharpest vertex. A corner across the start of a closed walk comes first and
    begins below 0. `vertices_mm` are all sharp vertices, one by one."""

    arc_mm: np.ndarray
    start_mm: np.ndarray
    stop_mm: np.ndarray
    turn: np.ndarray
    vertices_mm: np.ndarray

    @property
    def count(self) -> int:
        """How many corners there are."""
        return len(self.arc_mm)


def find_corners(walk: Walk, sharpest_smooth_degrees: float = SHARPEST_SMOOTH_DEGREES) -> Corners:
    """The corners of a line; the ends of an open line are none."""
    window = min(WINDOW_MM, walk.length / 8)
    arc, turn = _sharp_vertices(walk, window, np.radians(sharpest_smooth_degrees))
    groups = _groups(arc, walk)
    start = np.array([arc[group[0]] for group in groups])
    stop = np.array([arc[group[-1]] for group in groups])
    strongest = [group[int(np.argmax(np.abs(turn[group])))] for group in groups]
    if not groups:
        return Corners(*(np.zeros(0) for _ in range(5)))
    whole = _turn_over(walk, start, stop, window / 2)
    whole = _sides_of_cusps(walk, start, stop, whole)
    # Sharp vertices that cancel out are a step in the line, not a corner.
    real = np.abs(whole) > np.radians(sharpest_smooth_degrees)
    sharpest = arc[strongest]
    across_the_start = start > stop
    sharpest[across_the_start & (sharpest > stop)] -= walk.length
    start[across_the_start] -= walk.length
    return Corners(sharpest[real], start[real], stop[real], whole[real], arc)


def _sharp_vertices(walk: Walk, window: float, limit: float) -> tuple[np.ndarray, np.ndarray]:
    """Arc lengths of the vertices that turn sharply, ascending, and by how much, in radians."""
    arc = walk.arc[: len(walk.points)]
    if not walk.closed:
        arc = arc[(arc > window / 4) & (arc < walk.length - window / 4)]
    narrow = _turn_over(walk, arc, arc, window / 2)
    bent = np.abs(narrow) > CONCENTRATED * limit
    arc, narrow = arc[bent], narrow[bent]
    if len(arc) == 0:
        return arc, narrow
    wide = _turn_over(walk, arc, arc, window)
    sharp = (np.abs(wide) > limit) & (np.abs(narrow) >= CONCENTRATED * np.abs(wide))
    # A vertex whose window meets another corner still counts if it turns sharply close by.
    sharp |= np.abs(narrow) > np.radians(_ALWAYS_SHARP)
    return arc[sharp], narrow[sharp]


_ALWAYS_SHARP = 75.0
"""Degrees. No curve that thread can follow turns so much within a quarter of a millimetre."""


def _turn_over(walk: Walk, start: np.ndarray, stop: np.ndarray, reach_mm: float) -> np.ndarray:
    """By how much the direction changes from before `start` to after `stop`, in radians."""
    places = walk.at(np.concatenate([start - reach_mm, start, stop, stop + reach_mm]))
    far_before, at_start, at_stop, far_after = places.reshape(4, -1, 2)
    before, after = at_start - far_before, far_after - at_stop
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    dot = (before * after).sum(axis=1)
    return np.arctan2(cross, dot)


def _sides_of_cusps(
    walk: Walk, start: np.ndarray, stop: np.ndarray, turn: np.ndarray
) -> np.ndarray:
    """Turns (n,) in radians, those of cusps to the side on which the line's two arms lie further
    off: close to a cusp they run into one another, and left can't be told from right."""
    cusp = np.flatnonzero(np.abs(turn) > np.radians(_CUSP_DEGREES))
    if len(cusp) == 0:
        return turn
    reach = min(_ARMS_MM, walk.length / 8)
    further = _turn_over(walk, start[cusp], stop[cusp], reach)
    told = turn.copy()
    told[cusp] = np.copysign(turn[cusp], further)
    return told


_CUSP_DEGREES = 150.0
_ARMS_MM = 1.5
"""The arms of a corner that turns by more than the first are told apart this far from it."""


def _groups(arc: np.ndarray, walk: Walk) -> list[list[int]]:
    """Indices of sharp vertices that make one corner each, in order along the walk."""
    groups: list[list[int]] = []
    for k in range(len(arc)):
        near = bool(groups) and arc[k] - arc[groups[-1][-1]] <= TOGETHER_MM
        if near and arc[k] - arc[groups[-1][0]] <= LONGEST_CORNER_MM:
            groups[-1].append(k)
        else:
            groups.append([k])
    if walk.closed and len(groups) > 1:
        across = arc[groups[0][-1]] + walk.length - arc[groups[-1][0]]
        gap = arc[groups[0][0]] + walk.length - arc[groups[-1][-1]]
        if gap <= TOGETHER_MM and across <= LONGEST_CORNER_MM:
            groups[0] = groups.pop() + groups[0]
    return groups
