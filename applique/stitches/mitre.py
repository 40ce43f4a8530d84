"""Corners of a band of rungs: how far it is carried on, how it is cut off, how its point is sewn.

Both sides of a corner are carried on and cut off at its bisector. A sharp corner's mitre would grow
into a spike, so it is cut off square at a cap. At a convex corner all this happens outside the
outline, at a concave one inside it, with the rails' parts exchanged.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from applique.geometry.walk import turned_left
from applique.stitches.ladder import Band, Rungs

LONGEST_MITRE = 1.5
"""A mitre longer than this many band widths is capped (reached at a turn of 96 degrees), so that a
square's corner stays sharp and a leaf's tip does not grow a spike."""

OPEN_SPACING_MM = 0.8
"""From this spacing on, rungs are single stitches to the eye and not a cover."""

SHORTEST_MM = 0.55
"""Stitches at the point of a mitre are no shorter; a needle can't sew much less."""


@dataclass(frozen=True)
class End:
    """How a side ends: `turn` is the corner's turn in radians (0 at an open end), convex if
    positive; the band is carried on `carried_mm` beyond the corner, or stops `short_mm` of it."""

    turn: float
    carried_mm: float = 0.0
    short_mm: float = 0.0


OPEN_END = End(0.0)


def end_at(arriving: np.ndarray, leaving: np.ndarray, band: Band) -> End:
    """How a band ends at a corner between two unit directions (2,): it is carried on until its
    rungs, cut off by the bisector and by the cap, get too short. An open zigzag leaves the corner
    to the point alone."""
    cross = arriving[0] * leaving[1] - arriving[1] * leaving[0]
    turn = math.atan2(float(cross), float(arriving @ leaving))
    if band.spacing_mm >= OPEN_SPACING_MM:
        return End(turn, short_mm=band.spacing_mm / 2)
    corner = _Corner(turn, band)
    shortest = min(SHORTEST_MM, corner.reach / 2)
    to_rail = (corner.reach - shortest) * corner.tangent
    to_cap = (corner.cap - shortest * corner.cosine) * corner.sine
    return End(turn, min(to_rail, to_cap))


def cut_at_corner(ladder: Rungs, beyond_mm: np.ndarray, end: End, band: Band) -> Rungs:
    """Cut rungs that stand beyond a corner by its bisector and its cap. `beyond_mm` (n,) is how far
    past the corner each rung stands, along its side."""
    past = beyond_mm > 0
    if end.turn == 0 or not past.any():
        return ladder
    corner = _Corner(end.turn, band)
    from_bisector = beyond_mm / corner.tangent
    to_cap = (corner.cap - beyond_mm * corner.sine) / corner.cosine
    if end.turn > 0:
        low = np.where(past, np.maximum(ladder.low, from_bisector), ladder.low)
        high = np.where(past, np.minimum(ladder.high, to_cap), ladder.high)
    else:
        low = np.where(past, np.maximum(ladder.low, -to_cap), ladder.low)
        high = np.where(past, np.minimum(ladder.high, -from_bisector), ladder.high)
    return replace(ladder, low=low, high=high)


def point_of(
    vertex: np.ndarray, arriving: np.ndarray, leaving: np.ndarray, end: End, band: Band
) -> Rungs:
    """The stitches at the point of a mitre. `arriving` and `leaving` are the unit directions (2,)
    of the two sides.

    A pointed corner is sewn along both rails to its tip; a slight one by its tip alone; a capped
    one from one end of the cap to the other.
    """
    before = _side_frame(arriving, end.turn)
    after = _side_frame(leaving, end.turn) * np.array([[-1.0], [1.0]])
    corner = _Corner(end.turn, band)
    to_tip = corner.reach * corner.tangent
    if corner.reach / corner.cosine > corner.cap:
        to_tip = (corner.cap - corner.reach * corner.cosine) / corner.sine
    ends = [np.array([to_tip, corner.reach]) @ frame for frame in (before, after)]
    if math.dist(*ends) >= SHORTEST_MM:
        return _as_rungs(vertex, np.array(ends), convex=end.turn > 0)
    points = [(ends[0] + ends[1]) / 2]
    if to_tip > SHORTEST_MM and band.spacing_mm < OPEN_SPACING_MM:
        along = np.array([to_tip - SHORTEST_MM, corner.reach])
        points = [along @ before, *points, along @ after]
    return _as_rungs(vertex, np.array(points), convex=end.turn > 0)


class _Corner:
    """The numbers of a corner. `reach` is the band's width on the corner's outer side, `cap` how
    far from the vertex a mitre may go, both in mm; the angle is half the turn."""

    def __init__(self, turn: float, band: Band) -> None:
        half = min(abs(turn) / 2, math.radians(89.9))
        self.sine, self.cosine, self.tangent = math.sin(half), math.cos(half), math.tan(half)
        self.reach = band.outside_mm if turn > 0 else band.inside_mm
        self.cap = LONGEST_MITRE * self.reach


def _side_frame(direction: np.ndarray, turn: float) -> np.ndarray:
    """Rows: along a side, and square to it towards the outer side of the corner."""
    outward = -turned_left(direction)
    return np.array([direction, outward if turn > 0 else -outward])


def _as_rungs(vertex: np.ndarray, offsets: np.ndarray, convex: bool) -> Rungs:
    """Points at offsets (k, 2) from a vertex, as rungs that stand on it."""
    distance = np.hypot(offsets[:, 0], offsets[:, 1])
    directions = offsets / np.maximum(distance, 1e-9)[:, None]
    zero = np.zeros(len(offsets))
    return Rungs(
        base=np.repeat(vertex[None, :], len(offsets), axis=0),
        outward=directions if convex else -directions,
        low=zero if convex else -distance,
        high=distance if convex else zero,
        outer=np.full(len(offsets), convex),
        tip=np.ones(len(offsets), dtype=bool),
    )
