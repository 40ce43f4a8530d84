"""Nicks: steps, folds and specks in a drawn edge that are smaller than any thread shows.

Artwork is full of them: two curves that meet a hundredth of a millimetre apart, a line that doubles
back on itself before it goes on. Each of their vertices would count as a corner, and the stitches
would turn about it.
"""

from __future__ import annotations

import numpy as np

from applique.geometry.walk import Walk, unit

STRAYS_MM = 0.08
"""A line without its nicks strays from the drawn one by no more than this towards the fabric: less
than the 0.1 mm that a needle is moved by."""

OUTWARD_MM = 0.3
"""Away from the fabric it may stray so far, less than a thread is wide: there the raw edge is only
covered the better, and the line's outer side goes round a step's corner as far anyway."""

_SHARP_DEGREES = 25.0
"""Vertices that turn by more may be part of a nick."""

_LONGEST_MM = 2.5
"""No nick is longer along the line."""

_BESIDE_MM = ((0.8, 0.8), (0.4, 0.4), (0.15, 0.15), (0.08, 0.08), (0.02, 1.2), (1.2, 0.02))
"""How much of the line before and after a nick may be straightened with it; the first that fits."""

_JOINT_MM = 0.05
"""The line's direction at the ends of a section is taken over this length beside it."""

_CALMER = 0.5
"""A line without a nick turns at most by this share of what it turned with it."""


def without_nicks(points: np.ndarray, closed: bool) -> np.ndarray:
    """An edge (n, 2) of mm with the fabric on its left, its nicks straightened; the ends of an open
    line stay.

    A closed line does not repeat its first point. Without a nick the same array is returned.
    """
    if len(points) < 4:
        return points
    walk = _begun_apart(Walk(points, closed))
    arc, turn = _sharp_vertices(walk)
    sections: list[tuple[float, float]] = []
    free_mm = -_LONGEST_MM
    for k in range(len(arc) - 1):
        if arc[k] >= free_mm:
            section = _nick(walk, arc[k:], turn[k:])
            if section is not None and section[0] >= free_mm:
                sections.append(section)
                free_mm = section[1]
    if walk.closed and sections and sections[-1][1] > sections[0][0] + walk.length:
        sections.pop()
    return _straightened(walk, sections) if sections else points


def _begun_apart(walk: Walk) -> Walk:
    """A closed walk begun after its longest way without a sharp vertex, so that no nick lies across
    its start."""
    arc, _ = _sharp_vertices(walk)
    if not walk.closed or len(arc) == 0:
        return walk
    gaps = np.diff(arc, prepend=arc[-1] - walk.length)
    first = int(np.searchsorted(walk.arc, arc[np.argmax(gaps)]))
    return Walk(np.roll(walk.points, -first, axis=0), closed=True)


def _sharp_vertices(walk: Walk) -> tuple[np.ndarray, np.ndarray]:
    """Arc lengths of the vertices that turn sharply, ascending, and their turns in radians."""
    points = walk.points
    steps = np.diff(np.vstack([points, points[:1]]) if walk.closed else points, axis=0)
    before = np.roll(steps, 1, axis=0) if walk.closed else steps[:-1]
    after = steps if walk.closed else steps[1:]
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.arctan2(cross, (before * after).sum(axis=1))
    arc = walk.arc[:-1] if walk.closed else walk.arc[1:-1]
    sharp = np.abs(turn) > np.radians(_SHARP_DEGREES)
    return arc[sharp], turn[sharp]


def _nick(walk: Walk, arc: np.ndarray, turn: np.ndarray) -> tuple[float, float] | None:
    """The section to straighten for the longest nick that begins at the first of the sharp vertices
    given by their arc lengths and turns; None if none does."""
    for last in range(int(np.searchsorted(arc, arc[0] + _LONGEST_MM)) - 1, 0, -1):
        turned = float(np.abs(turn[: last + 1]).sum())
        for before, after in _BESIDE_MM:
            section = (float(arc[0] - before), float(arc[last] + after))
            within = walk.closed or (section[0] > 0 and section[1] < walk.length)
            short = section[1] - section[0] < walk.length / 2
            if within and short and _can_go_straight(walk, section, turned):
                return section
    return None


def _can_go_straight(walk: Walk, section: tuple[float, float], turned: float) -> bool:
    """Whether a section can go straight without straying, and comes out calmer."""
    was = walk.section(*section)
    start, stop = was[0], was[-1]
    if not _strays_little(was, start, stop):
        return False
    nearby = np.array([section[0] - _JOINT_MM, section[1] + _JOINT_MM])
    before, after = walk.at(nearby)
    ways = unit(np.array([start - before, stop - start, after - stop]))
    cosines = np.clip((ways[:-1] * ways[1:]).sum(axis=1), -1.0, 1.0)
    return bool(np.arccos(cosines).sum() <= _CALMER * turned)


def _strays_little(points: np.ndarray, start: np.ndarray, stop: np.ndarray) -> bool:
    """Whether the straight line between two places strays little from points (n, 2), and where it
    strays further, has them on its left, where the fabric is."""
    along = stop - start
    offsets = points - start
    share = np.clip(offsets @ along / max(float(along @ along), 1e-12), 0.0, 1.0)
    away = offsets - share[:, None] * along
    distance = np.hypot(away[:, 0], away[:, 1])
    on_left = along[0] * offsets[:, 1] - along[1] * offsets[:, 0] > 0
    return bool((distance <= np.where(on_left, OUTWARD_MM, STRAYS_MM)).all())


def _straightened(walk: Walk, sections: list[tuple[float, float]]) -> np.ndarray:
    """The line with the sections, which are in order, gone straight."""
    starts = [start for start, _ in sections]
    stops = [stop for _, stop in sections]
    if walk.closed:
        kept = zip(stops, [*starts[1:], starts[0] + walk.length], strict=True)
    else:
        kept = zip([0.0, *stops], [*starts, walk.length], strict=True)
    return np.vstack([walk.section(start, stop) for start, stop in kept])
