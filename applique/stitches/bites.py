"""Where the bites of a blanket stitch stand, which way they point, how deep they go.

Between corners they stand square to the outline at equal pitch, a whole number of pitches a side;
at every corner one lies on its bisector. `apart.py` then keeps them clear of each other.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.corners import CORNER_TO_THE_EYE_DEGREES, Corners, find_corners
from applique.geometry.lines import length_inside
from applique.geometry.medial import medial_reach
from applique.geometry.walk import Walk, turned_left, unit
from applique.settings import Settings

CLEAR_OF_MIDDLE = 0.85
"""Share of the way to the medial axis, or to where the fabric ends, that a bite may take: bites
from two sides never meet."""

LONGEST_CORNER = 1.5
"""Outside a sharp corner the run turns at most so many times its own distance from the tip."""

LONGEST_MM = 12.0
"""A bite with its way back to the run is one stitch, which a machine must be able to sew."""

LONGEST_RUN = 1.6
"""Pitches that one stitch of the run may take: a side shorter than this has no bite between. From
here on a whole number of pitches comes within a fifth of the setting."""

_LEEWAY = 1e-4
"""Share of a pitch. A piece turned on the page has sides this much longer or shorter, by rounding
to the 0.001 mm grid; it should get as many bites as before."""

_FEWEST_ROUND = 2
"""Bites round a hole, however small it is."""

_SEEN_MM = 0.6
"""Where so little fabric lies ahead a corner's bite takes more than half of it, to be seen."""

_CRUMB_MM = 0.1
"""Chords beside a corner that are no longer than this don't show."""

_WHISKER_MM = 0.3
"""A drawn tip may begin with a whisker so long, thinner than thread, before the fabric does."""

_SMOOTHING_MM = 0.25
"""Directions are taken over this reach: above the flattening, small against a bite."""


@dataclass(frozen=True, eq=False)
class Bites:
    """Bites in order along a walk.

    `base` (n, 2) lies on the outline, `inward` (n, 2) points into the fabric; a bite goes `depth`
    (n,) mm in, and the run lies `out` (n,) mm outside. `arc` (n,) is where on the walk each stands,
    in mm.
    """

    base: np.ndarray
    inward: np.ndarray
    depth: np.ndarray
    out: np.ndarray
    arc: np.ndarray

    @property
    def outer(self) -> np.ndarray:
        """The ends on the run, (n, 2) mm."""
        return self.base - self.inward * self.out[:, None]

    @property
    def inner(self) -> np.ndarray:
        """The ends in the fabric, (n, 2) mm."""
        return self.base + self.inward * self.depth[:, None]

    def columns(self) -> tuple[np.ndarray, ...]:
        """Its five arrays, in the order of the fields."""
        return (self.base, self.inward, self.depth, self.out, self.arc)

    def taken(self, index: np.ndarray | slice) -> Bites:
        """Some of the bites, chosen as numpy does."""
        return Bites(*(column[index] for column in self.columns()))


def joined(parts: Sequence[Bites]) -> Bites:
    """Several sets of bites, one after the other."""
    return Bites(
        *(np.concatenate(pieces) for pieces in zip(*(b.columns() for b in parts), strict=True))
    )


def bites_along(walk: Walk, settings: Settings, edges: BaseGeometry, fabric: BaseGeometry) -> Bites:
    """The bites along one edge. `edges` are the lines of all edges of the piece, `fabric` is where
    bites may lie."""
    corners = find_corners(walk, CORNER_TO_THE_EYE_DEGREES)
    if walk.closed and corners.count == 0:
        count = max(_FEWEST_ROUND, _pitches(walk.length, settings))
        bites = _on_sides(walk, walk.length * np.arange(count) / count, settings, edges)
    else:
        places = (corners.start_mm + corners.stop_mm) / 2
        sides = [_between(start, stop, settings) for start, stop in _sides(walk, places)]
        on_sides = _on_sides(walk, np.concatenate(sides), settings, edges)
        bites = joined([_at_corners(walk, corners, settings, fabric), on_sides])
        bites = bites.taken(np.argsort(bites.arc, kind="stable"))
    return _on_fabric(_with_room(bites, fabric), fabric)


def run_at(walk: Walk, arc: np.ndarray, settings: Settings, edges: BaseGeometry) -> np.ndarray:
    """Points on the run's own line, in the background, at places of the walk: (n, 2)."""
    base = walk.at(arc)
    outward = -_inward(walk, arc)
    out = medial_reach(base, outward, np.full(len(arc), settings.edge_outside_mm), edges)
    return base + outward * out[:, None]


def _pitches(length_mm: float, settings: Settings) -> int:
    """Into how many pitches a length is divided: of the two whole numbers to choose from the one
    whose pitch is nearer to the setting, which from 1.6 pitches on is within a fifth of it."""
    pitches = length_mm / settings.edge_spacing_mm
    if pitches < LONGEST_RUN - _LEEWAY:
        return 1
    fewer = math.floor(pitches)
    too_long, too_short = pitches / fewer - 1, 1 - pitches / (fewer + 1)
    return fewer if too_long <= too_short + _LEEWAY else fewer + 1


def _sides(walk: Walk, corners_mm: np.ndarray) -> list[tuple[float, float]]:
    """From where to where each side goes, between corners or the ends of an open walk."""
    arc = corners_mm.tolist()
    stops = [*arc, arc[0] + walk.length] if walk.closed else [0.0, *arc, walk.length]
    return list(itertools.pairwise(stops))


def _between(start: float, stop: float, settings: Settings) -> np.ndarray:
    """Places between two corners, a whole number of pitches apart; the ends themselves left out."""
    pitches = _pitches(stop - start, settings)
    return start + (stop - start) * np.arange(1, pitches) / pitches


def _inward(walk: Walk, arc: np.ndarray) -> np.ndarray:
    return turned_left(unit(walk.at(arc + _SMOOTHING_MM) - walk.at(arc - _SMOOTHING_MM)))


def _on_sides(walk: Walk, arc: np.ndarray, settings: Settings, edges: BaseGeometry) -> Bites:
    """Bites square to the outline, no deeper than a share of the way to the middle."""
    base, inward = walk.at(arc), _inward(walk, arc)
    depth = np.full(len(arc), settings.edge_inside_mm)
    if len(arc):
        middle = medial_reach(base, inward, depth / CLEAR_OF_MIDDLE, edges)
        depth = np.minimum(depth, CLEAR_OF_MIDDLE * middle)
    out = medial_reach(base, -inward, np.full(len(arc), settings.edge_outside_mm), edges)
    return Bites(base, inward, depth, out, np.mod(arc, walk.length) if walk.closed else arc)


def _at_corners(walk: Walk, corners: Corners, settings: Settings, fabric: BaseGeometry) -> Bites:
    """Bites on the bisectors of the corners, from the middle of a corner that is cut or rounded."""
    places = (corners.start_mm + corners.stop_mm) / 2
    base = walk.at(places)
    before = _direction(walk, corners.start_mm, -1.0)
    after = _direction(walk, corners.stop_mm, 1.0)
    inward = np.zeros((corners.count, 2))
    for k in range(corners.count):
        inward[k] = _bisector(before[k], after[k], float(corners.turn[k]))
    half = np.minimum(np.abs(corners.turn) / 2, math.radians(89.0))
    out = np.minimum(1 / np.cos(half), LONGEST_CORNER) * settings.edge_outside_mm
    rays = _rays(base, -inward, 2 * out)
    out = np.minimum(out, _ahead(base, shapely.difference(rays, fabric), _CRUMB_MM) / 2)
    depth = np.full(corners.count, settings.edge_inside_mm)
    rays = _rays(base, inward, 2 * depth / CLEAR_OF_MIDDLE)
    ahead = _ahead(base, shapely.intersection(rays, fabric), _WHISKER_MM)
    room = np.maximum(ahead / 2, np.minimum(ahead, _SEEN_MM))
    depth = np.minimum(depth, CLEAR_OF_MIDDLE * room)
    return Bites(base, inward, depth, out, np.mod(places, walk.length) if walk.closed else places)


def _direction(walk: Walk, arc: np.ndarray, side: float) -> np.ndarray:
    """The outline's direction (n, 2) beside corners: before them (`side` -1) or after them (1).
    What lies nearest to a corner is left out, where drawings often have a crumb of a chord."""
    near, far = arc + side * _CRUMB_MM, arc + side * (_CRUMB_MM + _SMOOTHING_MM)
    return unit(side * (walk.at(far) - walk.at(near)))


def _bisector(before: np.ndarray, after: np.ndarray, turn: float) -> np.ndarray:
    """Unit direction (2,) into the fabric, halfway between the sides of a corner."""
    if before @ after < 0:
        # A turn of more than a right angle, up to a cusp, whose normals would cancel out.
        return math.copysign(1.0, turn) * unit(after - before)
    return unit(turned_left(before) + turned_left(after))


def _rays(base: np.ndarray, direction: np.ndarray, reach_mm: np.ndarray) -> np.ndarray:
    return shapely.linestrings(np.stack([base, base + direction * reach_mm[:, None]], axis=1))


def _ahead(base: np.ndarray, rays: np.ndarray, gap_mm: float) -> np.ndarray:
    """How far one can go from corners (n, 2) along what is left of their rays, (n,) of mm. It may
    begin `gap_mm` away from its corner."""
    parts, index = shapely.get_parts(rays, return_index=True)
    ahead = np.zeros(len(base))
    for k, part in zip(index.tolist(), parts, strict=True):
        away = np.hypot(*(shapely.get_coordinates(part) - base[k]).T)
        if away.min(initial=math.inf) <= gap_mm:
            ahead[k] = max(ahead[k], away.max())
    return ahead


def _with_room(bites: Bites, fabric: BaseGeometry) -> Bites:
    """Bites whose pivots don't stand in fabric, where two parts of the piece touch, and that a
    machine can sew in one stitch."""
    outer = bites.outer
    out = np.where(shapely.contains_xy(fabric, outer[:, 0], outer[:, 1]), 0.0, bites.out)
    return replace(bites, out=out, depth=np.minimum(bites.depth, LONGEST_MM - out))


def _on_fabric(bites: Bites, fabric: BaseGeometry) -> Bites:
    """Draw bites back that end off the fabric: where the other side lies hidden it has no edge to
    keep clear of, and at a sharp tip it is too near to be told from the bite's own."""
    off = np.flatnonzero(~shapely.contains_xy(fabric, bites.inner[:, 0], bites.inner[:, 1]))
    depth = bites.depth.copy()
    room = length_inside(bites.base[off], bites.inner[off], fabric)
    depth[off] = CLEAR_OF_MIDDLE * room
    return replace(bites, depth=depth)
