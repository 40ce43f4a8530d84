"""Where an edge runs close beside a piece above it, its stitches must not pile up under that
piece's own edge: rungs that reach under it are ended just past its outline."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.model import LaidPiece
from applique.stitches.ladder import Rungs

PAST_OUTLINE_MM = 0.3
"""How far a rung may reach under the piece above: enough to leave no gap where layers shift."""


def kept_clear(ladder: Rungs, laid: LaidPiece) -> Rungs:
    """Rungs ended where they would pile up under, or lie on, the pieces above."""
    return _kept_from(_kept_from_above(ladder, laid.above), laid.barred)


def _kept_from_above(ladder: Rungs, above: BaseGeometry) -> Rungs:
    """End rungs that stand clear of the pieces above but reach under them. Rungs that themselves
    stand under a piece above (the edge's run-on) stay whole."""
    if above.is_empty:
        return ladder
    shapely.prepare(above)
    ends = ladder.points
    clear = ~shapely.contains_xy(above, ladder.base[:, 0], ladder.base[:, 1])
    reaching = np.flatnonzero(clear & shapely.contains_xy(above, ends[:, 0], ends[:, 1]))
    if len(reaching) == 0:
        return ladder
    return _shortened(ladder, reaching, above, PAST_OUTLINE_MM)


def _kept_from(ladder: Rungs, barred: BaseGeometry) -> Rungs:
    """End rungs where they would enter a region; those that stand in it are left out."""
    if barred.is_empty:
        return ladder
    shapely.prepare(barred)
    standing = shapely.contains_xy(barred, ladder.base[:, 0], ladder.base[:, 1])
    ladder = ladder.only(~standing)
    ends = ladder.points
    reaching = np.flatnonzero(shapely.contains_xy(barred, ends[:, 0], ends[:, 1]))
    if len(reaching) == 0:
        return ladder
    return _shortened(ladder, reaching, barred, 0.0)


def _shortened(ladder: Rungs, reaching: np.ndarray, region: BaseGeometry, past_mm: float) -> Rungs:
    """The rungs `reaching` cut `past_mm` after they enter a region."""
    paths = shapely.linestrings(np.stack([ladder.base[reaching], ladder.points[reaching]], axis=1))
    free = shapely.length(shapely.difference(paths, region)) + past_mm
    low, high = ladder.low.copy(), ladder.high.copy()
    outer = ladder.outer[reaching]
    high[reaching[outer]] = np.minimum(high[reaching[outer]], free[outer])
    low[reaching[~outer]] = np.maximum(low[reaching[~outer]], -free[~outer])
    return replace(ladder, low=low, high=high)
