"""Where a knife starts on each outline.

It goes in and comes out there. At a sharp tip it would lift the fabric, in a notch cut into it; at
a clear corner it has to stop anyway, and on a flat stretch it closes the line without a step
(common practice of knife cutting, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.cutting.order import ring_depths
from applique.geometry.curves import flatten, reversed_curve
from applique.geometry.walk import Walk
from applique.model import Curve

REACH_MM = 0.75
"""The turn at a place is that of the line from twice so far before to twice so far after it, or
from once so far to the place itself, whichever is more: a tip rounded by tracing is a tip."""

SIDE_MM = 4.0
"""A corner is a clear one if the line turns by as much from before to after so large a reach: a
step where one piece slips under another has corners too, but no sides."""

CORNER_DEGREES = 30.0
"""From this turn on a place is a corner to the eye (as `geometry.corners` has it)."""

SQUARE_DEGREES = 110.0
ACUTE_DEGREES = 130.0
"""Up to the first turn a corner is blunt to square (its inner angle is 70 degrees or more), up to
the second it is acute; beyond it is a tip, which no knife starts at. From memory."""

_SAME_COST_DEGREES = 5.0
"""Places that differ by less are as good as each other."""

_NEAR_ENDS = np.array([0.0, 0.003, 0.006, 0.012, 0.025, 0.05, 0.1, 0.18, 0.27, 0.38])
_SHARES = np.concatenate([_NEAR_ENDS, [0.5], 1.0 - _NEAR_ENDS[:0:-1]])
"""Parameters at which a segment is looked at, densely beside its nodes."""


def with_starts(curves: Sequence[Curve]) -> tuple[Curve, ...]:
    """The closed curves of a piece, in their order, each beginning where the knife starts and with
    the fabric on its left. No curve changes its shape."""
    depths = ring_depths(curves)
    return tuple(
        started(_directed(curve, anticlockwise=depth % 2 == 0))
        for curve, depth in zip(curves, depths, strict=True)
    )


def started(curve: Curve) -> Curve:
    """A closed curve with the fabric on its left, begun at its best node: a blunt or square corner;
    else where it is flattest; else an acute corner; else a notch. Only where all nodes are tips is
    a segment divided."""
    if len(curve.segments) == 0:
        return curve
    rank, node = _best_node(curve)
    if rank < _TIP:
        return _rolled(curve, node)
    halved = _all_halved(curve)
    middle = _best_node(halved)[1] // 2
    return _rolled(_halved(curve, middle), middle + 1)


def _directed(curve: Curve, anticlockwise: bool) -> Curve:
    x, y = flatten(curve).T
    area = float((x * np.roll(y, -1) - np.roll(x, -1) * y).sum())
    return curve if (area >= 0) == anticlockwise else reversed_curve(curve)


_BLUNT, _FLAT, _ACUTE, _NOTCH, _TIP = range(5)


def _best_node(curve: Curve) -> tuple[int, int]:
    """The rank of the best node, and which it is: the first of equals. Of corners those are best
    that are square and have long sides; of flat places those about which nothing bends."""
    turns, wide = _turns(curve)
    ranks = np.select(
        [
            np.abs(turns) < CORNER_DEGREES,
            np.abs(turns) > ACUTE_DEGREES,
            turns < 0,
            turns <= SQUARE_DEGREES,
        ],
        [_FLAT, _TIP, _NOTCH, _BLUNT],
        _ACUTE,
    )
    wanted = np.where(ranks == _BLUNT, 90.0, 0.0)
    cost = (np.abs(turns - wanted) + np.abs(wide - turns)) // _SAME_COST_DEGREES
    best = int(np.lexsort((cost, ranks))[0])
    return int(ranks[best]), best


def _turns(curve: Curve) -> tuple[np.ndarray, np.ndarray]:
    """By how much a curve turns at each of its nodes, and about each, (n,) degrees, to the left
    positive."""
    points = _along(curve.segments)
    walk = Walk(points.reshape(-1, 2), closed=True)
    arc = walk.arc[:-1].reshape(points.shape[:2])[:, 0]
    reach = min(REACH_MM, walk.length / 16)
    across = _turn_across(walk, arc, reach)
    close = _turn(walk.at(arc) - walk.at(arc - reach), walk.at(arc + reach) - walk.at(arc))
    wide = _turn_across(walk, arc, min(SIDE_MM, walk.length / 16))
    return np.where(np.abs(across) > np.abs(close), across, close), wide


def _turn_across(walk: Walk, arc: np.ndarray, reach: float) -> np.ndarray:
    """The turn from before a place, between twice and once the reach, to as far after it."""
    far = [walk.at(arc + step * reach) for step in (-2.0, -1.0, 1.0, 2.0)]
    return _turn(far[1] - far[0], far[3] - far[2])


def _along(segments: np.ndarray) -> np.ndarray:
    """Points (n, m, 2) on every segment, its start among them, its end not."""
    t = _SHARES
    basis = np.stack([(1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t**2, t**3], axis=1)
    return np.einsum("mk,nkd->nmd", basis, segments)


def _turn(before: np.ndarray, after: np.ndarray) -> np.ndarray:
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.degrees(np.arctan2(cross, (before * after).sum(axis=1)))


def _rolled(curve: Curve, node: int) -> Curve:
    segments = np.roll(curve.segments, -node, axis=0)
    return Curve(segments, np.roll(curve.straight, -node), curve.closed)


def _halved(curve: Curve, index: int) -> Curve:
    """The same curve with one of its segments in two halves."""
    segments = np.vstack(
        [curve.segments[:index], _halves(curve.segments[index]), curve.segments[index + 1 :]]
    )
    return Curve(segments, np.insert(curve.straight, index, curve.straight[index]), curve.closed)


def _all_halved(curve: Curve) -> Curve:
    """The same curve with every segment in two halves. Its old nodes, which are tips, stay what
    they are, so that the best node is a new one."""
    segments = np.vstack([_halves(segment) for segment in curve.segments])
    return Curve(segments, np.repeat(curve.straight, 2), curve.closed)


def _halves(segment: np.ndarray) -> np.ndarray:
    """Both halves (2, 4, 2) of a cubic (de Casteljau's construction)."""
    a, b, c, d = segment
    ab, bc, cd = (a + b) / 2, (b + c) / 2, (c + d) / 2
    abc, bcd = (ab + bc) / 2, (bc + cd) / 2
    middle = (abc + bcd) / 2
    return np.array([[a, ab, abc, middle], [middle, bcd, cd, d]])
