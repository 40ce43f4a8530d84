"""The band that an edge has to cover, and the room it may take, from the outline alone.

At a corner the band must at least reach as far as the round offset of the outline, and at most as
far as the mitred one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely import LinearRing, LineString, MultiLineString
from shapely.geometry.base import BaseGeometry

from applique.geometry.offset import arc_segments
from applique.model import EdgeRun
from applique.proof.sharpened import sharpened

LONGEST_MITRE = 4.0
"""No mitre is longer than so many widths of its band, however sharp the corner."""

_ANY_MITRE = 1000.0
"""Where a mitre gets longer than its limit, the buffer cuts the corner off bluntly, nearer than a
cap may lie; so the limit is set out of reach and the spikes are cut off afterwards."""


@dataclass(frozen=True, eq=False)
class EdgeBand:
    """`line` is the edge's place on the outline; `needed` what has to be under thread where it can
    be seen; `allowed` what the stitches may take; `outer_rail` the visible round offset on the
    outer side (lines). All in mm."""

    line: MultiLineString
    needed: BaseGeometry
    allowed: BaseGeometry
    outer_rail: BaseGeometry


def edge_band(
    shape: BaseGeometry,
    runs: Sequence[EdgeRun],
    above: BaseGeometry,
    outside_mm: float,
    inside_mm: float,
) -> EdgeBand:
    """The band along the edges `runs` of a shape, that reaches `outside_mm` and `inside_mm` to its
    two sides. `above` hides part of it."""
    line = edge_lines(runs)
    sharp = edge_lines([sharpened(run) for run in runs])
    outer = _beside(line, outside_mm, "round").difference(shape)
    inner = _beside(line, inside_mm, "round").intersection(shape)
    needed = shapely.union_all([outer, inner], grid_size=None)
    widest = shapely.union_all(
        [
            _beside(sharp, outside_mm, "mitre").difference(shape),
            _beside(sharp, inside_mm, "mitre").intersection(shape),
            needed,
        ]
    )
    rail = _outer_rail(line, shape, outside_mm)
    if not above.is_empty:
        needed = needed.difference(above)
        rail = rail.difference(above)
    return EdgeBand(line, needed, widest, rail)


def edge_lines(runs: Sequence[EdgeRun]) -> MultiLineString:
    """Edge runs as lines."""
    return MultiLineString(
        [LinearRing(run.points) if run.closed else LineString(run.points) for run in runs]
    )


def _beside(line: BaseGeometry, distance_mm: float, join: str) -> BaseGeometry:
    """Everything beside a line; its ends are flat."""
    segments = arc_segments(distance_mm)
    beside = shapely.buffer(
        line,
        distance_mm,
        quad_segs=segments,
        cap_style="flat",
        join_style=join,
        mitre_limit=_ANY_MITRE,
    )
    if join == "round":
        return beside
    # A flat end as wide as this would cut into the mitres of corners near the end.
    longest = shapely.buffer(line, LONGEST_MITRE * distance_mm, quad_segs=segments)
    return beside.intersection(longest)


def _outer_rail(line: BaseGeometry, shape: BaseGeometry, outside_mm: float) -> BaseGeometry:
    """Where the band's outer side ends, the flat ends of open runs left out."""
    boundary = _beside(line, outside_mm, "round").boundary.difference(shape)
    ends = shapely.points(shapely.get_coordinates(line.boundary))
    if len(ends) == 0:
        return boundary
    return boundary.difference(shapely.union_all(shapely.buffer(ends, outside_mm * 1.01)))
