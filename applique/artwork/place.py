"""How large the artwork becomes, and where on which page it lies."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from applique.errors import InputError, UsageError
from applique.model import Curve
from applique.units import FURTHEST_MM

MARGIN_MM = 12.7
"""Half an inch, common practice: between an artwork and the seam lines of the block made for it, so
that edges stay clear of the seam; and around the finished block on its page, as in the samples."""

_WHOLE_MM = 1e-6
"""What rounding leaves above a whole millimetre is none."""

Box = tuple[float, float, float, float]
"""Left, top, right and bottom, in mm."""


@dataclass(frozen=True)
class Wanted:
    """The width or the height, in mm, that an artwork is to have; the other is None."""

    width_mm: float | None = None
    height_mm: float | None = None

    def scale_for(self, box: Box) -> float:
        """What a box must be enlarged by; where the side that is asked for is flat, the other one
        counts."""
        width, height = box[2] - box[0], box[3] - box[1]
        side, wanted = (width, self.width_mm) if self.width_mm else (height, self.height_mm)
        longest = max(width, height)
        return (wanted or 0.0) / (side if side > longest * _FLAT else longest)


_FLAT = 1e-6
"""A box whose one side is this small a share of the other is a line."""


@dataclass(frozen=True)
class Placing:
    """The sizes of an artwork, the finished block and the page, in mm. `matrix` (2, 3) leads from
    the box that was placed to the page."""

    artwork_mm: tuple[float, float]
    finished_mm: tuple[float, float]
    page_mm: tuple[float, float]
    matrix: np.ndarray


def placed(
    box: Box, wanted: Wanted, finished_mm: tuple[float, float] | None, fills_block: bool
) -> Placing:
    """Scale a box to the size wanted and centre it on its page.

    Without a finished size the block is as large as an artwork that brings its background
    (`fills_block`); else it is the artwork's size, rounded up to whole mm, and a margin all around.
    Raises UsageError if that makes it larger than any block, InputError if there is nothing to
    scale.
    """
    scale = wanted.scale_for(box)
    if not math.isfinite(scale):
        raise InputError("the artwork has next to no size; draw it larger, or mend its transforms")
    width, height = (box[2] - box[0]) * scale, (box[3] - box[1]) * scale
    if finished_mm is None:
        finished_mm = (width, height) if fills_block else (_roomy(width), _roomy(height))
    page_mm = (finished_mm[0] + 2 * MARGIN_MM, finished_mm[1] + 2 * MARGIN_MM)
    largest = max(width, height, *page_mm)
    if largest > FURTHEST_MM:
        raise UsageError(
            f"the block's page would be {largest / 1000:.1f} m long, and no page is longer than "
            f"{FURTHEST_MM / 1000:g} m; make the artwork or the block smaller"
        )
    x = (page_mm[0] - width) / 2 - box[0] * scale
    y = (page_mm[1] - height) / 2 - box[1] * scale
    matrix = np.array([[scale, 0.0, x], [0.0, scale, y]])
    return Placing((width, height), finished_mm, page_mm, matrix)


def _roomy(side_mm: float) -> float:
    return math.ceil(side_mm - _WHOLE_MM) + 2 * MARGIN_MM


def around(boxes: Sequence[Box]) -> Box:
    """The box around one or more boxes."""
    every = np.array(boxes)
    left, top = every[:, :2].min(axis=0)
    right, bottom = every[:, 2:].max(axis=0)
    return float(left), float(top), float(right), float(bottom)


def box_of(curves: Sequence[Curve]) -> Box:
    """The exact box of one or more curves: the ends of all segments, and the places where a cubic's
    derivative, a quadratic in t, is zero in x or in y."""
    a, b, c, d = np.moveaxis(np.concatenate([curve.segments for curve in curves]), 1, 0)
    # B'(t)/3 = p t^2 + q t + r
    p, q, r = d - 3 * c + 3 * b - a, 2 * (c - 2 * b + a), b - a
    places = [a, d]
    for t in _roots(p, q, r):
        s = 1 - t
        places.append(s * s * s * a + 3 * s * s * t * b + 3 * s * t * t * c + t * t * t * d)
    points = np.concatenate(places)
    left, top = points.min(axis=0)
    right, bottom = points.max(axis=0)
    return float(left), float(top), float(right), float(bottom)


def _roots(p: np.ndarray, q: np.ndarray, r: np.ndarray) -> list[np.ndarray]:
    """Roots of p t^2 + q t + r that lie from 0 to 1, 0 instead where there are none."""
    with np.errstate(divide="ignore", invalid="ignore"):
        # In this form nothing cancels out where p is next to nothing.
        middle = -(q + np.copysign(np.sqrt(q * q - 4 * p * r), q)) / 2
        roots = [middle / p, r / middle]
    return [np.where((root >= 0) & (root <= 1), root, 0.0) for root in roots]
