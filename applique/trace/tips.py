"""Where a sharp tip of bare paper really ends.

In a narrow tip blur mixes the ink of both sides, and the light falls to one half well before the
paper ends. How far before depends on how round the ink is: a pen that stands off from the template
goes round its point at that distance. So the light around a tip is compared with what tips of
different roundness would show (`tip_light`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from applique.trace.edge import LEAST_CONTRAST
from applique.trace.light import Light
from applique.trace.tip_light import (
    ASIDE,
    HALF_ANGLE,
    INK,
    MEETING,
    PAPER,
    RADIUS,
    TipLight,
    left_of,
)

_WORST = 0.09
"""Light that strays by more than this from what was found, on the root mean square and as a share
of that between ink and paper, is that of something else: a speck in the tip, a digit against it."""

_FURTHEST = 4.0
"""A tip found by so many standard deviations of the blur to one side of where its sides meet is
none."""


@dataclass(frozen=True, eq=False)
class Wedge:
    """The two sides of a tip, in pixels from the picture's corner: where they `meet` (2,), the unit
    vector `inward` (2,) between them, and half the angle that they enclose, in radians."""

    meet: np.ndarray
    inward: np.ndarray
    half_angle: float


@dataclass(frozen=True, eq=False)
class Tip:
    """What a tip was found to be, in pixels: its furthest point `apex` (2,), the radius that it is
    rounded by, and its `wedge`."""

    apex: np.ndarray
    radius_px: float
    wedge: Wedge

    def sides(self, step_px: float, length_px: float) -> tuple[np.ndarray, np.ndarray]:
        """The outline on either side of the apex, (n, 2) each, from it on for so much inward: to
        the left of the way inward, if y points up, and to the right."""
        half_angle, radius = self.wedge.half_angle, self.radius_px
        arc_px = radius * (math.pi / 2 - half_angle)
        along = np.arange(step_px, length_px / math.cos(half_angle) + arc_px, step_px)
        turned = np.minimum(along, arc_px) / max(radius, _LEAST_RADIUS_PX)
        straight = np.maximum(along - arc_px, 0.0)
        ahead = radius * (1 - np.cos(turned)) + straight * math.cos(half_angle)
        aside = radius * np.sin(turned) + straight * math.sin(half_angle)
        within = ahead < length_px
        middle = self.apex + ahead[within, None] * self.wedge.inward
        across = aside[within, None] * left_of(self.wedge.inward)
        return middle + across, middle - across


_LEAST_RADIUS_PX = 1e-9


def found_tip(
    light: Light, wedge: Wedge, half_px: float, blur_px: float, pen_px: float
) -> Tip | None:
    """The tip between two sides of ink as wide as `pen_px`, in a picture blurred by `blur_px` (a
    standard deviation), where the light falls to one half so far inward from where they meet; None
    if the light there is not that of a tip."""
    ends = wedge.meet + half_px * wedge.inward
    step = blur_px * wedge.inward
    meeting, pen = -half_px / blur_px, pen_px / blur_px
    around = TipLight.around(light, ends, step, meeting, wedge.half_angle, pen)
    found = around.fitted()
    contrast = found[PAPER] - found[INK]
    if contrast < LEAST_CONTRAST or around.stray(found) > _WORST * contrast:
        return None
    if abs(found[ASIDE]) > _FURTHEST:
        return None
    meet = ends + found[MEETING] * step + found[ASIDE] * left_of(step)
    half_angle, radius = float(found[HALF_ANGLE]), float(found[RADIUS])
    apex = meet + radius * (1 / math.sin(half_angle) - 1) * step
    return Tip(apex, radius * blur_px, Wedge(meet, wedge.inward, half_angle))
