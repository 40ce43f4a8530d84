"""A piece that is larger than every hoop, sewn in stretches.

Windows are laid over its stitches, as few as can be found; every path is cut where it goes from one
into the next, at a needle penetration, where the join shows least. Nothing is moved.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry.base import BaseGeometry

from applique.hoops.boxes import box_of_steps
from applique.hoops.problem import BoxMm, SizeMm
from applique.hoops.stretching.ends import Fragment, part_of
from applique.hoops.stretching.fragments import OVERLAP_MM, Way, way_of
from applique.hoops.stretching.joins import Ground, Join, ground_of, places_of, plain_places
from applique.hoops.stretching.shares import (
    Cuttable,
    Shared,
    above_of,
    following,
    shared_out,
)
from applique.hoops.stretching.windows import covers_of, spread
from applique.model import Step, StepKind

_SEEN = ("edge", "detail")
"""The kinds of steps that stay in sight; their fragments overlap."""

_ROUNDING_MM = 1e-6
"""Windows are taken smaller by this, so that no rounding makes a part larger than its window."""

_GOOD_PLACE = 10.0
"""Up to so many times as much it counts that two windows share a place where a join shows little as
that they share any other, where that is tried."""

_DOUBLED_MM = 2 * OVERLAP_MM + 1.0
"""Joins of a path between the same two parts this near to each other are one: an edge that is sewn
twice, there and back, is cut twice, and the overlaps reach to either side."""


@dataclass(frozen=True, eq=False)
class Stretch:
    """What is sewn of a piece in one hooping: its steps, in the order of the piece's, and the box
    round their stitches, in mm."""

    steps: tuple[Step, ...]
    box: BoxMm


@dataclass(frozen=True, eq=False)
class Stretches:
    """The parts a piece is sewn in, and where its edge goes from one into another."""

    parts: tuple[Stretch, ...]
    joins: tuple[Join, ...]


def stretches(
    steps: Sequence[Step],
    windows: Sequence[SizeMm],
    outline: BaseGeometry,
    covered: BaseGeometry,
    tie_length_mm: float,
) -> Stretches:
    """Divide the steps of one piece or detail into parts that each fit into one of some windows.

    `steps` are all its steps in sewing order, without travel; `windows` the widths and heights, in
    mm, that the stitches of one hooping may have; `outline` its shape, or the lines of a detail, by
    whose corners joins are chosen; `covered` the fabric laid over it later, under which joins are
    hidden (it may be empty). Ties are `tie_length_mm` long.

    Every penetration comes in one part, or, where edges overlap by 3 mm, in two. Raises ValueError
    if even the smallest stretch of a path fits into no window.
    """
    sizes = [(w - _ROUNDING_MM, h - _ROUNDING_MM) for w, h in dict.fromkeys(windows)]
    if _fits(np.vstack([path for step in steps for path in step.paths]), sizes):
        return Stretches((Stretch(tuple(steps), box_of_steps(steps)),), ())
    paths = _cuttable(steps, ground_of(outline, covered))
    shared = _least(paths, sizes)
    used = _used(shared)
    parts = []
    for window in used:
        own = part_of(steps, _fragments(shared, window), tie_length_mm)
        parts.append(Stretch(own, box_of_steps(own)))
    return Stretches(tuple(parts), _joins(shared, used))


def _fits(points: np.ndarray, sizes: Sequence[SizeMm]) -> bool:
    width, height = points.max(axis=0) - points.min(axis=0)
    return any(width <= w and height <= h for w, h in sizes)


def _cuttable(steps: Sequence[Step], ground: Ground) -> list[Cuttable]:
    """All paths of a piece as they can be cut."""
    found: list[Cuttable] = []
    for index, step in enumerate(steps):
        for place, points in enumerate(step.paths):
            way, beneath = _way(points, step.kind)
            places = plain_places(way) if beneath.all() else places_of(way, ground)
            found.append(Cuttable(way, places, way.boxes(), beneath, len(found), index, place))
    return found


def _way(points: np.ndarray, kind: StepKind) -> tuple[Way, np.ndarray]:
    """How a path can be cut, and which of its stretches lie beneath others, (k - 1,)."""
    if kind not in _SEEN:
        way = way_of(points, 0.0)
        return way, np.ones(len(way.cuts) - 1, dtype=bool)
    way = way_of(points, OVERLAP_MM)
    rungs = way.rungs[way.middles()]
    # A satin line is sewn over a run there and back, in one path with it.
    beneath = ~rungs if kind == "detail" and rungs.any() else np.zeros(len(rungs), dtype=bool)
    within = np.concatenate([[False], beneath[:-1] & beneath[1:], [False]])
    return replace(way, begins=np.where(within, way.cuts, way.begins)), beneath


def _least(paths: Sequence[Cuttable], sizes: Sequence[SizeMm]) -> list[Shared]:
    """All paths shared out among the fewest windows found, where their joins count least."""
    boxes = np.vstack([path.boxes for path in paths])
    _check(boxes, sizes)
    even = np.ones(len(boxes))
    by_place = np.concatenate([_weights(path) for path in paths])
    seen = [path for path in paths if not path.beneath.all()]
    best: tuple[int, float] | None = None
    for cover, weights in itertools.product(covers_of(boxes, sizes), (even, by_place)):
        windows = spread(cover, boxes, weights, sizes)
        shared = [shared_out(path, windows) for path in seen]
        rank = (len(windows), sum(part.cost for part in shared))
        if best is None or rank < best:
            best, chosen, above = rank, windows, shared
    reference = above_of(above)
    settled = {part.path.number: part for part in above}
    return [following(path, settled.get(path.number), reference, chosen) for path in paths]


def _check(boxes: np.ndarray, sizes: Sequence[SizeMm]) -> None:
    """Raises ValueError if one of the boxes (n, 4) fits into no window."""
    wide, high = (boxes[:, 2:] - boxes[:, :2]).T
    fit = np.zeros(len(boxes), dtype=bool)
    for width, height in sizes:
        fit |= (wide <= width) & (high <= height)
    if not fit.all():
        k = int(np.argmin(fit))
        raise ValueError(
            f"stitches that can't be divided take {wide[k]:.1f} x {high[k]:.1f} mm, "
            "which fits into no hoop"
        )


def _weights(path: Cuttable) -> np.ndarray:
    """How much it counts that two windows share each stretch of a path, (k - 1,)."""
    if path.beneath.all():
        return np.ones(len(path.beneath))
    free = path.places.cost.min()
    return 1.0 + _GOOD_PLACE * np.where(path.beneath, 0.0, free / path.places.cost[:-1])


def _used(shared: Sequence[Shared]) -> list[int]:
    """The windows that are used, in the order the edge comes to them."""
    seen = [part.window for part in shared if not part.path.beneath.all()]
    rest = [part.window for part in shared if part.path.beneath.all()]
    return list(dict.fromkeys(np.concatenate([*seen, *rest]).tolist()))


def _fragments(shared: Sequence[Shared], window: int) -> list[Fragment]:
    """What is sewn in one window, in order."""
    found = []
    for part in shared:
        way, path = part.path.way, part.path
        turns = part.turns()
        starts = [0, *way.begins[turns].tolist()]
        stops = [*way.cuts[turns].tolist(), len(way.points) - 1]
        sewn_in = part.window[[0, *turns]].tolist()
        for first, last, own in zip(starts, stops, sewn_in, strict=True):
            if own == window:
                found.append(Fragment(way, path.number, path.step, path.place, first, last))
    return found


def _joins(shared: Sequence[Shared], used: Sequence[int]) -> tuple[Join, ...]:
    """Where what is seen goes on in another part."""
    return tuple(join for part in shared for join in _joins_along(part, used))


def _joins_along(part: Shared, used: Sequence[int]) -> list[Join]:
    way, places = part.path.way, part.path.places
    found: list[Join] = []
    for k in part.turns().tolist():
        if part.path.beneath[k - 1] or part.path.beneath[k]:
            continue
        x, y = way.spine[way.cuts[k]].tolist()
        meet = (used.index(part.window[k - 1]), used.index(part.window[k]))
        join = Join((x, y), bool(places.hidden[k]), bool(places.straight[k]), meet)
        if not any(_is_double(join, other) for other in found):
            found.append(join)
    return found


def _is_double(join: Join, other: Join) -> bool:
    same = set(join.parts) == set(other.parts)
    return same and math.dist(join.place, other.place) <= _DOUBLED_MM
