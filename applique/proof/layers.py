"""How many layers of thread lie over one another at the densest place.

The thread in a circle of 1 mm, its length times its diameter, is set against the circle's area. A
place wholly and evenly covered by threads that lie side by side has one layer; a satin of spacing s
has 2 d / s, so one of 0.4 mm has 0.97. Only thread on top counts, and all of it: underlay, tack,
ties and the edges of every piece that meets there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from applique.proof.crowding import CIRCLE_MM

Place = tuple[float, float]


def thread_diameter_mm(tex: float) -> float:
    """The diameter of a thread by Peirce's formula, at 1.1 cm3 a gram.

    A thread of `tex` grams a kilometre has tex x 1.1 cm3 in 1e5 cm of length.
    """
    return 10 * math.sqrt(4 * tex * 1e-5 * 1.1 / math.pi)


THREAD_MM = thread_diameter_mm(240 / 9)
"""Embroidery thread of 40 wt is 240 denier: 26.67 tex, 0.193 mm. The other weights are counted as
this one: what is published of them does not agree."""

_PART = 0.1
"""A piece that adds less than this to the layers of a place has no part in them."""

_ROUNDING_MM = 1e-9

_AT_ONCE = 20_000
"""Circles that are looked at together. Each has some twenty stitches near it, so that all circles
of a million stitches at once would take gigabytes, and be slower."""


@dataclass(frozen=True)
class ThreadLayers:
    """The most layers of thread at one place (mm on the page, None if nothing is sewn), and whose
    stitches make them, in sewing order."""

    most: float
    place: Place | None
    pieces: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Circle:
    """A circle: the thread in it in mm, its centre, and its stitches (n,) with how much of each
    lies inside (n,)."""

    thread: float
    centre: np.ndarray
    stitches: np.ndarray
    inside: np.ndarray


def thread_layers(
    paths: Sequence[np.ndarray], owners: Sequence[str], diameter_mm: float = THREAD_MM
) -> ThreadLayers:
    """The densest place among all paths of a block, (n, 2) arrays of mm; `owners` tell whose each
    is ("" for nobody's). Circles are centred on penetrations and on the middles of stitches."""
    used = [k for k, path in enumerate(paths) if len(path) > 1]
    if not used:
        return ThreadLayers(0.0, None, ())
    starts = np.vstack([paths[k][:-1] for k in used])
    ends = np.vstack([paths[k][1:] for k in used])
    owner = np.repeat(used, [len(paths[k]) - 1 for k in used])
    centres = _unlike(np.vstack([starts, ends, (starts + ends) / 2]))
    tree = shapely.STRtree(shapely.linestrings(np.stack([starts, ends], axis=1)))
    densest = _Circle(0.0, centres[0], np.empty(0, int), np.empty(0))
    for first in range(0, len(centres), _AT_ONCE):
        some = centres[first : first + _AT_ONCE]
        densest = _densest(some, tree, starts, ends, densest)
    layers_per_mm = diameter_mm / (math.pi / 4 * CIRCLE_MM**2)
    share = np.bincount(owner[densest.stitches], weights=densest.inside, minlength=len(paths))
    place = (float(densest.centre[0]), float(densest.centre[1]))
    pieces = _owners(share * layers_per_mm, owners)
    return ThreadLayers(densest.thread * layers_per_mm, place, pieces)


def _densest(
    centres: np.ndarray,
    tree: shapely.STRtree,
    starts: np.ndarray,
    ends: np.ndarray,
    before: _Circle,
) -> _Circle:
    """The circle with the most thread among those round some centres (n, 2), or `before` if none
    has more."""
    circle, stitch = tree.query(_boxes_round(centres))
    if len(circle) == 0:
        return before
    likely = _likely(circle, stitch, centres, starts, ends, before.thread)
    circle, stitch = circle[likely], stitch[likely]
    inside = _length_within(centres[circle], starts[stitch], ends[stitch])
    thread = np.bincount(circle, weights=inside, minlength=len(centres))
    most = int(np.argmax(thread))
    if thread[most] <= before.thread:
        return before
    there = circle == most
    return _Circle(float(thread[most]), centres[most], stitch[there], inside[there])


def _owners(layers: np.ndarray, owners: Sequence[str]) -> tuple[str, ...]:
    """Whose paths have a part in a place's layers, given each path's own (n,)."""
    by_owner: dict[str, float] = {}
    for owner, part in zip(owners, layers.tolist(), strict=True):
        by_owner[owner] = by_owner.get(owner, 0.0) + part
    return tuple(owner for owner, part in by_owner.items() if owner and part >= _PART)


def _unlike(points: np.ndarray) -> np.ndarray:
    """Points (n, 2) without repeats, by x and y. As complex numbers they are sorted fastest."""
    return np.unique(np.ascontiguousarray(points).view(complex)[:, 0])[:, None].view(float)


def _likely(
    circle: np.ndarray,
    stitch: np.ndarray,
    centres: np.ndarray,
    starts: np.ndarray,
    ends: np.ndarray,
    thread_before: float,
) -> np.ndarray:
    """Which pairs of circle and stitch belong to a circle that may be the densest, (n,) of bool.

    No stitch has more than the diameter in a circle, so what has too few near it to reach the
    thread of the one with most stitches near it, or that of one found before, can't be.
    """
    near = np.bincount(circle, minlength=len(centres))
    busiest = int(np.argmax(near))
    there = stitch[circle == busiest]
    reached = _length_within(centres[busiest], starts[there], ends[there]).sum()
    reached = max(reached, thread_before)
    return np.asarray(near[circle] * CIRCLE_MM >= reached - _ROUNDING_MM)


def _boxes_round(centres: np.ndarray) -> np.ndarray:
    low, high = centres - CIRCLE_MM / 2, centres + CIRCLE_MM / 2
    return np.asarray(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))


def _length_within(centres: np.ndarray, starts: np.ndarray, ends: np.ndarray) -> np.ndarray:
    """How much of each stitch lies within the circle that it is paired with, or within the one
    circle that is given, (n,) of mm."""
    way = ends - starts
    length = np.hypot(way[:, 0], way[:, 1])
    along = way / np.maximum(length, 1e-9)[:, None]
    to_centre = centres - starts
    foot = (to_centre * along).sum(axis=1)
    aside = to_centre[:, 0] * along[:, 1] - to_centre[:, 1] * along[:, 0]
    half = np.sqrt(np.maximum((CIRCLE_MM / 2) ** 2 - aside**2, 0.0))
    within = np.minimum(foot + half, length) - np.maximum(foot - half, 0.0)
    return np.maximum(within, 0.0)
