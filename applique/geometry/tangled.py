"""What of a drawing is too tangled to be made a shape: told before it is tried, because the
libraries that do it can't be interrupted."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import LinearRing

MOST_RINGS = 20_000
"""Of one shape; nobody cuts out so many holes, and each is held against those around it."""

MOST_CROSSINGS = 20_000
"""Of all sides of a shape; every crossing becomes a node. Resolving so many takes a second or two,
and ten times as many more than ten times as long."""

MOST_NESTED = 1_000_000
"""Pairs of rings of which one may lie in the other: a few seconds."""

_QUERIED = 50
"""Rings looked up at once while those pairs are counted."""

_SAMPLED = 400
"""Sides, evenly among all, that are held against all others to tell how often a shape crosses
itself: exactly where there are no more, and well enough else."""


class TangledError(ValueError):
    """Rings that can't be made a shape in any sensible time; the message ends a sentence."""


def check_number(lines: Sequence[LinearRing]) -> None:
    """Raise TangledError for too many rings, or too many that lie in too many others."""
    if len(lines) > MOST_RINGS:
        raise TangledError(f"has more than {MOST_RINGS} sub-paths; break it apart")
    tree = shapely.STRtree(lines)
    pairs = 0
    for k in range(0, len(lines), _QUERIED):
        pairs += tree.query(lines[k : k + _QUERIED]).shape[1]
        if pairs > MOST_NESTED:
            raise TangledError("has too many sub-paths within one another; break it apart")


def check_crossings(rings: Sequence[np.ndarray]) -> None:
    """Raise TangledError for closed rings (n, 2) whose sides cross each other too often."""
    if crossings_in(rings) > MOST_CROSSINGS:
        raise TangledError("crosses itself too often to be resolved; draw its outline anew")


def crossings_in(rings: Sequence[np.ndarray]) -> float:
    """About how often the sides of closed rings (n, 2) properly cross each other."""
    if not rings:
        return 0.0
    start = np.concatenate(rings)
    stop = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
    sampled = np.unique(np.linspace(0, len(start) - 1, _SAMPLED).astype(int))
    hits = sum(_crossed(start, stop, k) for k in sampled.tolist())
    return hits * len(start) / len(sampled) / 2


def _crossed(start: np.ndarray, stop: np.ndarray, k: int) -> int:
    """How many sides cross side k."""
    a, along, sides = start[k], stop[k] - start[k], stop - start
    from_a = along[0] * (start - a)[:, 1] - along[1] * (start - a)[:, 0]
    to_a = along[0] * (stop - a)[:, 1] - along[1] * (stop - a)[:, 0]
    b = a + along
    one = sides[:, 0] * (a - start)[:, 1] - sides[:, 1] * (a - start)[:, 0]
    other = sides[:, 0] * (b - start)[:, 1] - sides[:, 1] * (b - start)[:, 0]
    return int(np.count_nonzero((from_a * to_a < 0) & (one * other < 0)))
