"""Boxes: the least one round some points, larger ones, those of a size."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.hoops.problem import BoxMm, SizeMm
from applique.model import Step


def box_of(points: np.ndarray) -> BoxMm:
    """The box round points (n, 2)."""
    left, top = points.min(axis=0).tolist()
    right, bottom = points.max(axis=0).tolist()
    return left, top, right, bottom


def box_of_steps(steps: Sequence[Step]) -> BoxMm:
    """The box round all penetrations of some steps."""
    return box_of(np.vstack([path for step in steps for path in step.paths]))


def grown(box: BoxMm, by_mm: float) -> BoxMm:
    """A box made larger on each side."""
    left, top, right, bottom = box
    return left - by_mm, top - by_mm, right + by_mm, bottom + by_mm


def box_round(middle: tuple[float, float], size: SizeMm) -> BoxMm:
    """The box of a size round a middle."""
    (x, y), (width, height) = middle, size
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2
