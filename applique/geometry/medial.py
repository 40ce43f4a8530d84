"""The medial axis, met from the outline: how far one side of a shape reaches before the other."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

NEARER_BY_MM = 0.03
NEARER_BY_SHARE = 1 - math.cos(math.radians(15.0))
"""Another part of the outline must be nearer by this to count: by more than the flattening error,
and by more than a rung gains that stands up to 15 degrees off square, as beside a bend."""

WITHIN_MM = 0.03
"""The end of a rung is placed as near as this."""


def medial_reach(
    base: np.ndarray, direction: np.ndarray, reach_mm: np.ndarray, outline: BaseGeometry
) -> np.ndarray:
    """How far one can go from points on the outline (n, 2) along unit directions, up to `reach_mm`
    (n,), before another part of the outline is nearer than the start: the medial axis, in mm."""
    shapely.prepare(outline)

    def nearest_is_start(index: np.ndarray, reach: np.ndarray) -> np.ndarray:
        ends = shapely.points(base[index] + direction[index] * reach[:, None])
        return ~shapely.dwithin(outline, ends, reach * (1 - NEARER_BY_SHARE) - NEARER_BY_MM)

    result = reach_mm.copy()
    beyond = np.flatnonzero(~nearest_is_start(np.arange(len(base)), reach_mm))
    if len(beyond) == 0:
        return result
    good, bad = np.zeros(len(beyond)), reach_mm[beyond]
    for _ in range(math.ceil(math.log2(max(bad.max() / WITHIN_MM, 1.0)))):
        middle = (good + bad) / 2
        holds = nearest_is_start(beyond, middle)
        good = np.where(holds, middle, good)
        bad = np.where(holds, bad, middle)
    result[beyond] = good
    return result
