"""A ring cut into stretches that lie inside a region and stretches that don't."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LinearRing
from shapely.geometry.base import BaseGeometry

from applique.geometry.walk import Walk

SHORTEST_STRETCH_MM = 0.5
"""Stretches below this are noise of two outlines running together: they join their neighbours."""


@dataclass(frozen=True)
class Stretch:
    """Part of a closed walk from `start_mm` to `stop_mm` (which may lie beyond the length, never
    more than one round)."""

    start_mm: float
    stop_mm: float

    @property
    def length_mm(self) -> float:
        """Arc length of the stretch, in mm."""
        return self.stop_mm - self.start_mm


def outside(walk: Walk, region: BaseGeometry) -> list[Stretch]:
    """The stretches of a closed walk outside a polygonal region, in order.

    The whole ring is one stretch from 0 to the length; nothing is an empty list.
    """
    cuts = _cuts(walk, region)
    if len(cuts) == 0:
        alone = not shapely.contains_xy(region, *walk.points[0])
        return [Stretch(0.0, walk.length)] if alone else []
    ends = np.append(cuts[1:], cuts[0] + walk.length)
    keep = ends - cuts >= SHORTEST_STRETCH_MM
    middles = walk.at((cuts + ends) / 2)
    inside = shapely.contains_xy(region, middles[:, 0], middles[:, 1])
    # A short stretch is taken to be inside, so that it neither cuts nor makes an edge.
    free = ~inside & keep
    if free.all():
        return [Stretch(0.0, walk.length)]
    return _joined(cuts, ends, free)


def _cuts(walk: Walk, region: BaseGeometry) -> np.ndarray:
    """Arc lengths, ascending, where the walk crosses the region's outline."""
    ring = LinearRing(walk.points)
    crossings = shapely.get_coordinates(ring.intersection(region.boundary))
    located = shapely.line_locate_point(ring, shapely.points(crossings))
    return np.unique(np.round(np.mod(located, walk.length), 6))


def _joined(starts: np.ndarray, stops: np.ndarray, free: np.ndarray) -> list[Stretch]:
    """Neighbouring free stretches as one, beginning after one that is not free."""
    first = int(np.argmin(free)) + 1
    order = [(first + k) % len(free) for k in range(len(free))]
    joined: list[Stretch] = []
    length = stops[-1] - starts[0]
    open_stretch: tuple[float, float] | None = None
    for k in order:
        if not free[k]:
            open_stretch = None
            continue
        start, stop = float(starts[k]), float(stops[k])
        if open_stretch is None:
            open_stretch = (start, stop)
            joined.append(Stretch(start, stop))
        else:
            grown = open_stretch[1] + (stop - start)
            open_stretch = (open_stretch[0], grown)
            joined[-1] = Stretch(open_stretch[0], min(grown, open_stretch[0] + length))
    return sorted(joined, key=lambda stretch: stretch.start_mm)
