"""Ties: three small stitches to and fro that lock the thread where it starts and where it ends.

They lie on the line that is about to be sewn, or has just been, so that nothing new shows.
"""

from __future__ import annotations

import math

import numpy as np

from applique.geometry.walk import without_repeats


def tied(
    points: np.ndarray,
    start_line: np.ndarray | None,
    end_line: np.ndarray | None,
    length_mm: float,
) -> np.ndarray:
    """Points (n, 2) with ties before the first and after the last.

    `start_line` and `end_line` are polylines (k, 2) that lead from the first point onwards, and
    from the last point back; None leaves that end as it is.
    """
    parts = [points]
    if start_line is not None:
        first, away = _tie_points(start_line, length_mm)
        parts.insert(0, np.array([away, first, away, first]))
    if end_line is not None:
        last, away = _tie_points(end_line, length_mm)
        parts.append(np.array([last, away, last, away]))
    return without_repeats(np.vstack(parts))


def _tie_points(line: np.ndarray, length_mm: float) -> tuple[np.ndarray, np.ndarray]:
    """Where a line begins, and where on it it first gets so far away as a tie is long: on a line
    that winds, as the middles of rungs do at a corner, that is further on than its length."""
    away = np.hypot(*(line - line[0]).T)
    far = np.flatnonzero(away >= length_mm)
    if len(far) == 0:
        return line[0], line[int(np.argmax(away))]
    after = int(far[0])
    return line[0], _leaving(line[0], line[after - 1], line[after], length_mm)


def _leaving(
    centre: np.ndarray, inside: np.ndarray, outside: np.ndarray, radius_mm: float
) -> np.ndarray:
    """Where the way from a place inside a circle to one outside leaves it, (2,)."""
    start, way = inside - centre, outside - inside
    square, across = float(way @ way), float(start @ way)
    missing = radius_mm * radius_mm - float(start @ start)
    return inside + (math.sqrt(across * across + square * missing) - across) / square * way
