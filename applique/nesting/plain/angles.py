"""The angles at which a freely turned shape is tried, and whether it fits a sheet at all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from shapely import MultiPolygon

from applique.cutting.nested import ANGLES_DEGREES, Stock, Turn

ROUNDING_MM = 0.0005
"""A shape as large as the room counts as fitting: half of what coordinates are rounded to."""

_NEARLY_DEGREES = 0.01
"""Angles nearer to each other give the same."""


def upright(shape: MultiPolygon) -> tuple[float, ...]:
    """The quarter turns, and the four angles at which the least rectangle around a shape is
    upright."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
    side = corners[1] - corners[0]
    tilt = -float(np.degrees(np.arctan2(side[1], side[0])))
    return distinct((*(90.0 * k for k in range(4)), *(tilt + 90.0 * k for k in range(4))))


def distinct(angles_degrees: Iterable[float]) -> tuple[float, ...]:
    """Angles in millionths of a degree, without those that are the same as one before."""
    kept: list[float] = []
    for angle in angles_degrees:
        rounded = round(angle % 360.0, 6) % 360.0
        if all(abs((rounded - k + 180.0) % 360.0 - 180.0) > _NEARLY_DEGREES for k in kept):
            kept.append(rounded)
    return tuple(kept)


def fitting(
    shape: MultiPolygon, angles_degrees: Sequence[float], stock: Stock, margin_mm: float
) -> tuple[float, ...]:
    """The angle at which a freely turned shape goes into a sheet's box best, if it does at all and
    not at one of the angles given."""
    spare = _spare_mm(shape, np.array(angles_degrees), stock, margin_mm)
    if spare.max() >= -ROUNDING_MM:
        return ()
    degrees = np.arange(0.0, 180.0, 0.25)
    spare = _spare_mm(shape, degrees, stock, margin_mm)
    best = int(spare.argmax())
    return (float(degrees[best]),) if spare[best] >= -ROUNDING_MM else ()


def may_fit(shape: MultiPolygon, stock: Stock, margin_mm: float, turn: Turn) -> bool:
    """Whether a shape goes into a sheet's box at an angle it may have; on a scrap it may still
    find no room."""
    angles = ANGLES_DEGREES[turn]
    if angles is None:
        angles = upright(shape)
        angles = (*angles, *fitting(shape, angles, stock, margin_mm))
    return bool(_spare_mm(shape, np.array(angles), stock, margin_mm).max() >= -ROUNDING_MM)


def size_needed_mm(shape: MultiPolygon, margin_mm: float, turn: Turn) -> tuple[float, float]:
    """Width and height of a sheet for one shape: as it lies or, if it turns freely, as it lies in
    its least rectangle, the long side up."""
    left, top, right, bottom = shape.bounds
    width, height = right - left, bottom - top
    if ANGLES_DEGREES[turn] is None:
        corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
        width, height = sorted(np.hypot(*np.diff(corners[:3], axis=0).T).tolist())
    return width + 2 * margin_mm, height + 2 * margin_mm


def _spare_mm(
    shape: MultiPolygon, degrees: np.ndarray, stock: Stock, margin_mm: float
) -> np.ndarray:
    """By how much a shape's box is smaller than the sheet's inside the margin, at some angles."""
    points = shapely.get_coordinates(shape.convex_hull)
    angles = np.radians(degrees)[:, None]
    across = points[:, 0] * np.cos(angles) - points[:, 1] * np.sin(angles)
    down = points[:, 0] * np.sin(angles) + points[:, 1] * np.cos(angles)
    width, height = stock.size_mm
    return np.minimum(
        width - 2 * margin_mm - np.ptp(across, axis=1),
        height - 2 * margin_mm - np.ptp(down, axis=1),
    )
