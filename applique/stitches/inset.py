"""Lines set off from the edges of a shape, for running stitch.

The shape is moved as a whole, so that a line round a hole and one round the outside never cross.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import MultiLineString
from shapely.geometry.base import BaseGeometry

from applique.geometry.offset import grown, grown_mitred, shrunk
from applique.geometry.rings import rings_of
from applique.model import EdgeRun
from applique.stitches.line import lines_of
from applique.stitches.running import SHORTEST_RUN_MM

SHORTEST_LINE_MM = 2 * SHORTEST_RUN_MM

_BESIDE_MM = 0.05
"""How much further than its distance a set-off line may lie from the edge that it follows: the
flattening of two offsets."""


def set_in(shape: BaseGeometry, runs: Sequence[EdgeRun], distance_mm: float) -> list[EdgeRun]:
    """Lines that run `distance_mm` inside the edges `runs` of a shape (outside if negative).

    Where the shape is narrower than twice the distance there is no line, nor where one would be
    shorter than two stitches. Lines follow the direction
    of their edge; each names the ring of the edge it is nearest to.
    """
    if distance_mm == 0:
        return list(runs)
    if all(run.closed for run in runs) and len(runs) == len(rings_of(shape)):
        corners_kept = grown_mitred(shape, -distance_mm) if distance_mm > 0 else None
        moved = corners_kept if corners_kept is not None else grown(shape, -distance_mm)
        lines = [EdgeRun(ring, True, _nearest(ring, runs)) for ring in rings_of(moved)]
    else:
        lines = _along(shape, runs, distance_mm)
    return [line for line in lines if lines_of([line]).length >= SHORTEST_LINE_MM]


def _along(shape: BaseGeometry, runs: Sequence[EdgeRun], distance_mm: float) -> list[EdgeRun]:
    """The parts of a moved shape's outline that lie beside the edges given."""
    moved = shrunk(shape, distance_mm) if distance_mm > 0 else grown(shape, -distance_mm)
    lines: list[EdgeRun] = []
    for run in runs:
        beside = lines_of([run]).buffer(abs(distance_mm) + _BESIDE_MM, quad_segs=16)
        for ring in rings_of(moved):
            kept = shapely.intersection(shapely.linearrings(ring), beside)
            lines.extend(_runs(kept, ring, run.ring))
    return lines


def _runs(kept: BaseGeometry, ring: np.ndarray, number: int) -> list[EdgeRun]:
    """Pieces of a ring as runs in the ring's direction; specks are dropped."""
    if kept.is_empty:
        return []
    lines = [part for part in shapely.get_parts(kept) if part.geom_type == "LineString"]
    merged = shapely.line_merge(MultiLineString(lines), directed=True) if lines else None
    runs = []
    for part in shapely.get_parts(merged) if merged is not None else []:
        points = shapely.get_coordinates(part)
        if part.length <= 4 * _BESIDE_MM:
            continue
        if part.is_ring:
            runs.append(EdgeRun(points[:-1], True, number))
        else:
            runs.append(EdgeRun(points, False, number))
    return runs


def _nearest(ring: np.ndarray, runs: Sequence[EdgeRun]) -> int:
    """The ring number of the edge that a moved ring lies nearest to."""
    place = shapely.points(ring[0])
    return min(runs, key=lambda run: lines_of([run]).distance(place)).ring
