"""Ties: three small stitches to and fro that lock the thread where it starts and where it ends.

They lie on the line that is about to be sewn, or has just been, so that nothing new shows.
"""

from __future__ import annotations

import numpy as np

from applique.geometry.walk import Walk, without_repeats


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
    walk = Walk(without_repeats(line), closed=False)
    return line[0], walk.at(np.array([min(length_mm, walk.length)]))[0]
