"""In which sequence the hoopings of a plan are sewn, as far as the sewing order leaves it free.

A hooping is lined up by crosses that an earlier one makes, so those come one after another whose
fields share much room. From the hoopings that may come next, that one is taken, again and again,
which shares the longest diagonal with any before it, as a spanning tree of the longest edges grows
(R. C. Prim, 1957).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.hoops.lining.places import cross_room
from applique.hoops.problem import BoxMm, SizeMm


def in_sequence(
    boxes: Sequence[BoxMm], windows: Sequence[SizeMm], waits_for: Sequence[frozenset[int]]
) -> list[int]:
    """The hoopings in the sequence in which they are sewn. `boxes` are their stitches, `windows`
    the sizes of their fields; `waits_for` are those that must come before each."""
    shared = _shared_mm(boxes, windows)
    left = set(range(len(boxes)))
    done: list[int] = []
    while left:
        free = [k for k in sorted(left) if not waits_for[k] & left]
        reach = shared[free][:, done].max(axis=1) if done else shared[free].max(axis=1)
        following = free[int(np.argmax(np.round(reach, 3)))]
        left.remove(following)
        done.append(following)
    return done


def _shared_mm(boxes: Sequence[BoxMm], windows: Sequence[SizeMm]) -> np.ndarray:
    """How far apart two crosses may be that two hoopings share, for each pair: the diagonal of the
    rectangle in which both can have a cross, (n, n) of mm, 0 for a hooping with itself."""
    rooms = np.array([cross_room(box, window) for box, window in zip(boxes, windows, strict=True)])
    low = np.maximum(rooms[:, None, :2], rooms[None, :, :2])
    high = np.minimum(rooms[:, None, 2:], rooms[None, :, 2:])
    sides = np.maximum(high - low, 0.0)
    diagonal = np.hypot(sides[..., 0], sides[..., 1]) * (high > low).all(axis=2)
    np.fill_diagonal(diagonal, 0.0)
    return np.asarray(diagonal)
