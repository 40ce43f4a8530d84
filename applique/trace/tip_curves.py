"""The cubics of a section whose ends turn in to tips."""

from __future__ import annotations

from math import comb

import numpy as np
import shapely

from applique.trace.curves import Segments

_TURNING_ROUNDS = 6
_LEAST_HANDLE_MM = 0.05


def with_ends(
    section: np.ndarray, core: Segments, head: int, tail: int, tolerance_mm: float
) -> Segments | None:
    """The cubics of a section from those of its core, which lacks so many points at its ends; None
    if one cubic does not do for an end."""
    whole = list(core)
    if head:
        points = section[: head + 1]
        cubic = _turning(points, core[0][0])
        whole.insert(0, (cubic, False))
        if _strays_mm(cubic, points) > tolerance_mm:
            return None
    if tail:
        points = section[: -tail - 2 : -1]
        cubic = _turning(points, core[-1][0][::-1])
        whole.append((cubic[::-1], False))
        if _strays_mm(cubic, points) > tolerance_mm:
            return None
    return whole


def _turning(points: np.ndarray, following: np.ndarray) -> np.ndarray:
    """The cubic (4, 2) nearest to a few points (n, 2) on the least squares that goes on smoothly in
    a `following` one."""
    start, stop = points[0], following[0]
    back = (following[0] - following[1]) / np.hypot(*(following[0] - following[1]))
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    t = along / along[-1]
    cubic = np.array([start, start, stop, stop])
    for _ in range(_TURNING_ROUNDS):
        weights = _weights(t)
        # Found are the first handle's end, x and y, and how long the second handle is.
        terms = np.zeros((len(t), 2, 3))
        terms[:, 0, 0] = terms[:, 1, 1] = weights[:, 1]
        terms[:, :, 2] = weights[:, 2:3] * back
        known = weights @ np.array([start, np.zeros(2), stop, stop])
        x, y, handle_mm = np.linalg.lstsq(terms.reshape(-1, 3), (points - known).ravel())[0]
        cubic = np.array([start, (x, y), stop + max(handle_mm, _LEAST_HANDLE_MM) * back, stop])
        slope = 3 * _weights(t, 2) @ np.diff(cubic, axis=0)
        ahead = ((points - weights @ cubic) * slope).sum(axis=1) / (slope**2).sum(axis=1)
        t[1:-1] = np.clip(t + ahead, 0.0, 1.0)[1:-1]
    return cubic


def _weights(t: np.ndarray, degree: int = 3) -> np.ndarray:
    """What each control point of a curve of a degree counts at places t (n,), (n, degree + 1)."""
    share = np.array([comb(degree, k) for k in range(degree + 1)])
    k = np.arange(degree + 1)
    return share * t[:, None] ** k * (1 - t[:, None]) ** (degree - k)


def _strays_mm(cubic: np.ndarray, points: np.ndarray) -> float:
    """How far a cubic and the line through points stray from each other."""
    curve = shapely.linestrings(_weights(np.linspace(0, 1, 33)) @ cubic)
    return float(shapely.hausdorff_distance(curve, shapely.linestrings(points), densify=0.2))
