"""Shapes grown and shrunk."""

from __future__ import annotations

import math

import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.curves import FLATNESS_MM
from applique.geometry.rings import as_multipolygon

MITRE_LIMIT = 2.5
"""Longest mitre in multiples of the offset; reached at a corner of 47 degrees."""


def grown(shape: BaseGeometry, distance_mm: float) -> MultiPolygon:
    """Everything within `distance_mm` of the shape; its corners become arcs."""
    arcs = arc_segments(abs(distance_mm))
    return as_multipolygon(shapely.buffer(shape, distance_mm, quad_segs=arcs))


def grown_mitred(shape: BaseGeometry, distance_mm: float) -> MultiPolygon:
    """The shape with every side moved outwards, corners kept as corners."""
    return as_multipolygon(
        shapely.buffer(shape, distance_mm, join_style="mitre", mitre_limit=MITRE_LIMIT)
    )


def shrunk(shape: BaseGeometry, distance_mm: float) -> MultiPolygon:
    """The part of the shape further than `distance_mm` from its outline (empty if none is)."""
    arcs = arc_segments(abs(distance_mm))
    return as_multipolygon(shapely.buffer(shape, -distance_mm, quad_segs=arcs))


def arc_segments(radius_mm: float, flatness_mm: float = FLATNESS_MM) -> int:
    """Chords a quarter circle needs to stay within `flatness_mm` of the arc."""
    if radius_mm <= flatness_mm:
        return 2
    chord_angle = 2 * math.acos(1 - flatness_mm / radius_mm)
    return max(2, math.ceil(math.pi / 2 / chord_angle))
