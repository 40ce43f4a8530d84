"""A narrow satin with a line for its middle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.model import EMPTY, EdgeRun
from applique.settings import Settings
from applique.stitches.ladder import Band, Rungs
from applique.stitches.line import SewnLine, from_lowest, lines_of, without_short
from applique.stitches.rungs import rungs
from applique.stitches.satin import split_long
from applique.stitches.stagger import staggered

SHORTEST_MM = 0.5
"""No stitch is shorter: the lower bound of a satin stitch."""

_TIE_RUNGS = 40
"""The tie at the end lies along the middles of so many rungs."""


def satin_along(
    runs: Sequence[EdgeRun], half_mm: float, settings: Settings, barred: BaseGeometry = EMPTY
) -> list[SewnLine | None]:
    """The satin of each line, `half_mm` to either side of it; None where nothing of it is sewn.

    Where lines come nearer to each other they share the room between them. Nothing is sewn on what
    is `barred`.
    """
    edges = lines_of(runs)
    fabric = shapely.buffer(edges, 2 * half_mm, quad_segs=4)
    reach = half_mm + settings.pull_compensation_mm
    band = Band(reach, reach, settings.detail_spacing_mm)
    ladders = (kept_off(rungs(from_lowest(run), band, edges, fabric), barred) for run in runs)
    return [_sewn(staggered(ladder, band.spacing_mm)) for ladder in ladders]


def kept_off(ladder: Rungs, barred: BaseGeometry) -> Rungs:
    """Rungs ended where they first enter a region, seen from their base; those that stand in it are
    left out."""
    if barred.is_empty:
        return ladder
    shapely.prepare(barred)
    ladder = ladder.only(~shapely.contains_xy(barred, ladder.base[:, 0], ladder.base[:, 1]))
    return replace(
        ladder,
        low=-_free(ladder, -ladder.low, -1.0, barred),
        high=_free(ladder, ladder.high, 1.0, barred),
    )


def _free(
    ladder: Rungs, reach_mm: np.ndarray, direction: float, barred: BaseGeometry
) -> np.ndarray:
    """How far (n,) the rungs go to one side, up to `reach_mm`, before they enter a region."""
    ends = ladder.base + direction * ladder.outward * reach_mm[:, None]
    ways = shapely.linestrings(np.stack([ladder.base, ends], axis=1))
    free = shapely.distance(shapely.intersection(ways, barred), shapely.points(ladder.base))
    # No distance at all means that nothing is in the way.
    return np.fmin(reach_mm, free)


def _sewn(ladder: Rungs) -> SewnLine | None:
    if len(ladder.base) < 2:
        return None
    points = split_long(without_short(ladder.points, SHORTEST_MM))
    middles = ladder.middles
    end_line = np.vstack([points[-1:], middles[-2 : -_TIE_RUNGS - 1 : -1]])
    start_line = np.vstack([points[:1], middles[1:_TIE_RUNGS]])
    return SewnLine(points, start_line, end_line)
