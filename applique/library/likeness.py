"""Templates that are the same shape, turned or mirrored as they may lie: duplicates of a library.

Where the line lies. The same template traced twice differs by the hand, which wobbles by some
0.15 mm to either side, and by the pen, which stands off evenly by 0.1 mm, rarely 0.2 mm, more on
one of the two pages: together 0.25 to 0.35 mm at the worst place. Templates that somebody made
different on purpose differ by about 1 mm somewhere; laid over each other as well as can be, that is
0.5 mm on either side of a longer or wider one, and more at a corner that was moved. So two outlines
are alike if, laid so that the squares of their distances are least, no place of either lies further
than MOST_MM = 0.4 mm from the other, and the root mean square of the distances is at most
OFF_MM = 0.25 mm, which tells an even 0.3 mm all round (another circle) from a wobble that reaches
as far in places. Templates are of true size: a scaled copy is another template. So is one with
another number of parts or holes. Shapes of a few mm across differ by less than these distances
whatever they are; they count as alike.

How pairs are found. Area and moments of an outline that moves by 0.25 mm change by a known amount
at most. Shapes that differ by more are left aside by a spatial index and comparisons of whole
arrays; what is left is laid over each other (`alignment.py`) and measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from applique.errors import InputError
from applique.library.alignment import States, best_of_each, flipped, laid, likely_turns, turned
from applique.library.signature import Signatures, signatures_of

MOST_MM = 0.4
"""Outlines alike lie nowhere further apart: a wobble of 0.15 mm, a pen of 0.2 mm and the rounding
of corners stay below it, half of a difference of 1 mm above."""

OFF_MM = 0.25
"""Outlines alike lie no further apart in the root mean square: 0.2 mm of pen and a wobble of 0.15
mm make 0.23 mm, a circle wider by 0.6 mm makes 0.3 mm."""

PEN_MM = 0.1
"""A pen that stands off evenly by this makes tips longer by more, by 0.3 mm where they are sharper
than 40 degrees, which is no difference of templates. Not 0.2 mm: a slender leaf that is 2 % larger
would be taken for that."""

_NEAREST = 1.05
"""Bounds are told by one shape of a pair; those of the other differ by a few hundredths."""

_BY_MOMENTS = 1.4
"""Moments tell a root mean square to a few tenths: outlines don't run around a centre evenly."""

_ROUGHLY_MM = 0.06
"""Even steps tell a distance to 0.02 mm, but for corners."""

_MEASURED_EVERY = 4
"""Every fourth step is measured: 64 of either outline."""

_PAIRS_AT_ONCE = 100_000
"""Moments of so many pairs are compared at a time: 35 MB."""

_LAID_AT_ONCE = 4096
"""Turns of so many pairs are compared at a time: 100 MB."""

MOST_PAIRS = 15_000
"""Laid over each other in one go; each takes up to 0.6 ms, most where every turn is as likely, as
of circles. A library of 2,000 templates full of near misses has some 2,300."""

Shape: TypeAlias = MultiPolygon | Polygon


@dataclass(frozen=True)
class Likeness:
    """Two templates that are one: `second` is `first`, mirrored about the vertical axis if
    `mirrored`, then turned clockwise, as seen with y down, by `turn_degrees` (0 to 360).

    Laid so that distances are least, even steps of either outline lie `off_mm` from the other in
    the root mean square. `most_mm` is the greatest distance of a corner of either from the other
    (the Hausdorff distance); where that is more than MOST_MM, up to PEN_MM of it is reckoned evenly
    and the rest from the outline so widened. Of equally good ways to lay a symmetric shape, one
    that is not mirrored is told, and of those one that turns least.
    """

    first: int
    second: int
    turn_degrees: float
    mirrored: bool
    off_mm: float
    most_mm: float


def likenesses(shapes: Sequence[Shape]) -> tuple[Likeness, ...]:
    """All pairs alike of shapes in mm, `first` before `second`, in order. Raises InputError where
    too many are alike at first sight."""
    signatures = signatures_of(shapes)
    pairs = _candidates(signatures, signatures)
    return _alike(signatures, signatures, pairs[pairs[:, 0] < pairs[:, 1]])


def likenesses_between(known: Sequence[Shape], new: Sequence[Shape]) -> tuple[Likeness, ...]:
    """All pairs alike of a known shape, `first`, and a new one, `second`, in order. Raises
    InputError where too many are alike at first sight."""
    one, other = signatures_of(known), signatures_of(new)
    return _alike(one, other, _candidates(one, other))


def compare(known: Shape, new: Shape) -> Likeness | None:
    """How a new shape is the known one turned or mirrored, or None if it is another."""
    found = likenesses_between([known], [new])
    return found[0] if found else None


def _candidates(one: Signatures, other: Signatures) -> np.ndarray:
    """Pairs (p, 2), in order, whose areas and moments don't tell them apart."""
    size, others_size = np.abs(one.moments), np.abs(other.moments)
    slack, moment_slack = _NEAREST * OFF_MM * one.length, _NEAREST * OFF_MM * one.reach
    boxes = shapely.box(
        one.area - slack,
        size[:, 2] - moment_slack,
        one.area + slack,
        size[:, 2] + moment_slack,
    )
    boxes[one.length == 0] = None
    places = shapely.points(other.area, others_size[:, 2])
    places[other.length == 0] = None
    pairs = shapely.STRtree(places).query(boxes).T
    pairs = pairs[np.all(one.rings[pairs[:, 0]] == other.rings[pairs[:, 1]], axis=1)]
    near = [
        np.all(np.abs(size[a] - others_size[b]) <= moment_slack[a, None], axis=1)
        for k in range(0, len(pairs), _PAIRS_AT_ONCE)
        for a, b in [pairs[k : k + _PAIRS_AT_ONCE].T]
    ]
    kept = pairs[np.concatenate(near)] if near else pairs
    return kept[np.lexsort((kept[:, 1], kept[:, 0]))]


def _alike(one: Signatures, other: Signatures, pairs: np.ndarray) -> tuple[Likeness, ...]:
    """Those of the pairs that are alike, some thousands at a time."""
    if len(pairs) > MOST_PAIRS:
        raise InputError(
            f"{len(pairs)} pairs of templates are alike at first sight, too many to lay over each "
            "other; divide the library"
        )
    return tuple(
        likeness
        for k in range(0, len(pairs), _LAID_AT_ONCE)
        for likeness in _measured(one, other, pairs[k : k + _LAID_AT_ONCE])
    )


def _measured(one: Signatures, other: Signatures, pairs: np.ndarray) -> tuple[Likeness, ...]:
    """Each pair laid over each other, measured, and kept if it is alike."""
    states = laid(one, other, likely_turns(one, other, pairs, _BY_MOMENTS * OFF_MM))
    near = (states.off <= OFF_MM + _ROUGHLY_MM) & (states.most <= MOST_MM + _ROUGHLY_MM)
    best = best_of_each(states.only(near))
    off, most = _distances(one, other, best)
    degrees = np.round(np.degrees(best.turn), 3) % 360
    return tuple(
        Likeness(
            int(best.first[k]),
            int(best.second[k]),
            float(degrees[k]),
            bool(best.mirrored[k]),
            float(off[k]),
            float(most[k]),
        )
        for k in np.flatnonzero((off <= OFF_MM) & (most <= MOST_MM))
    )


def _distances(one: Signatures, other: Signatures, states: States) -> tuple[np.ndarray, np.ndarray]:
    """Root mean square and greatest distance of the outlines of each state, mm."""
    corners, row = shapely.get_coordinates(one.shapes[states.first], return_index=True)
    from_centre = (corners - one.centre[states.first[row]])[:, None]
    moved = _laid_over(from_centre, other, states.only(row))[:, 0]
    first = shapely.set_coordinates(one.shapes[states.first], moved)
    second = other.shapes[states.second]
    steps = _laid_over(one.points[states.first, ::_MEASURED_EVERY], other, states)
    centres = other.centre[states.second, None]
    steps_back = other.points[states.second, ::_MEASURED_EVERY] + centres
    there = shapely.distance(shapely.points(steps), shapely.boundary(second)[:, None])
    back = shapely.distance(shapely.points(steps_back), shapely.boundary(first)[:, None])
    off = np.sqrt(np.mean(np.concatenate([there, back], axis=1) ** 2, axis=1))
    return off, _greatest_distances(first, second)


def _greatest_distances(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """Hausdorff distances of the outlines of shapes, mm. Of pairs that lie too far apart, the first
    is made wider or narrower as the pen may have stood off, so that its tips grow as they do under
    a pen; that counts as distance too."""
    most = shapely.hausdorff_distance(shapely.boundary(first), shapely.boundary(second))
    far = np.flatnonzero(most > MOST_MM)
    evenly = (shapely.area(second[far]) - shapely.area(first[far])) / shapely.length(first[far])
    evenly = np.clip(evenly, -PEN_MM, PEN_MM)
    wider = shapely.boundary(shapely.buffer(first[far], evenly, join_style="mitre"))
    by_pen = np.abs(evenly) + shapely.hausdorff_distance(wider, shapely.boundary(second[far]))
    most[far] = np.fmin(most[far], by_pen)
    return most


def _laid_over(points: np.ndarray, other: Signatures, states: States) -> np.ndarray:
    """Points (s, m, 2) about the first's centre, laid by state s over the second where it lies."""
    about = turned(flipped(points, states.mirrored), states.turn)
    return about + states.shift[:, None] + other.centre[states.second, None]
