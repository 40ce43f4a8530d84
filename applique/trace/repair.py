"""Stretches of an edge that can't be seen, bridged from what is seen on both sides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from applique.trace.band import DOUBTFUL_MM, DOUBTFUL_PENS, MISSING, SEEN
from applique.trace.edge import smoothed
from applique.trace.flank import Flank, far_flank, meeting, near_flank, unexplained

_MARGIN_MM = 0.45
"""So much more of the edge beside an unseen stretch is left out: the end of a stroke is round, and
ink runs into the corner between two strokes."""

_SHORT_MM = 0.6
_SHORT_MARGIN_MM = 0.15
"""Beside a stretch shorter than the first, as where a hair crosses, the second is enough."""

_ISLAND_MM = 1.0
"""What is seen between two unseen stretches counts from this length on."""

_CORNER_DEGREES = 35.0
"""Sides that turn by more than this, beyond what their own bends explain, meet in a corner."""

_FURTHEST_CORNER = 4.0
"""No corner lies so many times further away than the stretch is long."""

_ROLLING_PENS = 0.4
_ROUND = 12
_INTRUDES_MM = 0.03
"""A pen leaves no ink in a shape that a disc of so many pens across its radius can't roll past;
what a rolling disc misses by more than the second is a hair, a speck or a digit's foot."""

_GRAIN_MM = 0.1
"""The paper's and the scanner's grain is evened out over so much of the edge before the disc is
rolled past it."""

_SPECKLED_MM = 0.4
"""An edge that is blurred for no longer than this is simply carried past."""

SPACING_MM = 0.1
"""Bridged stretches get points at this distance."""


@dataclass(frozen=True, eq=False)
class Stretch:
    """A stretch that was bridged: its `points` (n, 2) in mm, how far its ends lie apart, where its
    middle is and, as codes of `band`, why it could not be seen."""

    points: np.ndarray
    length_mm: float
    place: tuple[float, float]
    why: frozenset[int]


@dataclass(frozen=True, eq=False)
class Mended:
    """A closed edge without unseen stretches: `points` (n, 2) in mm, `bridged` (n,) where they
    were not seen, and the stretches, in order."""

    points: np.ndarray
    bridged: np.ndarray
    stretches: tuple[Stretch, ...]


def intruding(points: np.ndarray, pen_mm: float) -> np.ndarray:
    """Where a closed edge, (n, 2) mm, shows ink that no pen of this width has left: (n,) bool."""
    steps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    even = smoothed(points, _GRAIN_MM / float(np.median(steps)))
    polygon = shapely.make_valid(shapely.simplify(shapely.Polygon(even), 0.005))
    radius = _ROLLING_PENS * pen_mm
    # Rolled past from inside, then as much further in as counts.
    grown = shapely.buffer(polygon, radius, quad_segs=_ROUND)
    rolled = shapely.buffer(grown, -radius - _INTRUDES_MM, quad_segs=_ROUND)
    shapely.prepare(rolled)
    return shapely.contains_xy(rolled, even)


def without_blurs(points: np.ndarray, found: np.ndarray) -> np.ndarray:
    """Which points of a closed edge to keep, (n,) bool: all but those in short stretches where no
    clear step from ink to paper was found."""
    steps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    keep = found.copy()
    for first, last in _runs(~found):
        run = np.arange(first, last + 1 if last >= first else last + 1 + len(points)) % len(points)
        if steps[run].sum() > _SPECKLED_MM:
            keep[run] = True
    return keep


def mended(points: np.ndarray, why: np.ndarray, pen_mm: float) -> Mended | None:
    """Bridge what is not seen of a closed edge, (n, 2) mm: where `why` (n,), as in `band`, is not
    SEEN; None if too little is left."""
    steps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
    keep = _kept(why, steps, pen_mm)
    if not keep.any():
        return None
    if keep.all():
        return Mended(points, np.zeros(len(points), bool), ())
    start = int(np.flatnonzero(keep & ~np.roll(keep, 1))[0])
    points, keep = np.roll(points, -start, axis=0), np.roll(keep, -start)
    why = np.roll(why, -start)
    bounds = np.flatnonzero(np.diff(keep.astype(np.int8)) != 0) + 1
    runs = np.split(np.arange(len(points)), bounds)
    seen_runs = [points[run] for run in runs[::2]]
    reasons = [frozenset(np.unique(why[run]).tolist()) - {SEEN} for run in runs[1::2]]
    parts, flags, stretches = [], [], []
    following = [*seen_runs[1:], seen_runs[0]]
    for before, after, reason in zip(seen_runs, following, reasons, strict=True):
        stretch = _bridged(before, after, reason)
        parts += [before, stretch.points]
        flags += [np.zeros(len(before), bool), np.ones(len(stretch.points), bool)]
        stretches.append(stretch)
    return Mended(np.concatenate(parts), np.concatenate(flags), tuple(stretches))


def _kept(why: np.ndarray, steps: np.ndarray, pen_mm: float) -> np.ndarray:
    """What is left of a closed edge: seen, not next to what is not seen, and long enough."""
    arc = np.concatenate([[0.0], np.cumsum(steps)])
    total = arc[-1]
    keep = why == SEEN
    for first, last in _runs(why != SEEN):
        begin, end = arc[first], arc[last + 1] if last >= first else arc[last + 1] + total
        margin = _MARGIN_MM if end - begin > _SHORT_MM else _SHORT_MARGIN_MM
        run = np.arange(first, last + 1 if last >= first else last + 1 + len(why)) % len(why)
        if (why[run] == MISSING).any():
            margin = max(margin, _rounded_mm(pen_mm))
        keep &= ~_within(arc[:-1], begin - margin, end + margin, total)
    for first, last in _runs(keep):
        end = arc[last + 1] if last >= first else arc[last + 1] + total
        if end - arc[first] < _ISLAND_MM:
            keep &= ~_within(arc[:-1], arc[first], end, total)
    return keep


def _rounded_mm(pen_mm: float) -> float:
    """How far back from where it counts as missing the round end of a line has left its edge: by
    less than what is doubtful, d, over sqrt(2 r d) on a circle of radius r."""
    doubtful = max(DOUBTFUL_MM, DOUBTFUL_PENS * pen_mm)
    return float(np.sqrt(pen_mm * doubtful))


def _runs(flags: np.ndarray) -> list[tuple[int, int]]:
    """First and last index of every run of a closed row of flags; a run across the end has its
    first after its last."""
    if flags.all() or not flags.any():
        return []
    firsts = np.flatnonzero(flags & ~np.roll(flags, 1))
    lasts = np.flatnonzero(flags & ~np.roll(flags, -1))
    if lasts[0] < firsts[0]:
        lasts = np.roll(lasts, -1)
    return list(zip(firsts.tolist(), lasts.tolist(), strict=True))


def _within(arc: np.ndarray, begin: float, end: float, total: float) -> np.ndarray:
    """Which places of a closed line lie between two, the second ahead of the first."""
    return (arc - begin) % total <= end - begin


def _bridged(before: np.ndarray, after: np.ndarray, why: frozenset[int]) -> Stretch:
    """The way from the end of one seen run to the beginning of the next."""
    leaving, arriving = near_flank(before[::-1]).back(), near_flank(after)
    length = float(np.hypot(*(arriving.place - leaving.place)))
    corner = _corner_between(before, after)
    if corner is not None and _is_nearby(corner, leaving.place, arriving.place):
        ways = _straight(leaving.place, corner), _straight(corner, arriving.place)
        points = np.concatenate([ways[0], corner[None], ways[1]])
    else:
        points = _curved(leaving, arriving, length)
    middle = points[len(points) // 2]
    return Stretch(points, length, (float(middle[0]), float(middle[1])), why)


def _corner_between(before: np.ndarray, after: np.ndarray) -> np.ndarray | None:
    """Where the sides before and after an unseen stretch meet in a corner, if their own bends don't
    explain how they turn; None if they do."""
    arriving, back = far_flank(after), far_flank(before[::-1])
    if arriving is None or back is None:
        return None
    leaving = back.back()
    if abs(np.degrees(unexplained(leaving, arriving))) <= _CORNER_DEGREES:
        return None
    return meeting(leaving, arriving)


def _is_nearby(corner: np.ndarray, start: np.ndarray, stop: np.ndarray) -> bool:
    reach = max(np.hypot(*(corner - start)), np.hypot(*(corner - stop)))
    return bool(reach <= _FURTHEST_CORNER * (np.hypot(*(stop - start)) + _SHORT_MM))


def _straight(start: np.ndarray, stop: np.ndarray) -> np.ndarray:
    """Points between two places, without them."""
    count = max(2, round(float(np.hypot(*(stop - start))) / SPACING_MM))
    return start + np.linspace(0, 1, count + 1)[1:-1, None] * (stop - start)


def _curved(leaving: Flank, arriving: Flank, length: float) -> np.ndarray:
    """Points of the cubic that leaves and arrives in the directions of its sides, without its
    ends."""
    count = max(2, round(length / SPACING_MM))
    t = np.linspace(0, 1, count + 1)[1:-1, None]
    s = 1 - t
    start, stop = leaving.place, arriving.place
    first = start + length / 3 * leaving.direction
    second = stop - length / 3 * arriving.direction
    return s**3 * start + 3 * s * s * t * first + 3 * s * t * t * second + t**3 * stop
