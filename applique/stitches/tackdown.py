"""Tack-down: what holds a laid fabric until its edge is finished, and the trim line of a patch."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely

from applique.geometry.rings import rings_of
from applique.model import EdgeRun, LaidPiece
from applique.settings import Settings
from applique.stitches.ladder import Band, Rungs
from applique.stitches.line import (
    SewnLine,
    from_lowest,
    from_nearest,
    lines_of,
    plain_line,
    sewing_order,
    without_short,
)
from applique.stitches.placement import runs_round
from applique.stitches.rungs import rungs

HIDDEN_INSET_MM = 0.3
"""A zigzag tack-down stays this far inside the raw edge where no edge stitch will cover it."""

SHORTEST_MM = 0.5
"""In the tips of an underlap a zigzag would come down to a needle's breadth and less."""

WITHIN_BAND_MM = 0.2
"""How far the tack's outer points stay inside the edge stitch that hides them."""


def tack_style(settings: Settings) -> str:
    """The tack-down a piece gets: none, run or zigzag.

    Under a satin it is a zigzag. An edge that covers nothing would leave a tack in sight for ever,
    and a turned piece lies fast already, so these get none unless the user asks.
    """
    if settings.tack != "auto":
        return settings.tack
    if settings.method != "turned" and settings.edge == "satin":
        return "zigzag"
    if settings.method == "cut-in-hoop" and settings.edge == "zigzag":
        return "zigzag"
    return "none"


def tack(laid: LaidPiece) -> list[SewnLine]:
    """The tack-down round the shape that is cut; empty if the piece gets none."""
    settings = laid.piece.settings
    style = tack_style(settings)
    if style == "none":
        return []
    if style == "run":
        return runs_round(laid, settings.tack_inset_mm, settings.tack_length_mm)
    return [_zigzag(ring, laid) for ring in rings_of(laid.cut)]


def trim_line(laid: LaidPiece) -> list[SewnLine]:
    """The run that holds a patch while it is trimmed in the hoop."""
    settings = laid.piece.settings
    return runs_round(laid, settings.trim_inset_mm, settings.tack_length_mm)


def _zigzag(ring: np.ndarray, laid: LaidPiece) -> SewnLine:
    settings = laid.piece.settings
    outside = min(settings.tack_width_mm / 2, settings.edge_outside_mm - WITHIN_BAND_MM)
    outside = max(outside, 0.0)
    band = Band(outside, settings.tack_width_mm - outside, settings.tack_spacing_mm)
    run = from_lowest(EdgeRun(ring, closed=True))
    if laid.edges:
        run = from_nearest(run, from_lowest(sewing_order(laid.edges)[0]).points[0])
    ladder = rungs(run, band, laid.cut.boundary, laid.cut)
    points = _inside_where_hidden(ladder, laid).points
    return plain_line(without_short(points, SHORTEST_MM))


def _inside_where_hidden(ladder: Rungs, laid: LaidPiece) -> Rungs:
    """Draw the zigzag inside the fabric wherever no edge stitch follows to cover it."""
    edges = lines_of(laid.edges)
    shapely.prepare(edges)
    hidden = ~shapely.dwithin(edges, shapely.points(ladder.base), HIDDEN_INSET_MM)
    high = np.where(hidden, np.minimum(ladder.high, -HIDDEN_INSET_MM), ladder.high)
    return replace(ladder, high=high)
