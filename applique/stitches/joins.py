"""Which lines of a piece follow each other without a trim: those that lie near, but no stitch may
cross in sight from one stretch of an edge to the next."""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely

from applique.model import LaidPiece
from applique.stitches.line import SewnLine
from applique.stitches.steps import Lines, near_ends

IN_SIGHT_MM = 0.5
"""No more than this of a stitch between two stretches of an edge may show: the shortest stitch of a
satin."""

_STEP_MM = 0.1
"""How finely such a stitch is looked at."""

_ON_SATIN_MM = 0.25
"""A stitch this near to the stitches of a satin in the same thread is not seen: half a wide spacing
(half of 30 wt thread's 0.5 mm, docs/sources.md)."""


def joined_lines(lines: Lines, laid: LaidPiece, edges_last: bool) -> list[bool]:
    """For each line but the last whether the thread goes on to the next one without a trim.

    What is sewn before the edge is covered by it; between two stretches of the edge the stitch must
    lie under the pieces above, or on the edge's own satin. Where edges are sewn last, the pieces
    above lie already and cover nothing.
    """
    joined = near_ends(lines)
    for k, ((kind, here), (following, after)) in enumerate(itertools.pairwise(lines)):
        if joined[k] and kind == following == "edge":
            joined[k] = _shown_mm(here, after, laid, edges_last) <= IN_SIGHT_MM
    return joined


def _shown_mm(here: SewnLine, after: SewnLine, laid: LaidPiece, edges_last: bool) -> float:
    """How much of the stitch between two lines of an edge would be seen, in mm."""
    start, stop = here.points[-1], after.points[0]
    count = math.ceil(math.dist(start, stop) / _STEP_MM)
    if count == 0:
        return 0.0
    share = ((np.arange(count) + 0.5) / count)[:, None]
    places = start + share * (stop - start)
    shown = np.ones(count, dtype=bool)
    if not edges_last:
        shown &= ~shapely.contains_xy(laid.above, places[:, 0], places[:, 1])
    if laid.piece.settings.edge_covers:
        points = shapely.points(places)
        for line in (here, after):
            shown &= shapely.distance(shapely.linestrings(line.points), points) > _ON_SATIN_MM
    return float(shown.sum()) * math.dist(start, stop) / count
