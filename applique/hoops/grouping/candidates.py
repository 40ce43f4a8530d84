"""Where a window can lie: the largest sets of parts that one hooping can hold.

A window that holds some parts still holds them when it is pushed right until its left edge is the
left of one of them, or until it touches a box to be kept out, and then down in the same way. So it
is enough to look at those places; of the sets of parts found there, those contained in others are
dropped. All is reckoned on whole thousandths of a millimetre: a part as large as the window fits.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from applique.hoops.grouping.sets import maximal
from applique.hoops.problem import BoxMm, SizeMm, TooLarge

THOUSANDTHS_PER_MM = 1_000


def in_thousandths(lengths_mm: ArrayLike) -> np.ndarray:
    """Lengths in mm as whole thousandths of a millimetre, to which coordinates snap."""
    return np.rint(np.asarray(lengths_mm, dtype=float) * THOUSANDTHS_PER_MM).astype(np.int64)


def window_sets(
    boxes: np.ndarray, windows: Sequence[SizeMm], keep_out: Sequence[BoxMm] = ()
) -> np.ndarray:
    """The largest sets of parts, (m, n) bool, that a window can hold without reaching into a box of
    `keep_out`. `boxes` is an (n, 4) array of mm. Raises TooLarge for parts that no window holds."""
    found = [sets_of_size(boxes, size, keep_out) for size in _largest(windows)]
    sets = np.vstack([*found, np.zeros((0, len(boxes)), dtype=bool)])
    homeless = np.flatnonzero(~sets.any(axis=0))
    if len(homeless):
        raise TooLarge(homeless.tolist())
    return sets[maximal(sets)]


def _largest(windows: Sequence[SizeMm]) -> list[SizeMm]:
    """The sizes that don't fit into another one."""
    sizes = sorted(set(windows), reverse=True)
    return [
        size
        for size in sizes
        if not any(other != size and other[0] >= size[0] and other[1] >= size[1] for other in sizes)
    ]


def sets_of_size(boxes: np.ndarray, size: SizeMm, keep_out: Sequence[BoxMm] = ()) -> np.ndarray:
    """As `window_sets`, for one window; a part that it can't hold is in none of the sets."""
    placed = in_thousandths(boxes).reshape(-1, 4)
    barred = in_thousandths(keep_out).reshape(-1, 4)
    sides = in_thousandths(size)
    lefts, columns = _along_axis(placed, sides, barred, axis=0)
    tops, rows = _along_axis(placed, sides, barred, axis=1)
    if len(barred) == 0:
        columns, rows = columns[maximal(columns)], rows[maximal(rows)]
        free = np.ones((len(columns), len(rows)), dtype=bool)
    else:
        free = ~_reaching_in(lefts, tops, sides, barred)
    at, to = np.nonzero(free)
    sets = columns[at] & rows[to]
    return sets[maximal(sets)] if len(sets) else sets


def _along_axis(
    placed: np.ndarray, size: np.ndarray, barred: np.ndarray, axis: int
) -> tuple[np.ndarray, np.ndarray]:
    """Where the window may begin along an axis, and which parts, (places, n) bool, then lie
    between its two edges."""
    low, high = placed[:, axis], placed[:, axis + 2]
    start = np.unique(np.concatenate([low, barred[:, axis] - size[axis]]))
    return start, (low >= start[:, None]) & (high <= start[:, None] + size[axis])


def _reaching_in(
    lefts: np.ndarray, tops: np.ndarray, size: np.ndarray, barred: np.ndarray
) -> np.ndarray:
    """(left, top): whether the window placed there overlaps a box to be kept out."""
    left, top = lefts[:, None], tops[:, None]
    across = (left < barred[:, 2]) & (left + size[0] > barred[:, 0])
    down = (top < barred[:, 3]) & (top + size[1] > barred[:, 1])
    return (across[:, None, :] & down[None, :, :]).any(axis=2)
