"""Where an edge that is sewn in two hoopings is best joined: out of sight, else on a straight side.

How far the second hooping lies off shows least where fabric laid later hides it, then where the
edge runs straight on; at a corner, where both sides would have to meet in one point, it shows most.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.corners import CORNER_TO_THE_EYE_DEGREES, find_corners
from applique.geometry.offset import shrunk
from applique.geometry.rings import polygons_of
from applique.geometry.walk import Walk, sampled
from applique.hoops.stretching.fragments import Way

HIDDEN_INSIDE_MM = 2.0
"""A join is hidden if it lies so far under fabric that is laid later (common practice), and the
whole overlap under it too."""

STRAIGHT_WITHIN_MM = 8.0
STRAIGHT_DEGREES = 10.0
"""An edge is straight where its direction turns by no more than this from so far before a place to
so far after it: a circle of 92 mm across does (our own choice)."""

CORNER_NEAR_MM = 6.0
CORNER_AT_MM = 3.0
"""A join this near to a corner is not straight; and none is nearer than the second if that can be
helped (our own choice: twice, and once, the overlap)."""

SCRAP_MM = 10.0
"""A fragment shorter than this is a scrap."""

_JOIN_COST = 10.0
_IN_SIGHT_COST = 6.0
_DEGREE_COST = 0.3
_CORNER_NEAR_COST = 20.0
_CORNER_AT_COST = 150.0
_SCRAP_COST = 60.0
"""What a join counts, and what is added if it is seen, for each degree that the edge turns there,
for a corner near by, for one at it, and for leaving a scrap. So a hidden place comes before a
straight one, that before a bend, and a corner comes last (our own choice: only the order counts,
not the figures)."""


@dataclass(frozen=True)
class Join:
    """Where an edge goes on in another part: its `place` in mm, whether fabric laid later hides it,
    whether the edge is straight there, and the numbers, from 0, of the `parts` that meet, that
    which the edge comes from first."""

    place: tuple[float, float]
    hidden: bool
    straight: bool
    parts: tuple[int, int]


@dataclass(frozen=True, eq=False)
class Ground:
    """What a join can be told by: the `corners` (n,) of a piece's outline as points, the fabric
    laid over it later, and where that hides a join."""

    corners: np.ndarray
    covered: BaseGeometry
    hiding: BaseGeometry


@dataclass(frozen=True, eq=False)
class Places:
    """The cuts of a way as joins, (k,) each: what each of them counts, whether it is hidden, and
    whether the edge is straight there."""

    cost: np.ndarray
    hidden: np.ndarray
    straight: np.ndarray


def ground_of(outline: BaseGeometry, covered: BaseGeometry) -> Ground:
    """The corners of an outline, polygons or lines, and where later fabric hides a join."""
    walks = [
        Walk(shapely.get_coordinates(ring)[:-1], closed=True)
        for polygon in polygons_of(outline)
        for ring in (polygon.exterior, *polygon.interiors)
    ]
    walks += [
        Walk(shapely.get_coordinates(line), closed=False)
        for line in shapely.get_parts(outline)
        if line.geom_type == "LineString"
    ]
    found = [
        walk.at(find_corners(walk, CORNER_TO_THE_EYE_DEGREES).arc_mm.astype(float))
        for walk in walks
    ]
    corners = np.vstack([np.zeros((0, 2)), *found])
    hiding = covered if covered.is_empty else shrunk(covered, HIDDEN_INSIDE_MM)
    shapely.prepare([covered, hiding])
    return Ground(shapely.points(corners), covered, hiding)


def places_of(way: Way, ground: Ground) -> Places:
    """What every cut of a way counts as a join."""
    spine = way.spine[way.cuts]
    begin = way.spine[way.begins]
    hidden = shapely.contains_xy(ground.hiding, spine[:, 0], spine[:, 1])
    hidden &= shapely.contains_xy(ground.covered, begin[:, 0], begin[:, 1])
    turn = _turns(way)
    corner = _to_corner(spine, ground)
    cost = _IN_SIGHT_COST + _DEGREE_COST * turn
    cost += np.where(corner < CORNER_NEAR_MM, _CORNER_NEAR_COST, 0.0)
    cost += np.where(corner < CORNER_AT_MM, _CORNER_AT_COST, 0.0)
    arc = way.arc[way.cuts]
    scrap = np.minimum(arc, arc[-1] - arc) < SCRAP_MM
    cost = _JOIN_COST + np.where(hidden, 0.0, cost) + np.where(scrap, _SCRAP_COST, 0.0)
    straight = (turn <= STRAIGHT_DEGREES) & (corner >= CORNER_NEAR_MM)
    return Places(cost, hidden, straight)


def plain_places(way: Way) -> Places:
    """The cuts of a way that nobody will see, all alike."""
    count = len(way.cuts)
    every = np.ones(count, dtype=bool)
    return Places(np.full(count, _JOIN_COST), every, every)


def _turns(way: Way) -> np.ndarray:
    """By how many degrees the edge turns about each cut, (k,)."""
    arc = way.arc[way.cuts]
    here = way.spine[way.cuts]
    before = here - sampled(arc - STRAIGHT_WITHIN_MM, way.arc, way.spine)
    after = sampled(arc + STRAIGHT_WITHIN_MM, way.arc, way.spine) - here
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.abs(np.degrees(np.arctan2(cross, (before * after).sum(axis=1))))


def _to_corner(places: np.ndarray, ground: Ground) -> np.ndarray:
    """How far places (k, 2) lie from the nearest corner, in mm."""
    if len(ground.corners) == 0:
        return np.full(len(places), np.inf)
    tree = shapely.STRtree(ground.corners)
    points = shapely.points(places)
    return np.asarray(shapely.distance(points, ground.corners[tree.nearest(points)]))
