"""Ties told from the stitches: three small ones to and fro where a thread starts or ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

LONGEST_TIE_MM = 2.0
"""Longer stitches to and fro are part of the sewing (our setting for ties ends at 1.5 mm)."""

SAME_MM = 0.02
"""Needle points this near to each other are one hole: below the 0.1 mm step of a frame, above the
rounding of what was written."""


@dataclass(frozen=True, eq=False)
class Untied:
    """A path (n, 2) of mm without its ties, and whether it had one at its start and its end."""

    points: np.ndarray
    tied_at_start: bool
    tied_at_end: bool


def untied(path: np.ndarray) -> Untied:
    """Set the ties of a path (n, 2) aside."""
    at_start = _is_tie(path[:4])
    at_end = _is_tie(path[-4:]) and len(path) >= 4 + 3 * at_start
    first = 3 if at_start else 0
    last = len(path) - 3 if at_end else len(path)
    return Untied(path[first:last], at_start, at_end)


def _is_tie(points: np.ndarray) -> bool:
    """Whether four points go to and fro between two places."""
    if len(points) < 4:
        return False
    back, forth = points[2] - points[0], points[3] - points[1]
    length = float(np.hypot(*(points[1] - points[0])))
    same = max(np.hypot(*back), np.hypot(*forth)) <= SAME_MM
    return bool(same and SAME_MM < length <= LONGEST_TIE_MM)
