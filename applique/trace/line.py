"""One drawn line: from the region that it closes off to the outline of a template."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from applique.model import Curve
from applique.trace.band import BEYOND, BLURRED, INTRUDING, SEEN, Band
from applique.trace.blur import blur_px
from applique.trace.edge import edge_along
from applique.trace.guide import FarEdge, guided
from applique.trace.light import Light
from applique.trace.outline import Shape, fitted, sectioned, shaped
from applique.trace.page import Page
from applique.trace.pen import pen_width_px
from applique.trace.pointed import pointed
from applique.trace.region import Region
from applique.trace.repair import Mended, Stretch, intruding, mended, without_blurs
from applique.trace.thin_tips import thin_tips
from applique.trace.turns import evenly
from applique.trace.whereabouts import PointMm


@dataclass(frozen=True, eq=False)
class Line:
    """A drawn line's edge as an outline, in mm on the page: the shape with its corners and the
    curves through it. `pen_mm` is the line's own width, `seen` the share of the outline that the
    ink shows, `stretches` what was bridged, `one_line_mm` how much of the line is that of another
    shape as well, `thin` tips behind which there is little ink."""

    region: Region
    shape: Shape
    curve: Curve
    pen_mm: float
    seen: float
    stretches: tuple[Stretch, ...]
    one_line_mm: float = 0.0
    thin: tuple[PointMm, ...] = ()


def line_along(
    light: Light,
    region: Region,
    band: Band,
    page: Page,
    far: bool,
    touched: Sequence[PointMm] = (),
    guide: FarEdge | None = None,
) -> Line | None:
    """The outline along a band; None if too little of the line can be seen. `far` says that the
    band lies outside the line, `touched` where other ink meets it, in mm; `guide` leads past
    that."""
    expected_px, mm_per_px = 2 * band.half_pen_px, page.mm_per_px
    edge = edge_along(light, band.pixels, expected_px, ink_outside=not far)
    pen_mm = pen_width_px(light, edge, expected_px) * mm_per_px
    blurred_px = blur_px(light, edge)
    points = edge.points * mm_per_px
    kept = without_blurs(points, edge.found)
    points, found, why = points[kept], edge.found[kept], band.why[kept]
    why = np.where((why == SEEN) & ~found, BLURRED, why)
    if not far:
        why = np.where((why == SEEN) & intruding(points, pen_mm), INTRUDING, why)
    # Outside its line a shape has no arcs of the nib in its notches.
    nib_mm = 0.0 if far else pen_mm
    whole = _mended(points, why, pen_mm, guide)
    if whole is None:
        return None
    shape = shaped(whole.points, nib_mm, blurred_px * mm_per_px)
    for place, radius in _bumps(shape, pen_mm, touched):
        why = np.where(np.hypot(*(points - place).T) <= radius, BEYOND, why)
        whole = _mended(points, why, pen_mm, guide)
        if whole is None:
            return None
        shape = shaped(whole.points, nib_mm, blurred_px * mm_per_px)
    thin: tuple[PointMm, ...] = ()
    if not far:
        even = evenly(whole.points)
        unseen = whole.points[whole.bridged]
        corners = pointed(even, shape.corners, unseen, light, blurred_px, pen_mm, mm_per_px)
        shape = sectioned(even, corners)
        thin = thin_tips(shape, light, pen_mm, mm_per_px)
    around = shapely.length(shapely.linearrings(whole.points))
    bridged = sum(shapely.length(shapely.linestrings(s.points)) for s in whole.stretches)
    seen = 1 - float(bridged / around)
    one_line_mm = band.one_line_px * mm_per_px
    return Line(region, shape, fitted(shape), pen_mm, seen, whole.stretches, one_line_mm, thin)


def _mended(
    points: np.ndarray, why: np.ndarray, pen_mm: float, guide: FarEdge | None
) -> Mended | None:
    """An edge without unseen stretches, past what touches it by the guide, if there is one."""
    whole = mended(points, why, pen_mm)
    return whole if whole is None or guide is None else guided(whole, guide)


def _bumps(
    shape: Shape, pen_mm: float, touched: Sequence[PointMm]
) -> list[tuple[np.ndarray, float]]:
    """Where the end of a stroke that crosses the line from outside juts into the shape: a corner
    inward between two outward, close together, after which the edge goes on as before; as the
    middle and the radius of each, in mm. Only where other ink is known to meet the line."""
    corners = shape.corners
    found = []
    for k, corner in enumerate(corners):
        before, after = corners[k - 1], corners[(k + 1) % len(corners)]
        if len(corners) < 3 or not corner.inward or before.inward or after.inward:
            continue
        turn = before.turn + corner.turn + after.turn
        radius = max(float(np.hypot(*(side.place - corner.place))) for side in (before, after))
        near = any(np.hypot(*(corner.place - np.array(p))) < _NEAR_PENS * pen_mm for p in touched)
        if near and abs(turn) < _GOES_ON and radius < _BUMP_PENS * pen_mm:
            found.append((corner.place, radius + 0.2 * pen_mm))
    return found


_GOES_ON = np.radians(45.0)
"""Past a bump the edge goes on in about the same direction."""

_BUMP_PENS = 1.6
_NEAR_PENS = 3.0
"""A bump is no wider than this to each side, and no further from where the other ink is."""
