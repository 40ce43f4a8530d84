"""How time grows with size: slopes on a doubly logarithmic scale, 1 for time in proportion."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np


def fitted_slope(sizes: Sequence[float], seconds: Sequence[float]) -> float:
    """The slope of the straight line through all measurements."""
    return float(np.polyfit(np.log(sizes), np.log(seconds), 1)[0])


def steepest_slope(sizes: Sequence[float], seconds: Sequence[float]) -> float:
    """The steepest slope from one size to the next larger one."""
    return float((np.diff(np.log(seconds)) / np.diff(np.log(sizes))).max())
