"""Satin: dense rungs that cover the raw edge.

`rungs.py` makes the ladder it is sewn on, `stagger.py` the short stitches where rungs run together.
"""

from __future__ import annotations

import numpy as np
from shapely import MultiLineString

from applique.model import EdgeRun, LaidPiece
from applique.settings import Settings
from applique.stitches.crowds import RADIUS_MM, within
from applique.stitches.filled import filled
from applique.stitches.ladder import Band, Rungs
from applique.stitches.line import (
    SewnLine,
    from_lowest,
    sewn_runs,
    shared_lines,
    without_short,
)
from applique.stitches.relief import relieved
from applique.stitches.rungs import rungs
from applique.stitches.stagger import SHORTEST_MM, staggered
from applique.stitches.under import kept_clear

LONGEST_SATIN_MM = 7.0
"""A longer satin stitch snags in use; it is split (docs/sources.md, satin width)."""

_TIE_RUNGS = 40
"""Ties lie along the middles of so many rungs; even at a mitre that is longer than any tie."""

_TIE_STARTS = 16
"""A tie begins at the middle of one of the first so many rungs."""


def satin_band(settings: Settings) -> Band:
    """The band a satin is sewn in: its width, the compensation for the thread's pull, and how its
    corners are treated."""
    pull = settings.pull_compensation_mm
    return Band(
        settings.edge_outside_mm + pull,
        settings.edge_inside_mm + pull,
        settings.edge_spacing_mm,
        settings.corner_point_degrees,
        settings.corner_cap_degrees,
    )


def satin(laid: LaidPiece) -> list[SewnLine]:
    """A satin along a piece's edges."""
    runs = sewn_runs(laid.edges)
    band = satin_band(laid.piece.settings)
    edges = shared_lines(runs, band.inside_mm)
    ladders = [_ladder(run, edges, band, laid) for run in runs]
    ladders = filled(relieved([ladder for ladder in ladders if len(ladder.base) > 1]))
    lines = [split_long(without_short(ladder.points, SHORTEST_MM)) for ladder in ladders]
    holes = np.vstack(lines) if lines else np.zeros((0, 2))
    return [_tied(line, it.middles, holes) for line, it in zip(lines, ladders, strict=True)]


def _ladder(run: EdgeRun, edges: MultiLineString, band: Band, laid: LaidPiece) -> Rungs:
    """The rungs of one edge run; none if nothing of it may be sewn."""
    ladder = kept_clear(rungs(from_lowest(run), band, edges, laid.cut), laid)
    return staggered(ladder, band.spacing_mm)


def _tied(points: np.ndarray, middles: np.ndarray, holes: np.ndarray) -> SewnLine:
    """A satin with its ties along the middles of its first and last rungs; `holes` (n, 2) are the
    penetrations of the whole piece."""
    start = _tie_line(points[0], middles[:_TIE_RUNGS], holes)
    return SewnLine(points, start, _tie_line(points[-1], middles[: -_TIE_RUNGS - 1 : -1], holes))


def _tie_line(needle: np.ndarray, middles: np.ndarray, holes: np.ndarray) -> np.ndarray:
    """Where a tie lies (k, 2): begun a stitch away from the first needle point (2,), where it
    crowds the holes least."""
    first = middles[:_TIE_STARTS]
    away = np.hypot(*(first - needle).T) >= SHORTEST_MM
    if not away.any():
        return middles
    centre = first.mean(axis=0)
    reach = np.hypot(*(first - centre).T).max() + 2 * RADIUS_MM
    near = holes[np.hypot(*(holes - centre).T) <= reach]
    beside = within(first, near)
    full = np.where(beside, within(near, near).sum(axis=1), 0).max(axis=1, initial=0)
    crowd = np.maximum(full, beside.sum(axis=1))
    return middles[int(np.argmin(np.where(away, crowd, len(holes) + 1))) :]


def split_long(points: np.ndarray, longest_mm: float = LONGEST_SATIN_MM) -> np.ndarray:
    """Points (n, 2) with penetrations put into stitches longer than `longest_mm`.

    The places step by a third from one stitch to the next, so that they form no line.
    """
    delta = np.diff(points, axis=0)
    length = np.hypot(delta[:, 0], delta[:, 1])
    parts = np.maximum(np.ceil(length / longest_mm).astype(int), 1)
    if parts.max(initial=1) == 1:
        return points
    pieces = [points[:1]]
    for k, count in enumerate(parts.tolist()):
        if count > 1:
            # One stitch more than needed leaves room to move the places to and fro.
            shift = (k % 3 - 1) / 3
            shares = (np.arange(1, count + 1) + shift * 0.5) / (count + 1)
            pieces.append(points[k] + shares[:, None] * delta[k])
        pieces.append(points[k + 1 : k + 2])
    return np.vstack(pieces)
