"""Cubic Bezier curves through dense points, within a stated distance.

After P. J. Schneider, "An Algorithm for Automatically Fitting Digitized Curves", Graphics Gems,
1990: chord-length parameters, least squares with the end tangents held, Newton steps on the
parameters, and a split at the worst point where that does not suffice.
"""

from __future__ import annotations

import numpy as np
import shapely

from applique.geometry.corners import find_corners
from applique.geometry.curves import flatten, polyline
from applique.geometry.lines import dense
from applique.geometry.walk import Walk, unit, vertex_directions, without_repeats
from applique.model import Curve

FIT_MM = 0.04
"""Greatest distance of the points from the fitted curve; with the 0.01 mm of flattening it keeps
cut lines within the 0.05 mm that is promised."""

_NEWTON_ROUNDS = 4

_AS_FAR_MM = 1e-6
"""Of places that a curve misses by the same, as on both halves of a symmetric shape, the first is
taken, whichever way the last bits of a processor fall."""

_HOPELESS = 6.0
"""A curve that strays by more than so many tolerances won't be saved by better parameters; it is
split at once (Schneider's iteration error)."""

_DENSE_MM = 0.5
_FEWEST_POINTS = 16
"""Points stand no further apart than this while fitting, and no fewer than so many on a line."""


_CHECKED_MM = 0.001
_CLOSER = 0.25
"""Where neighbouring curves cross, as in a slit, the fit is made so many times closer."""


_REPEATED_MM = 1e-6
"""Points nearer to each other are one that a union of shapes has left twice."""


def fit_ring(ring: np.ndarray, tolerance_mm: float = FIT_MM) -> Curve:
    """A closed curve through a ring, (n, 2) mm; corners and the straight sides between them
    are kept exactly. A ring that does not cross itself gives a curve that does not."""
    ring = without_repeats(np.vstack([ring, ring[:1]]), _REPEATED_MM)[:-1]
    for closeness in (tolerance_mm, tolerance_mm * _CLOSER):
        curve = _fitted_ring(ring, closeness)
        if shapely.is_simple(shapely.linearrings(flatten(curve, _CHECKED_MM))):
            return curve
    return polyline(ring, closed=True)


def _fitted_ring(ring: np.ndarray, tolerance_mm: float) -> Curve:
    walk = Walk(ring, closed=True)
    corners = find_corners(walk).vertices_mm
    if len(corners) == 0:
        start = ring[:1]
        directions = vertex_directions(ring, closed=True)
        loop = _dense(np.vstack([ring, start]))
        pieces = _fit(loop, directions[0], -directions[0], tolerance_mm)
    else:
        pieces = []
        stops = [*corners[1:], corners[0] + walk.length]
        for start_mm, stop_mm in zip(corners, stops, strict=True):
            pieces.extend(fit_line(walk.section(start_mm, stop_mm), tolerance_mm))
    straight = np.array([is_straight for _, is_straight in pieces])
    return Curve(np.array([segment for segment, _ in pieces]), straight, closed=True)


def fit_line(points: np.ndarray, tolerance_mm: float = FIT_MM) -> list[tuple[np.ndarray, bool]]:
    """Segments (4, 2) through an open line without corners, each with whether it is straight."""
    directions = vertex_directions(points, closed=False)
    return _fit(_dense(points), directions[0], -directions[-1], tolerance_mm)


def _fit(
    points: np.ndarray, leaving: np.ndarray, arriving: np.ndarray, tolerance_mm: float
) -> list[tuple[np.ndarray, bool]]:
    """Fit one cubic, or split; `leaving` and `arriving` point into the line from its ends."""
    chord = points[-1] - points[0]
    if len(points) == 2 or _bulge(points, chord) <= tolerance_mm / 4:
        third = chord / 3
        return [(np.array([points[0], points[0] + third, points[-1] - third, points[-1]]), True)]
    walk = Walk(points, closed=False)
    t = walk.arc / walk.length
    for _ in range(_NEWTON_ROUNDS):
        segment, fitted = _least_squares(points, t, leaving, arriving, walk.length)
        offsets = fitted - points
        distance = np.hypot(offsets[:, 0], offsets[:, 1])
        worst = int(np.argmax(distance > distance.max() - _AS_FAR_MM))
        if distance[worst] <= tolerance_mm and _keeps_to(segment, points, tolerance_mm):
            return [(segment, False)]
        if distance[worst] > _HOPELESS * tolerance_mm:
            break
        t = _improved(segment, offsets, t)
    # Both ends are met exactly, so the worst point is never the last; it is the first where all are
    # met and only the curve between them strays.
    worst = max(worst, 1)
    through = unit(points[worst + 1] - points[worst - 1])
    return [
        *_fit(points[: worst + 1], leaving, -through, tolerance_mm),
        *_fit(points[worst:], through, arriving, tolerance_mm),
    ]


def _keeps_to(segment: np.ndarray, points: np.ndarray, tolerance_mm: float) -> bool:
    """Whether the whole curve stays near the line: between the points it might form a loop."""
    t = np.linspace(0.0, 1.0, 2 * len(points) + 1)[1:-1:2]
    places = shapely.points(_weights(t) @ segment)
    line = shapely.linestrings(points)
    shapely.prepare(line)
    return bool(shapely.dwithin(places, line, tolerance_mm).all())


def _weights(t: np.ndarray) -> np.ndarray:
    """What each of a cubic's four points counts at parameters t (n,): (n, 4)."""
    s = 1 - t
    return np.stack([s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t], axis=1)


def _dense(points: np.ndarray) -> np.ndarray:
    """The line with points so close that a fit can't bulge between them."""
    length = Walk(points, closed=False).length
    return dense(points, min(_DENSE_MM, length / _FEWEST_POINTS))


def _bulge(points: np.ndarray, chord: np.ndarray) -> float:
    """Greatest distance of the points from their chord (infinite for a closed loop)."""
    length = float(np.hypot(*chord))
    if length == 0:
        return float("inf")
    offsets = points - points[0]
    along = offsets @ chord / length
    if along.min() < -1e-9 or along.max() > length + 1e-9:
        return float("inf")
    return float(np.abs(chord[0] * offsets[:, 1] - chord[1] * offsets[:, 0]).max()) / length


def _least_squares(
    points: np.ndarray,
    t: np.ndarray,
    leaving: np.ndarray,
    arriving: np.ndarray,
    length: float,
) -> tuple[np.ndarray, np.ndarray]:
    """The cubic (4, 2) nearest to the points at parameters t, its end directions held, and its own
    points at t."""
    first, last = points[0], points[-1]
    weights = _weights(t)
    b1, b2 = weights[:, 1], weights[:, 2]
    rest = points - weights @ np.array([first, first, last, last])
    # Normal equations of the two handle lengths (Schneider 1990, equation 5).
    c00, c11 = float(b1 @ b1), float(b2 @ b2)
    c01 = float(b1 @ b2) * float(leaving @ arriving)
    x0, x1 = float(b1 @ (rest @ leaving)), float(b2 @ (rest @ arriving))
    determinant = c00 * c11 - c01 * c01
    handles = (length / 3, length / 3)
    if determinant > 1e-12:
        solved = ((x0 * c11 - x1 * c01) / determinant, (c00 * x1 - c01 * x0) / determinant)
        # Schneider's guard: a handle that points backwards, or loops, is no fit.
        if 1e-6 * length < min(solved) and max(solved) < length:
            handles = solved
    segment = np.array([first, first + handles[0] * leaving, last + handles[1] * arriving, last])
    return segment, weights @ segment


def _improved(segment: np.ndarray, offsets: np.ndarray, t: np.ndarray) -> np.ndarray:
    """One Newton step that moves each parameter to the foot of its point on the curve. `offsets`
    (n, 2) lead from the points to the curve."""
    first = 3 * np.diff(segment, axis=0)
    second = 2 * np.diff(first, axis=0)
    s = 1 - t
    velocity = np.stack([s * s, 2 * s * t, t * t], axis=1) @ first
    bend = np.stack([s, t], axis=1) @ second
    slope = (velocity * velocity + offsets * bend).sum(axis=1)
    step = np.divide(
        (offsets * velocity).sum(axis=1), slope, out=np.zeros_like(t), where=slope != 0
    )
    return np.maximum.accumulate(np.clip(t - step, 0.0, 1.0))
