"""A strip shaken down: all pieces move at once, without turning, until it is as short as it gets.

Two pieces that lie apart are kept apart by a straight line between them, or between their convex
parts where they interlock. With those lines held, the shortest strip is a linear programme; then
lines are chosen anew (compaction: Z. Li and V. Milenkovic, "Compaction and separation algorithms
for non-convex polygons and their applications", European Journal of Operational Research 84, 1995).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from applique.nesting.convex import Body, padded, separations

_STEP_SHARE = 0.03
"""How far a piece may move at once, as a share of the strip's height."""

_MOST_ROUNDS = 8
_WORTH = 1e-5
"""The strip is shaken again if that made it shorter by this share."""

_APART = 1e-6
"""How far apart pieces are kept beyond touching: ten times what the programme's solver may err."""

_LEFTWARDS = 1e-4
"""What a piece's own place counts beside the strip's length, so that loose pieces move too."""


@dataclass(frozen=True, eq=False)
class _Parts:
    """Convex parts of all pieces: the hulls, one a piece, then those of which they consist. `owner`
    is each part's piece; `hollow` tells which pieces are not convex."""

    hulls: np.ndarray
    parts: np.ndarray
    owner: np.ndarray
    hollow: np.ndarray


def shaken(bodies: Sequence[Body], height: float, may_go_on: Callable[[], bool]) -> np.ndarray:
    """How each of the bodies, which lie in a strip from y = 0 to `height` without overlap,
    moves (n, 2) so that the strip, from x = 0, is as short as it gets by moving them together.

    What overlapped by a rounding error does not do so afterwards. It goes on, for a few rounds at
    most, as long as `may_go_on` says so.
    """
    parts = _parts_of(bodies)
    bounds = np.hstack([parts.hulls.min(axis=1), parts.hulls.max(axis=1)])
    moves = np.zeros((len(bodies), 2))
    moves[:, 0] = -bounds[:, 0].min()
    length = bounds[:, 2].max() - bounds[:, 0].min()
    for _ in range(_MOST_ROUNDS):
        if not may_go_on():
            break
        step = _shortest(parts, bounds, moves, height)
        if step is None:
            break
        moves = moves + step
        shorter = float((bounds[:, 2] + moves[:, 0]).max())
        if length - shorter < _WORTH * length:
            break
        length = shorter
    return moves


def _parts_of(bodies: Sequence[Body]) -> _Parts:
    counts = np.array([len(body.parts) for body in bodies])
    owner = np.repeat(np.arange(len(bodies)), counts)
    hulls = padded([body.hull for body in bodies])
    parts = padded([part for body in bodies for part in body.parts])
    return _Parts(hulls, parts, owner, counts > 1)


def _shortest(
    parts: _Parts, bounds: np.ndarray, moves: np.ndarray, height: float
) -> np.ndarray | None:
    """The best moves (n, 2) of all pieces on top of those made; None if there are none."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array, vstack

    count = len(bounds)
    most = _STEP_SHARE * height
    gap, normal, first, second = _lines_between(parts, moves, 2 * np.sqrt(2.0) * most)
    rows = np.repeat(np.arange(len(gap)), 4)
    columns = np.stack([2 * first, 2 * first + 1, 2 * second, 2 * second + 1], axis=1)
    apart = csr_array(
        (np.hstack([normal, -normal]).ravel(), (rows, columns.ravel())),
        shape=(len(gap), 2 * count + 1),
    )
    piece = np.arange(count)
    inside = csr_array(
        (
            np.repeat([1.0, -1.0], count),
            (np.tile(piece, 2), np.concatenate([2 * piece, np.full(count, 2 * count)])),
        ),
        shape=(count, 2 * count + 1),
    )
    lowest = bounds[:, :2] + moves
    highest = bounds[:, 2:] + moves
    lower = np.maximum(-most, np.minimum(-lowest, 0.0))
    upper = np.full((count, 2), most)
    upper[:, 1] = np.minimum(most, np.maximum(height - highest[:, 1], 0.0))
    cost = np.zeros(2 * count + 1)
    cost[-1] = 1.0
    cost[0:-1:2] = _LEFTWARDS / count
    found = linprog(
        cost,
        A_ub=vstack([apart, inside]),
        b_ub=np.concatenate([gap - _APART, -highest[:, 0]]),
        bounds=np.vstack(
            [np.stack([lower.ravel(), upper.ravel()], axis=1), [[0.0, np.inf]]],
        ),
        method="highs",
    )
    return None if found.x is None else found.x[:-1].reshape(count, 2)


def _lines_between(
    parts: _Parts, moves: np.ndarray, reach: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """What holds pairs of pieces apart that come as near as `reach`: gaps, unit normals, and the
    first and the second piece of each pair."""
    hulls = parts.hulls + moves[:, None]
    first, second = _near(hulls, np.arange(len(hulls)), reach)
    gap, normal = separations(hulls[first], hulls[second])
    # Where one is hollow and both are near, a line between their hulls would bar one from sliding
    # into the other.
    hollow = parts.hollow[first] | parts.hollow[second]
    apart = (gap >= 0) & (~hollow | (gap >= reach / 4))
    interlocked = set(zip(first[~apart].tolist(), second[~apart].tolist(), strict=True))
    gap, normal, first, second = gap[apart], normal[apart], first[apart], second[apart]
    if interlocked:
        single = parts.parts + moves[parts.owner][:, None]
        one, other = _near(single, parts.owner, reach)
        owners = zip(parts.owner[one].tolist(), parts.owner[other].tolist(), strict=True)
        wanted = np.array([pair in interlocked for pair in owners], dtype=bool)
        one, other = one[wanted], other[wanted]
        more_gap, more_normal = separations(single[one], single[other])
        gap, normal = np.concatenate([gap, more_gap]), np.vstack([normal, more_normal])
        first = np.concatenate([first, parts.owner[one]])
        second = np.concatenate([second, parts.owner[other]])
    binding = gap < reach
    return gap[binding], normal[binding], first[binding], second[binding]


def _near(parts: np.ndarray, owner: np.ndarray, reach: float) -> tuple[np.ndarray, np.ndarray]:
    """Pairs of parts of different pieces that come as near as `reach`, the lower piece first."""
    polygons = shapely.polygons(parts)
    first, second = shapely.STRtree(polygons).query(polygons, predicate="dwithin", distance=reach)
    once = owner[first] < owner[second]
    return first[once], second[once]
