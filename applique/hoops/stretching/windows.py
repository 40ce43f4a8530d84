"""Windows laid over the stitches of a piece: as few as can be found that hold all of them.

A search from one side: what lies furthest out there must be in some window, which may then be
pushed in until it begins with it. The best few beginnings are carried on, window by window, from
each of the four sides in turn.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from applique.hoops.problem import SizeMm

_CARRIED_ON = 40
"""So many beginnings are carried on; more find no fewer windows on the shapes measured."""

_PLACES_TRIED = 14
"""So many places of a window are tried along the side that the search starts from."""

_STEPS = 9
"""A window is moved about in so many steps each way within the room it has."""

_ROUNDS = 3
"""Each window is moved so many times, because moving one makes room for others."""

_MIRRORED = ((0, 1, 2, 3), (2, 1, 0, 3), (1, 0, 3, 2), (3, 0, 1, 2))
"""Which side of a box takes the place of left, top, right and bottom, from each side in turn."""


@dataclass(frozen=True, eq=False)
class _Cover:
    """Windows (m, 4) chosen so far, and which boxes (n,) they hold."""

    windows: tuple[tuple[float, float, float, float], ...]
    held: np.ndarray

    @property
    def rank(self) -> tuple[int, tuple[tuple[float, float, float, float], ...]]:
        """Those that hold most come first."""
        return (-int(self.held.sum()), self.windows)


def held_by(boxes: np.ndarray, windows: np.ndarray) -> np.ndarray:
    """Whether each of the boxes (n, 4) lies within each of the windows (m, 4): (n, m)."""
    across = (boxes[:, :1] >= windows[:, 0]) & (boxes[:, 2:3] <= windows[:, 2])
    down = (boxes[:, 1:2] >= windows[:, 1]) & (boxes[:, 3:] <= windows[:, 3])
    return np.asarray(across & down)


def covers_of(boxes: np.ndarray, sizes: Sequence[SizeMm]) -> list[np.ndarray]:
    """Sets of windows, (m, 4) each, that hold all boxes (n, 4), every box in at least one; all sets
    have the same number of windows, the fewest found. Each box must fit one of the sizes, in mm."""
    found = [_from_one_side(boxes, sizes, order) for order in _MIRRORED]
    found += _grids(boxes, sizes)
    fewest = min(len(windows) for windows in found)
    return [windows for windows in found if len(windows) == fewest]


def spread(
    windows: np.ndarray, boxes: np.ndarray, weights: np.ndarray, sizes: Sequence[SizeMm]
) -> np.ndarray:
    """Windows (m, 4) moved, and perhaps changed for others of the sizes, so that they hold the most
    weight together, each still holding what no other one does; one that is not needed is dropped.
    What more than one window holds is where they may meet."""
    windows = windows.copy()
    held = held_by(boxes, windows)
    for k in list(range(len(windows))) * _ROUNDS:
        alone = held[:, k] & (held.sum(axis=1) == 1)
        if alone.any():
            windows[k] = _best_place(boxes[alone], boxes, weights, sizes)
            held[:, k] = held_by(boxes, windows[k : k + 1])[:, 0]
        else:
            held[:, k] = False
    return windows[held.any(axis=0)]


def _best_place(
    own: np.ndarray, boxes: np.ndarray, weights: np.ndarray, sizes: Sequence[SizeMm]
) -> np.ndarray:
    """The window (4,) round the boxes `own` (k, 4) that holds the most weight; of equals the one
    nearest to the middle of the room it has."""
    left, top = own[:, :2].min(axis=0)
    right, bottom = own[:, 2:].max(axis=0)
    best, most = np.zeros(4), -math.inf
    for width, height in sizes:
        if right - left > width or bottom - top > height:
            continue
        lefts = np.linspace(right - width, left, _STEPS)
        tops = np.linspace(bottom - height, top, _STEPS)
        across = (boxes[:, 0] >= lefts[:, None]) & (boxes[:, 2] <= lefts[:, None] + width)
        down = (boxes[:, 1] >= tops[:, None]) & (boxes[:, 3] <= tops[:, None] + height)
        scores = (across * weights) @ down.T.astype(float)
        off = np.abs(np.linspace(-1.0, 1.0, _STEPS))
        scores = scores - 1e-6 * (off[:, None] + off)
        i, j = np.unravel_index(int(np.argmax(scores)), scores.shape)
        if scores[i, j] > most:
            most = scores[i, j]
            # At the end of its room rounding must not let go of what it holds alone.
            x, y = min(lefts[i], left), min(tops[j], top)
            best = np.array([x, y, max(x + width, right), max(y + height, bottom)])
    return best


def _from_one_side(
    boxes: np.ndarray, sizes: Sequence[SizeMm], order: tuple[int, int, int, int]
) -> np.ndarray:
    """The fewest windows (m, 4) found from the side that `order` puts in the place of the left."""
    sign = np.array([-1.0 if order[0] in (2, 3) else 1.0, 1.0] * 2)
    turned = boxes[:, order] * sign
    if order[0] in (1, 3):
        sizes = [(height, width) for width, height in sizes]
    windows = np.array(_fewest_from_left(turned, sizes).windows)
    return (windows * sign)[:, np.argsort(order)]


def _fewest_from_left(boxes: np.ndarray, sizes: Sequence[SizeMm]) -> _Cover:
    """The fewest windows that hold everything, found by a search from the left."""
    states = [_Cover((), np.zeros(len(boxes), dtype=bool))]
    while True:
        found: dict[bytes, _Cover] = {}
        for state in states:
            for after in _carried_on(state, boxes, sizes):
                found.setdefault(np.packbits(after.held).tobytes(), after)
        states = sorted(found.values(), key=lambda cover: cover.rank)[:_CARRIED_ON]
        if states[0].held.all():
            return states[0]


def _carried_on(state: _Cover, boxes: np.ndarray, sizes: Sequence[SizeMm]) -> list[_Cover]:
    """A set with one more window, which holds the leftmost of the boxes that no window holds."""
    free = np.flatnonzero(~state.held)
    first = boxes[free[int(np.argmin(boxes[free, 0]))]]
    left, result = float(first[0]), []
    for width, height in sizes:
        if first[2] - left > width or first[3] - first[1] > height:
            continue
        tops = boxes[free, 1]
        reached = (
            (tops >= first[3] - height) & (tops <= first[1]) & (boxes[free, 2] <= left + width)
        )
        places = np.unique(np.append(tops[reached], first[1]))
        if len(places) > _PLACES_TRIED:
            places = places[np.linspace(0, len(places) - 1, _PLACES_TRIED).astype(int)]
        across = (boxes[:, 0] >= left) & (boxes[:, 2] <= left + width)
        down = (boxes[:, 1] >= places[:, None]) & (boxes[:, 3] <= places[:, None] + height)
        for top, held in zip(places.tolist(), state.held | (across & down), strict=True):
            window = (left, top, left + width, top + height)
            result.append(_Cover((*state.windows, window), held))
    return result


def _grids(boxes: np.ndarray, sizes: Sequence[SizeMm]) -> list[np.ndarray]:
    """For each size a grid of its windows, evenly spaced over all boxes, without those that aren't
    needed; none for a grid between whose windows a box falls."""
    left, top = boxes[:, :2].min(axis=0)
    right, bottom = boxes[:, 2:].max(axis=0)
    grids = []
    for width, height in sizes:
        lefts, tops = _spaced(left, right, width), _spaced(top, bottom, height)
        x, y = (axis.ravel() for axis in np.meshgrid(lefts, tops))
        windows = np.stack([x, y, x + width, y + height], axis=1)
        held = held_by(boxes, windows)
        if held.any(axis=1).all():
            grids.append(windows[held.any(axis=0)])
    return grids


def _spaced(start: float, stop: float, length: float) -> np.ndarray:
    """Where windows begin that lie evenly from `start` to `stop`, as few as reach."""
    count = max(1, math.ceil((stop - start) / length))
    if count == 1:
        return np.array([(start + stop - length) / 2])
    return np.linspace(start, stop - length, count)
