"""The other edges of a drawn line: its far one, and its middle."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import shapely

from applique.trace.band import Band, Limits, border
from applique.trace.line import Line
from applique.trace.outline import fitted, shaped
from applique.trace.page import Page
from applique.trace.region import Region

_ROOM_PENS = 2
"""So much of the page around a region is looked at."""


def far_band(mask: np.ndarray, region: Region, scale: int, near: Band, mm_per_px: float) -> Band:
    """The band along the outer edge of a region's line, whose inner edge is `near`. `mask` is the
    page's ink."""
    room = int(_ROOM_PENS * 2 * near.half_pen_px) + 2
    left, top = (side * scale for side in region.corner)
    height, width = (side * scale for side in region.mask.shape)
    own = cv2.resize(region.mask, (width, height), interpolation=cv2.INTER_NEAREST)
    own = cv2.copyMakeBorder(own, room, room, room, room, cv2.BORDER_CONSTANT, value=0)
    ink = _around(mask, left - room, top - room, own.shape)
    distance = cv2.distanceTransform(1 - own, cv2.DIST_L2, 5)
    limits = Limits.of(near.half_pen_px, mm_per_px)
    # Middle lines stop short of sharp tips, which the pen goes round at a distance.
    most = limits.most + near.half_pen_px
    inked = (distance < limits.least) | ((ink > 0) & (distance < most))
    line = (inked | (own > 0)).astype(np.uint8)
    pixels = border(cv2.dilate(_part_with(line, own), np.ones((3, 3), np.uint8)))
    columns, rows = pixels.T
    why = limits.why(distance[rows, columns], np.full(len(pixels), near.half_pen_px))
    return Band(pixels + np.array([left - room, top - room]), why, near.half_pen_px)


def _around(mask: np.ndarray, left: int, top: int, shape: tuple[int, ...]) -> np.ndarray:
    """A window of a mask that may reach beyond it; there it is bare."""
    height, width = shape
    window = np.zeros(shape, np.uint8)
    x, y = max(left, 0), max(top, 0)
    part = mask[y : top + height, x : left + width]
    window[y - top : y - top + part.shape[0], x - left : x - left + part.shape[1]] = part
    return window


def _part_with(mask: np.ndarray, own: np.ndarray) -> np.ndarray:
    """The connected part of a mask around a region."""
    _, labels = cv2.connectedComponents(mask, connectivity=4)
    rows, columns = np.nonzero(own)
    return (labels == labels[rows[0], columns[0]]).astype(np.uint8)


def middle_line(near: Line, page: Page) -> Line:
    """The middle of a line: its inner edge, moved outward by half the width of its pen."""
    grown = shapely.buffer(shapely.Polygon(near.shape.points()), near.pen_mm / 2, quad_segs=32)
    points = shapely.get_coordinates(grown.exterior)[:-1]
    shape = shaped(points[::-1], 0.0, 0.0)
    return replace(near, shape=shape, curve=fitted(shape))
