"""Elliptical arcs as cubics: SVG 2, implementation notes B.2.4 and B.2.5."""

from __future__ import annotations

import math

import numpy as np

ARC_STEP_RADIANS = math.pi / 4
"""Arcs become cubics of at most 45 degrees: wrong by 4e-6 of the radius, a micrometre in 250 mm."""

FLATTEST = 1e-9
"""Of an ellipse's half-axes, the shorter over the longer. A flatter one is a line, as one is that
has no height at all (B.2.5)."""


def arc_segments(start: np.ndarray, shape: list[float], end: np.ndarray) -> list[np.ndarray]:
    """An elliptical arc as cubics (4, 2). `shape` is rx, ry, rotation, large-arc, sweep; the radii
    must be above 0, and not flatter than FLATTEST."""
    rx, ry = abs(shape[0]), abs(shape[1])
    tilt = math.radians(shape[2])
    turn = np.array([[math.cos(tilt), -math.sin(tilt)], [math.sin(tilt), math.cos(tilt)]])
    half = turn.T @ (start - end) / 2
    # Radii too small to reach are scaled up (B.2.5): first the longer to half the way, or the
    # squares of very small ones would be out of bounds.
    longer, half_way = max(rx, ry), math.hypot(*half)
    if longer < half_way:
        rx, ry = rx / longer * half_way, ry / longer * half_way
    reach = (half[0] / rx) ** 2 + (half[1] / ry) ** 2
    if reach > 1:
        rx, ry = rx * math.sqrt(reach), ry * math.sqrt(reach)
    squares = (rx * half[1]) ** 2 + (ry * half[0]) ** 2
    root = math.sqrt(max(0.0, (rx * ry) ** 2 / squares - 1.0))
    sign = -1.0 if bool(shape[3]) == bool(shape[4]) else 1.0
    middle = sign * root * np.array([rx * half[1] / ry, -ry * half[0] / rx])
    first = math.atan2((half[1] - middle[1]) / ry, (half[0] - middle[0]) / rx)
    last = math.atan2((-half[1] - middle[1]) / ry, (-half[0] - middle[0]) / rx)
    sweep = (last - first) % (2 * math.pi)
    if not shape[4]:
        sweep -= 2 * math.pi
    centre = turn @ middle + (start + end) / 2
    segments = ellipse_segments(centre, turn * np.array([rx, ry]), first, sweep)
    segments[0][0], segments[-1][3] = start, end
    return segments


def ellipse_segments(
    centre: np.ndarray, axes: np.ndarray, first: float, sweep: float
) -> list[np.ndarray]:
    """Cubics along an ellipse. `axes` is a (2, 2) matrix whose columns are its half-axes; angles in
    radians."""
    count = max(1, math.ceil(abs(sweep) / ARC_STEP_RADIANS - 1e-9))
    angles = first + sweep * np.arange(count + 1) / count
    handle = 4 / 3 * math.tan(sweep / count / 4)
    around = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    along = np.stack([-np.sin(angles), np.cos(angles)], axis=1)
    segments = []
    for k in range(count):
        unit = np.array(
            [
                around[k],
                around[k] + handle * along[k],
                around[k + 1] - handle * along[k + 1],
                around[k + 1],
            ]
        )
        segments.append(unit @ axes.T + centre)
    return segments
