"""Shapes that were once sewn badly, each a small case of what a drawing or a tracing can hold."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon

from applique.geometry.rings import as_multipolygon
from tests.shapes import circle, polygon, square


def chamfered(side: float, cut: float) -> MultiPolygon:
    return as_multipolygon(square(side).buffer(-cut).buffer(cut, quad_segs=1))


def rounded_from_the_corner(side: float, radius: float) -> MultiPolygon:
    """A square whose ring begins in the middle of a rounded corner."""
    shape = as_multipolygon(square(side).buffer(-radius).buffer(radius, quad_segs=2))
    return polygon(np.roll(shapely.get_coordinates(shape.geoms[0].exterior)[:-1], -1, axis=0))


def teardrop() -> MultiPolygon:
    """Two arcs that meet in a cusp."""
    t = np.linspace(0, 1, 80)
    upper = np.stack([30 * t, 9 * np.sin(np.pi * t) * (1 - t)], axis=1)
    lower = upper[::-1] * (1, -1)
    return polygon(np.vstack([upper, lower[1:-1]]))


def hooked_cusp() -> MultiPolygon:
    """A cusp whose last chords, by the rounding of the grid, turn the other way."""
    upper = [(8.061, 10.532), (8.598, 10.468), (9.09, 10.382), (9.537, 10.273), (9.935, 10.14)]
    lower = [(9.0, 10.473), (8.112, 10.769), (7.268, 11.03), (-3.5, 16.0)]
    return polygon([(-3.0, 8.0), *upper, *lower])


def with_noise() -> MultiPolygon:
    """A straight side with two points 0.0045 mm apart in its middle, the second one a step back."""
    side = [(15.8, 2.957), (9.492, 0), (6.615, 2.076), (6.619, 2.078), (6.068, 2.47), (0, 6.847)]
    return polygon([*side, (0, 30), (15.8, 30)])


def comb(tooth: float, slot: float, length: float = 12.0) -> MultiPolygon:
    teeth = [
        shapely.box(k * (tooth + slot), 0, k * (tooth + slot) + tooth, length) for k in range(4)
    ]
    back = shapely.box(0, -6, 3 * (tooth + slot) + tooth, 0)
    return as_multipolygon(shapely.union_all([back, *teeth]))


def blunt_tip() -> MultiPolygon:
    """A point of 50 degrees, cut off askew over 0.3 mm."""
    return polygon([(0, -9), (20, 0), (19.7, 0.05), (19.4, 0.4), (0, 8)])


CASES: dict[str, MultiPolygon] = {
    "a point halfway along a side": polygon([(0, 0), (11, 0), (25, 0), (25, 25), (0, 25)]),
    "chamfers of 0.15 mm": chamfered(25, 0.15),
    "corners rounded by 0.15 mm, begun within one": rounded_from_the_corner(25, 0.15),
    "a twelve-sided ring": polygon(
        [(14 * np.cos(a), 14 * np.sin(a)) for a in np.arange(12) * np.pi / 6]
    ),
    "a cusp": teardrop(),
    "a cusp hooked by rounding": hooked_cusp(),
    "a hole near the edge": as_multipolygon(circle(18).difference(circle(9, 5.5, 0))),
    "strokes of 2 mm": as_multipolygon(
        shapely.union(shapely.box(0, 0, 26, 2), shapely.box(12, 0, 14, 26))
    ),
    "three strokes of 4 mm": as_multipolygon(
        shapely.union_all(
            [shapely.box(0, 0, 4, 26), shapely.box(16, 0, 20, 26), shapely.box(0, 11, 20, 15)]
        )
    ),
    "teeth and slots": comb(2.5, 2.0),
    "slots that a needle hardly enters": comb(4.0, 0.4),
    "a needle": polygon([(0, 0), (40, 0.6), (0, 1.2)]),
    "noise of the drawing's grid": with_noise(),
    "a blunt tip": blunt_tip(),
}
