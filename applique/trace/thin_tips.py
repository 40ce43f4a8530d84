"""Tips behind which the line is thin: two ends of a line that only just run together.

A pen that goes round a template's tip leaves a line as wide there as anywhere. Where the ends of a
line meet without closing it, a point of paper reaches between them, and little ink is behind it.
"""

from __future__ import annotations

import numpy as np

from applique.trace.light import INK_SHARE, Light
from applique.trace.outline import Shape
from applique.trace.whereabouts import PointMm

_THIN_PENS = 0.6
"""A line is nowhere thinner than this, or it has hardly been drawn."""

_BESIDE = 10
"""A tip faces away from the points of the outline so many points before and after it."""

_BLUNTED_MM = 0.3
"""Blur may fill the last of a tip with ink, so that the line begins within this distance."""


def thin_tips(shape: Shape, light: Light, pen_mm: float, mm_per_px: float) -> tuple[PointMm, ...]:
    """Where less of a line of `pen_mm` lies behind a tip of the edge next to the template than a
    pen leaves, in mm."""
    points = shape.points()
    return tuple(
        (float(corner.place[0]), float(corner.place[1]))
        for corner in shape.corners
        if not corner.inward
        and _ink_behind_mm(corner.place, points, light, pen_mm, mm_per_px) < _THIN_PENS * pen_mm
    )


def _ink_behind_mm(
    place: np.ndarray, points: np.ndarray, light: Light, pen_mm: float, mm_per_px: float
) -> float:
    """How far the ink goes on from a tip in the direction that it points to, up to a pen's width
    and a little."""
    at = int(np.argmin(np.hypot(*(points - place).T)))
    beside = points[(at - _BESIDE) % len(points)] + points[(at + _BESIDE) % len(points)]
    outward = place - beside / 2
    outward /= max(float(np.hypot(*outward)), 1e-9)
    away_mm = np.arange(0.0, pen_mm + _BLUNTED_MM, mm_per_px / 2)
    inked = light.inked((place + away_mm[:, None] * outward) / mm_per_px) > 1 - INK_SHARE
    begun = np.flatnonzero(inked & (away_mm <= _BLUNTED_MM))
    if len(begun) == 0:
        return 0.0
    ended = np.flatnonzero(~inked & (away_mm > away_mm[begun[0]]))
    return float(away_mm[ended[0]] if len(ended) else away_mm[-1])
