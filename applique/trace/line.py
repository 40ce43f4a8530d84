"""One drawn line: from the region that it closes off to the outline of a template."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from applique.model import Curve
from applique.trace.band import BLURRED, INTRUDING, SEEN, Band
from applique.trace.edge import edge_along
from applique.trace.light import Light
from applique.trace.outline import Shape, fitted, shaped
from applique.trace.region import Region
from applique.trace.repair import Stretch, intruding, mended, without_blurs


@dataclass(frozen=True, eq=False)
class Line:
    """A drawn line's edge as an outline, in mm on the page: the shape with its corners and the
    curves through it. `pen_mm` is the line's own width, `seen` the share of the outline that the
    ink shows, `stretches` what was bridged."""

    region: Region
    shape: Shape
    curve: Curve
    pen_mm: float
    seen: float
    stretches: tuple[Stretch, ...]


def line_along(light: Light, region: Region, band: Band, mm_per_px: float, far: bool) -> Line | None:
    """The outline along a band; None if too little of the line can be seen. `far` says that the
    band lies outside the line."""
    pen_mm = 2 * band.half_pen_px * mm_per_px
    edge = edge_along(light, band.pixels, ink_outside=not far)
    points = edge.points * mm_per_px
    kept = without_blurs(points, edge.found)
    points, found, why = points[kept], edge.found[kept], band.why[kept]
    why = np.where((why == SEEN) & ~found, BLURRED, why)
    if not far:
        why = np.where((why == SEEN) & intruding(points, pen_mm), INTRUDING, why)
    whole = mended(points, why)
    if whole is None:
        return None
    # Outside its line a shape has no arcs of the nib in its notches.
    shape = shaped(whole.points, 0.0 if far else pen_mm, mm_per_px)
    around = shapely.length(shapely.linearrings(whole.points))
    bridged = sum(shapely.length(shapely.linestrings(s.points)) for s in whole.stretches)
    seen = 1 - float(bridged / around)
    return Line(region, shape, fitted(shape), pen_mm, seen, whole.stretches)
