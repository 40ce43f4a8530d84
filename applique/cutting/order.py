"""What is cut after what: what lies inside first, and then along a short way.

Once an outer edge is cut, the piece may shift under the knife; a hole cut afterwards would lie
askew (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

from applique.geometry.curves import flatten
from applique.geometry.rings import polygons_of
from applique.model import Curve
from applique.sequence.ways.route import shortest_route

_EFFORT = 1
"""Restarts for each piece. Computed: up to 200 pieces, ten times as many gain less than 0.1 %."""


def ring_depths(curves: Sequence[Curve]) -> list[int]:
    """For every closed curve of a piece, how many others lie around it: 0 for an outer edge, 1 for
    a hole, 2 for an island in a hole."""
    if len(curves) == 1:
        return [0]
    rings = [_enclosed(curve) for curve in curves]
    inside = shapely.point_on_surface(rings)
    areas = shapely.area(rings)
    inner, outer = shapely.STRtree(rings).query(inside, predicate="intersects")
    around = areas[outer] > areas[inner]
    return np.bincount(inner[around], minlength=len(curves)).tolist()


def _enclosed(curve: Curve) -> Polygon:
    """What a curve encloses; nothing where it has no area."""
    points = flatten(curve)
    ring = Polygon(points) if len(points) >= 3 else Polygon()
    return ring if ring.area > 0 else Polygon()


def inner_first(curves: Sequence[Curve]) -> tuple[Curve, ...]:
    """The closed curves of a piece in cutting order: what lies deeper comes first; of what lies
    equally deep, the nearest to where the knife is."""
    depths = np.array(ring_depths(curves))
    if len(curves) == 1:
        return tuple(curves)
    starts = np.array([curve.segments[0, 0] for curve in curves])
    left = list(range(len(curves)))
    order: list[int] = []
    while left:
        deepest = [k for k in left if depths[k] == depths[left].max()]
        here = starts[order[-1]] if order else starts[deepest[0]]
        nearest = min(deepest, key=lambda k: float(((starts[k] - here) ** 2).sum()))
        order.append(nearest)
        left.remove(nearest)
    return tuple(curves[k] for k in order)


def cutting_order(
    pieces: Sequence[Sequence[Curve]], shapes: Sequence[MultiPolygon]
) -> tuple[int, ...]:
    """In which order pieces are cut: those in holes of others before these, and otherwise with a
    short way between them. `pieces` are the curves of each, as `inner_first` has them, `shapes`
    what they enclose."""
    starts = np.array([curves[0].segments[0, 0] for curves in pieces]).reshape(-1, 2)
    ends = np.array([curves[-1].segments[0, 0] for curves in pieces]).reshape(-1, 2)
    return tuple(shortest_route(starts, ends, _waits_for(shapes), effort=_EFFORT))


def _waits_for(shapes: Sequence[MultiPolygon]) -> list[list[int]]:
    """For every piece, those that lie in one of its holes."""
    holes: list[Polygon] = []
    owner: list[int] = []
    for k, shape in enumerate(shapes):
        for part in polygons_of(shape):
            holes.extend(Polygon(ring) for ring in part.interiors)
            owner.extend([k] * len(part.interiors))
    waiting: list[list[int]] = [[] for _ in shapes]
    if not holes:
        return waiting
    inner, hole = shapely.STRtree(holes).query(np.array(shapes, dtype=object), predicate="within")
    for k, h in zip(inner.tolist(), hole.tolist(), strict=True):
        if k not in waiting[owner[h]]:
            waiting[owner[h]].append(k)
    return waiting
