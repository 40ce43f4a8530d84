"""How wide a shape is at its widest place, across: the largest circle that fits into it."""

from __future__ import annotations

import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import polygons_of

WITHIN_MM = 0.01
"""How exactly the largest circle is found."""

_COARSE_ARCS = 4
"""Chords in a quarter circle where only a yes or no is wanted."""


def narrower_than(shape: BaseGeometry, width_mm: float) -> bool:
    """Whether no circle of a diameter fits into a shape."""
    return bool(shapely.buffer(shape, -width_mm / 2, quad_segs=_COARSE_ARCS).is_empty)


def widest_mm(shape: BaseGeometry) -> float:
    """The diameter of the largest circle that fits into a shape, in mm; 0 if it has no area."""
    circles = [
        shapely.maximum_inscribed_circle(part, tolerance=WITHIN_MM) for part in polygons_of(shape)
    ]
    return 2 * max((float(circle.length) for circle in circles), default=0.0)
