"""Where the bites of a blanket stitch stand, which way they point, how deep they go.

Between corners they stand square to the outline at equal pitch, a whole number of pitches a side;
at every corner one lies on its bisector. None meets another.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.corners import CORNER_TO_THE_EYE_DEGREES, Corners, find_corners
from applique.geometry.lines import length_inside
from applique.geometry.medial import medial_reach
from applique.geometry.walk import Walk, turned_left, unit, vertex_directions
from applique.settings import Settings

CLEAR_OF_MIDDLE = 0.85
"""Share of the way to the medial axis that a bite may take: bites from two sides never meet."""

LONGEST_CORNER = 1.5
"""Outside a sharp corner the run turns at most so many times its own distance from the tip."""

LONGEST_MM = 12.0
"""A bite with its way back to the run is one stitch, which a machine must be able to sew."""

APART_MM = 0.3
"""Bites keep this far from each other but for their roots."""

_ROOT = 0.4
"""Share of a bite, from the outline on, that may lie near the next one."""

_SHORTER = 0.8
_ROUNDS = 8
_SHORTEST_MM = 0.4

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


def bites_along(walk: Walk, settings: Settings, edges: BaseGeometry, fabric: BaseGeometry) -> Bites:
    """The bites along one edge. `edges` are the lines of all edges of the piece."""
    corners = find_corners(walk, CORNER_TO_THE_EYE_DEGREES)
    if walk.closed and corners.count == 0:
        count = max(3, _pitches(walk.length, settings))
        bites = _on_sides(walk, walk.length * np.arange(count) / count, settings, edges)
    else:
        sides = [_between(start, stop, settings) for start, stop in _sides(walk, corners)]
        on_sides = _on_sides(walk, np.concatenate(sides), settings, edges)
        bites = _merged(_at_corners(walk, corners, settings, fabric), on_sides)
    return _apart(_on_fabric(_with_room(bites, settings, edges), fabric))


def run_at(walk: Walk, arc: np.ndarray, settings: Settings, edges: BaseGeometry) -> np.ndarray:
    """Points on the run's own line, in the background, at places of the walk: (n, 2)."""
    base = walk.at(arc)
    outward = -_inward(walk, arc)
    out = medial_reach(base, outward, np.full(len(arc), settings.edge_outside_mm), edges)
    return base + outward * out[:, None]


def _pitches(length_mm: float, settings: Settings) -> int:
    return math.floor(length_mm / settings.edge_spacing_mm + 0.5 - 1e-6)


def _sides(walk: Walk, corners: Corners) -> list[tuple[float, float]]:
    arc = corners.arc_mm.tolist()
    stops = [*arc, arc[0] + walk.length] if walk.closed else [0.0, *arc, walk.length]
    return list(itertools.pairwise(stops))


def _between(start: float, stop: float, settings: Settings) -> np.ndarray:
    """Places between two corners, a whole number of pitches apart; the ends themselves left out."""
    pitches = max(1, _pitches(stop - start, settings))
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
    out = np.full(len(arc), settings.edge_outside_mm)
    return Bites(base, inward, depth, out, np.mod(arc, walk.length) if walk.closed else arc)


def _at_corners(walk: Walk, corners: Corners, settings: Settings, fabric: BaseGeometry) -> Bites:
    """Bites on the bisectors of the corners."""
    count = corners.count
    base = walk.at(corners.arc_mm)
    inward, depth, out = np.zeros((count, 2)), np.zeros(count), np.zeros(count)
    for k, arc in enumerate(corners.arc_mm.tolist()):
        before = vertex_directions(walk.section(arc - 1.0, arc), closed=False)[-1]
        after = vertex_directions(walk.section(arc, arc + 1.0), closed=False)[0]
        half = min(abs(float(corners.turn[k])) / 2, math.radians(89.0))
        inward[k] = _bisector(before, after, float(corners.turn[k]))
        out[k] = min(1 / math.cos(half), LONGEST_CORNER) * settings.edge_outside_mm
        depth[k] = _depth_on_bisector(base[k], inward[k], half, settings, fabric)
    return Bites(base, inward, depth, out, corners.arc_mm)


def _bisector(before: np.ndarray, after: np.ndarray, turn: float) -> np.ndarray:
    """Unit direction (2,) into the fabric, halfway between the sides of a corner."""
    if before @ after < 0:
        # A turn of more than a right angle, up to a cusp, whose normals would cancel out.
        return math.copysign(1.0, turn) * unit(after - before)
    return unit(turned_left(before) + turned_left(after))


def _depth_on_bisector(
    vertex: np.ndarray, inward: np.ndarray, half: float, settings: Settings, fabric: BaseGeometry
) -> float:
    """How deep a bite on a bisector goes before the fabric beyond it gets narrow."""
    depths = settings.edge_inside_mm * np.linspace(1.0, 0.1, 10)
    tips = shapely.points(vertex + inward * depths[:, None])
    room = np.where(shapely.contains(fabric, tips), shapely.distance(fabric.boundary, tips), 0.0)
    roomy = room >= CLEAR_OF_MIDDLE * depths * math.cos(half)
    return float(depths[np.argmax(roomy)]) if roomy.any() else 0.0


def _merged(first: Bites, second: Bites) -> Bites:
    """Two sets of bites in order along their walk."""
    order = np.argsort(np.concatenate([first.arc, second.arc]), kind="stable")
    pairs = zip(_columns(first), _columns(second), strict=True)
    return Bites(*(np.concatenate(pair)[order] for pair in pairs))


def _columns(bites: Bites) -> tuple[np.ndarray, ...]:
    return (bites.base, bites.inward, bites.depth, bites.out, bites.arc)


def _with_room(bites: Bites, settings: Settings, edges: BaseGeometry) -> Bites:
    """Bites whose outer ends don't meet those of the other side of a slot, and that a machine can
    sew in one stitch."""
    out = medial_reach(bites.base, -bites.inward, bites.out, edges)
    return replace(bites, out=out, depth=np.minimum(bites.depth, LONGEST_MM - out))


def _on_fabric(bites: Bites, fabric: BaseGeometry) -> Bites:
    """Draw bites back that end off the fabric: at the very tip of a sharp point the other side is
    too near to be told from the bite's own."""
    off = np.flatnonzero(~shapely.contains_xy(fabric, bites.inner[:, 0], bites.inner[:, 1]))
    depth = bites.depth.copy()
    depth[off] = length_inside(bites.base[off], bites.inner[off], fabric) / 2
    return replace(bites, depth=depth)


def _apart(bites: Bites) -> Bites:
    """Shorten bites until none comes near another, and leave out what is too short to be one."""
    for _ in range(_ROUNDS):
        near = np.union1d(_near(bites), _crossing(bites))
        near = near[bites.depth[near] > _SHORTEST_MM]
        if len(near) == 0:
            break
        depth = bites.depth.copy()
        depth[near] *= _SHORTER
        bites = replace(bites, depth=depth)
    kept = bites.out + bites.depth >= _SHORTEST_MM
    if not kept.any():
        return bites
    return Bites(*(column[kept] for column in _columns(bites)))


def _near(bites: Bites) -> np.ndarray:
    """Indices of bites that lie near another one that is no deeper, their roots aside."""
    root = bites.base + bites.inward * (_ROOT * bites.depth)[:, None]
    lines = shapely.linestrings(np.stack([root, bites.inner], axis=1))
    first, second = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=APART_MM)
    return first[(first != second) & (bites.depth[first] >= bites.depth[second])]


def _crossing(bites: Bites) -> np.ndarray:
    """Indices of bites that cross another one."""
    lines = shapely.linestrings(np.stack([bites.outer, bites.inner], axis=1))
    first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
    return first[first != second]
