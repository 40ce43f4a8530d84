"""Needle density: how many penetrations fall into one small circle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

CIRCLE_MM = 1.0
"""Diameter of the circle in which penetrations are counted."""


@dataclass(frozen=True)
class Crowding:
    """The most penetrations in a circle centred on one of them, and where; None if there are no
    penetrations."""

    most: int
    place: tuple[float, float] | None


def counts(points: np.ndarray, circle_mm: float = CIRCLE_MM) -> np.ndarray:
    """How many of the penetrations (n, 2) lie in the circle round each of them, itself included:
    (n,) of int."""
    if len(points) == 0:
        return np.zeros(0, dtype=int)
    holes = shapely.points(points)
    tree = shapely.STRtree(holes)
    centre, _ = tree.query(holes, predicate="dwithin", distance=circle_mm / 2)
    return np.bincount(centre, minlength=len(points))


def crowding(points: np.ndarray) -> Crowding:
    """The most crowded place among penetrations (n, 2) of mm."""
    found = counts(points)
    if len(found) == 0:
        return Crowding(0, None)
    worst = int(np.argmax(found))
    return Crowding(int(found[worst]), (float(points[worst, 0]), float(points[worst, 1])))
