"""Which pieces lie entirely under others."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import SPECK_MM2

_SAMPLES = 16
"""So many points on a shape's outline are tried before the shapes above are put together."""


def unseen(shapes: Sequence[BaseGeometry]) -> list[int]:
    """The indices of the shapes, the lowest first, of which nothing is seen from above."""
    found = []
    above = _above(shapes)
    for k, others in above.items():
        points = shapely.get_coordinates(shapes[k])
        points = points[:: max(1, len(points) // _SAMPLES)]
        covers = [shapes[other] for other in others]
        if not _all_covered(points, covers):
            continue
        rest = shapely.difference(shapes[k], shapely.union_all(covers))
        if rest.area < SPECK_MM2:
            found.append(k)
    return sorted(found)


def _above(shapes: Sequence[BaseGeometry]) -> dict[int, list[int]]:
    """For each shape those above it that it meets."""
    if len(shapes) < 2:
        return {}
    lower, upper = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    is_above = upper > lower
    meets: dict[int, list[int]] = {}
    for k, other in zip(lower[is_above].tolist(), upper[is_above].tolist(), strict=True):
        meets.setdefault(k, []).append(other)
    return meets


def _all_covered(points: np.ndarray, covers: Sequence[BaseGeometry]) -> bool:
    """Whether every point lies in, or on the edge of, one of some shapes."""
    waiting = shapely.points(points)
    for cover in covers:
        waiting = waiting[~shapely.intersects(cover, waiting)]
        if len(waiting) == 0:
            return True
    return False
