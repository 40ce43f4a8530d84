"""Shapes as the solver takes them: simple polygons that contain the shape and half its gap."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

_SIMPLER_MM = 0.15
"""How far corners may be moved to be rid of them: the fewer a polygon has, the more layouts the
solver tries in a second."""

_FLATTENING_MM = 0.01
"""How far a curve may lie outside the chords that a shape is made of."""

_ARCS = 12
"""Chords in a quarter circle."""

_SAME = 1e-6
"""Two shapes are the same if they differ by no more than this share of their area."""


def solver_shape(shape: MultiPolygon, gap_mm: float) -> Polygon:
    """A simple polygon round a shape, everywhere at least half the gap outside it; holes are
    closed, and parts that stay apart become one by their hull."""
    # Twice what its chords cut off a circle: simplifying can leave out a chord's worth more.
    flattened = _FLATTENING_MM + 2 * (1 - math.cos(math.pi / (4 * _ARCS))) * gap_mm / 2
    grown = shapely.buffer(shape, gap_mm / 2 + flattened + _SIMPLER_MM, quad_segs=_ARCS)
    whole = grown if grown.geom_type == "Polygon" else grown.convex_hull
    simple = Polygon(whole.exterior).simplify(_SIMPLER_MM)
    return simple if simple.geom_type == "Polygon" else whole.convex_hull


def distinct_angles(shape: Polygon, angles: tuple[float, ...] | None) -> tuple[float, ...] | None:
    """The angles without those at which a symmetric shape looks as at one before, so that the
    solver doesn't try the same twice."""
    if angles is None:
        return None
    kept: list[float] = []
    seen: list[Polygon] = []
    for angle in angles:
        turned = _at_origin(_turned(shape, angle))
        if not any(_differ(turned, other) <= _SAME * shape.area for other in seen):
            kept.append(angle)
            seen.append(turned)
    return tuple(kept)


def _turned(shape: Polygon, degrees: float) -> Polygon:
    angle = math.radians(degrees)
    cos, sin = math.cos(angle), math.sin(angle)
    matrix = np.array([[cos, -sin], [sin, cos]])
    return shapely.transform(shape, lambda points: points @ matrix.T)


def _at_origin(shape: Polygon) -> Polygon:
    left, top, _, _ = shape.bounds
    return shapely.transform(shape, lambda points: points - [left, top])


def _differ(one: Polygon, other: Polygon) -> float:
    return float(one.symmetric_difference(other).area)
