"""Corners of a line, told apart from tight curves.

A drawn corner is rarely a single vertex: tracing rounds it, flattening splits it. So a vertex
counts as a corner if the line's direction, measured over a window on either side of it, turns
sharply, and does most of that turning within the middle of the window. On a small circle the turn
is spread evenly over the window, so a circle has no corners.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from applique.geometry.walk import Walk

WINDOW_MM = 0.5
"""Reach of the window to each side: the tightest bend that 40 wt thread can still follow."""

SHARPEST_SMOOTH_DEGREES = 30.0
"""Turns up to this are sewn as a curve: the stitches fan out by less than one pitch in 3.5 mm."""

CONCENTRATED = 0.7
"""Share of the turn that must happen within half the window (an even bend has 0.5)."""


@dataclass(frozen=True, eq=False)
class Corners:
    """`arc_mm`: where the corners lie on the walk, (k,), ascending. `turn`: by how much the line
    turns there, (k,) in radians, to the left positive."""

    arc_mm: np.ndarray
    turn: np.ndarray


def find_corners(walk: Walk, sharpest_smooth_degrees: float = SHARPEST_SMOOTH_DEGREES) -> Corners:
    """The corners of a line; the ends of an open line are none."""
    arc = walk.arc[: len(walk.points)]
    window = min(WINDOW_MM, walk.length / 8)
    if not walk.closed:
        arc = arc[(arc > window / 4) & (arc < walk.length - window / 4)]
    narrow = _turn_between(walk, arc, window / 2)
    # Whatever turns less in the middle of the window can't reach the limit.
    bent = np.abs(narrow) > CONCENTRATED * np.radians(sharpest_smooth_degrees)
    arc, narrow = arc[bent], narrow[bent]
    if len(arc) == 0:
        return Corners(np.zeros(0), np.zeros(0))
    wide = _turn_between(walk, arc, window)
    sharp = (np.abs(wide) > np.radians(sharpest_smooth_degrees)) & (
        np.abs(narrow) >= CONCENTRATED * np.abs(wide)
    )
    # A corner whose window meets another one still counts if it turns sharply close by.
    sharp |= np.abs(narrow) > np.radians(_ALWAYS_A_CORNER)
    arc, narrow = arc[sharp], narrow[sharp]
    keep = _strongest(arc, np.abs(narrow), walk, window / 2)
    return Corners(arc[keep], narrow[keep])


_ALWAYS_A_CORNER = 75.0
"""Degrees. No curve that thread can follow turns so much within a quarter of a millimetre."""


def _turn_between(walk: Walk, arc: np.ndarray, reach_mm: float) -> np.ndarray:
    """By how much the line's direction changes from before to after each place, in radians."""
    here = walk.at(arc)
    before = here - walk.at(arc - reach_mm)
    after = walk.at(arc + reach_mm) - here
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    dot = (before * after).sum(axis=1)
    return np.arctan2(cross, dot)


def _strongest(arc: np.ndarray, strength: np.ndarray, walk: Walk, apart_mm: float) -> np.ndarray:
    """Indices of places that are the strongest within `apart_mm` of themselves, ascending."""
    kept: list[int] = []
    for k in np.argsort(-strength, kind="stable"):
        gaps = np.abs(arc[kept] - arc[k])
        if walk.closed:
            gaps = np.minimum(gaps, walk.length - gaps)
        if len(gaps) == 0 or gaps.min() > apart_mm:
            kept.append(int(k))
    return np.array(sorted(kept), dtype=int)
