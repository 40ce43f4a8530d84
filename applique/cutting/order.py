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
from applique.sequence.ways.begun import nearest_first
from applique.sequence.ways.route import MOST_EXACT, shortest_route
from applique.sequence.ways.way import Way

_BEGINNINGS = 12
"""Pieces that a way is begun at, each from nearest to nearest and then shortened. Computed, against
hundreds of restarts: 1 to 2 % longer with 20 to 200 pieces, in a tenth of the time."""

_MOST_BEGUN_ANEW = 200
"""With more pieces restarts find as short a way sooner."""

_EFFORT = 1
"""Restarts for each of more pieces. Ten times as many gain less than 0.1 % (computed)."""

_UNITS_IN_MM = 1e6
"""Ways are counted in whole nanometres: sums are then exact, and what is equally long stays so."""


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
    waits_for = _waits_for(shapes)
    if MOST_EXACT < len(starts) <= _MOST_BEGUN_ANEW:
        return _begun_anew(starts, ends, waits_for)
    return tuple(shortest_route(starts, ends, waits_for, effort=_EFFORT))


def _begun_anew(
    starts: np.ndarray, ends: np.ndarray, waits_for: Sequence[Sequence[int]]
) -> tuple[int, ...]:
    """The shortest of some ways, each begun at another piece."""
    count = len(starts)
    ways = np.zeros((count + 2, count + 2))
    ways[:count, :count] = np.sqrt(((starts[None] - ends[:, None]) ** 2).sum(axis=-1))
    ways = np.rint(ways * _UNITS_IN_MM)
    found: list[Way] = []
    for first in np.linspace(0, count - 1, min(count, _BEGINNINGS)).astype(int).tolist():
        way = Way(ways, nearest_first(starts, ends, waits_for, starts[first]), waits_for)
        way.improve(range(count, -1, -1))
        found.append(way)
    return tuple(min(found, key=lambda way: way.length).order[1:-1])


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
