"""Satin: dense rungs that cover the raw edge.

On tight bends and along the medial axis of narrow places the rungs run together on one rail.
There every other needle point stands back (short stitches), so that the needle doesn't chew one
hole into the fabric.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable
from dataclasses import replace

import numpy as np
from shapely import MultiLineString

from applique.geometry.walk import step_lengths
from applique.model import EdgeRun, LaidPiece
from applique.settings import Settings
from applique.stitches.ladder import Band, Rungs
from applique.stitches.line import (
    SewnLine,
    from_lowest,
    lines_of,
    sewing_order,
    without_short,
)
from applique.stitches.rungs import rungs
from applique.stitches.under import kept_clear

LONGEST_SATIN_MM = 7.0
"""A longer satin stitch snags in use; it is split (docs/sources.md, satin width)."""

CROWDED_SHARE = 0.5
"""Neighbours on one rail nearer to each other than this share of the spacing are crowded. With any
more, the neighbours of one that stands back would be further apart than a pass of thread covers."""

_MEMORY = 40
"""How many needle points of the same rail are kept clear of. Those of the far side of a narrow
place are not: the two sides meet there, and standing back from each other would leave a gap."""

_STAND_BACK = (1.0, 0.82, 0.66, 0.5, 0.36)
"""Shares of a rung to try, the longest that finds room is taken."""

_SHORTEST_MM = 0.5
"""No short stitch below this: the proof's lower bound for satin."""

COVERS_BY_MM = 0.25
"""How far past the raw edge a needle point stays that stands back."""


_TIE_RUNGS = 40
"""Ties lie along the middles of so many rungs; even at a mitre that is longer than any tie."""


def satin_band(settings: Settings) -> Band:
    """The band a satin is sewn in: its width and the compensation for the thread's pull."""
    pull = settings.pull_compensation_mm
    return Band(
        settings.edge_outside_mm + pull,
        settings.edge_inside_mm + pull,
        settings.edge_spacing_mm,
    )


def satin(laid: LaidPiece) -> list[SewnLine]:
    """A satin along a piece's edges."""
    edges = lines_of(laid.edges)
    lines = (_sewn(run, edges, laid) for run in sewing_order(laid.edges))
    return [line for line in lines if line is not None]


def _sewn(run: EdgeRun, edges: MultiLineString, laid: LaidPiece) -> SewnLine | None:
    """The satin of one edge run; None if nothing of it may be sewn."""
    band = satin_band(laid.piece.settings)
    ladder = kept_clear(rungs(from_lowest(run), band, edges, laid.cut), laid)
    if len(ladder.base) < 2:
        return None
    ladder = staggered(ladder, CROWDED_SHARE * band.spacing_mm)
    points = split_long(without_short(ladder.points, _SHORTEST_MM))
    middles = ladder.middles
    return SewnLine(points, middles[:_TIE_RUNGS], middles[: -_TIE_RUNGS - 1 : -1])


def staggered(ladder: Rungs, apart_mm: float) -> Rungs:
    """Let crowded needle points stand back along their rungs until they are `apart_mm` from the
    others, as far as there is room."""
    inner = np.flatnonzero(~ladder.outer & ~ladder.tip)
    outer = np.flatnonzero(ladder.outer & ~ladder.tip)
    low, high = ladder.low.copy(), ladder.high.copy()
    low[inner] = _stood_back(ladder, inner, ladder.low, ladder.high, apart_mm)
    high[outer] = _stood_back(ladder, outer, ladder.high, ladder.low, apart_mm)
    return replace(ladder, low=low, high=high)


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


def _stood_back(
    ladder: Rungs, index: np.ndarray, end: np.ndarray, other: np.ndarray, apart_mm: float
) -> np.ndarray:
    """New heights for the needle points `index`, which lie at height `end` of rungs that begin at
    height `other`."""
    base, outward = ladder.base[index], ladder.outward[index]
    far, near = end[index], other[index]
    points = base + outward * far[:, None]
    crowded = _crowded(points, apart_mm)
    heights = far.copy()
    if not crowded.any():
        return heights
    recent: deque[tuple[float, float]] = deque(maxlen=_MEMORY)
    for k in range(len(index)):
        if crowded[k]:
            heights[k] = _roomiest(base[k], outward[k], far[k], near[k], recent, apart_mm)
        recent.append(tuple((base[k] + outward[k] * heights[k]).tolist()))
    return heights


def _roomiest(
    base: np.ndarray,
    outward: np.ndarray,
    far: float,
    near: float,
    recent: Iterable[tuple[float, float]],
    apart_mm: float,
) -> float:
    """The height furthest out that has room, or else the one with the most."""
    length = abs(far - near)
    best, best_room = far, -1.0
    for share in _STAND_BACK:
        if share < 1.0 and share * length < _SHORTEST_MM:
            break
        height = _on_its_side(near + share * (far - near), far)
        x, y = (base + outward * height).tolist()
        room = min((math.hypot(px - x, py - y) for px, py in recent), default=apart_mm)
        if room > best_room + 1e-9:
            best, best_room = height, room
        if room >= apart_mm:
            break
    return best


def _on_its_side(height: float, far: float) -> float:
    """A height no nearer to the raw edge than `COVERS_BY_MM`, unless the rail itself is: a point
    that stands back must not leave the edge bare."""
    if far < 0:
        return min(height, max(far, -COVERS_BY_MM))
    return max(height, min(far, COVERS_BY_MM))


def _crowded(points: np.ndarray, apart_mm: float) -> np.ndarray:
    """Which points (n, 2) of a rail are nearer than `apart_mm` to the one before or after."""
    close = step_lengths(points) < apart_mm
    return np.concatenate([[False], close]) | np.concatenate([close, [False]])
