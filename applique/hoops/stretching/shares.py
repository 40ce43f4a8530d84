"""Paths shared out among windows: each stretch of a path to one that holds it.

What is seen of a piece is shared out first, where its joins count least. What lies beneath follows:
it is cut in the middle of the overlaps above it, so that it lies under both of the parts that meet
there, whichever is sewn first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from applique.hoops.stretching.fragments import OVERLAP_MM, Way
from applique.hoops.stretching.joins import SCRAP_MM, Places
from applique.hoops.stretching.windows import held_by

FOLLOWS_WITHIN_MM = 8.0
"""What is sewn this near to an edge lies beneath it: placement lines and tack-downs lie no further
inside than twice the widest satin (our own choice)."""

_ASTRAY_COST = 4.0
"""What every mm beneath counts that doesn't follow the edge above it: more than two and a half of
them and it is cut once more instead."""


@dataclass(frozen=True, eq=False)
class Cuttable:
    """A path that can be cut: how, and what its cuts count. Of its stretches from cut to cut
    `boxes` (k - 1, 4) are what must lie in one window, and `beneath` (k - 1,) tells which lie under
    what is sewn over them later. It is path `place` of step `step`, and the `number`th of all."""

    way: Way
    places: Places
    boxes: np.ndarray
    beneath: np.ndarray
    number: int
    step: int
    place: int


@dataclass(frozen=True, eq=False)
class Shared:
    """A path shared out: for each stretch between two neighbouring cuts the window, (k - 1,), that
    it is sewn in; and what its joins count."""

    path: Cuttable
    window: np.ndarray
    cost: float

    def turns(self) -> np.ndarray:
        """The cuts at which the path goes on in another window, as indices of `way.cuts`."""
        return np.flatnonzero(np.diff(self.window)) + 1


@dataclass(frozen=True, eq=False)
class Above:
    """Places (n,) along what is seen, as points, and the windows (n,) they are sewn in."""

    places: np.ndarray
    windows: np.ndarray


def shared_out(path: Cuttable, windows: np.ndarray) -> Shared:
    """A path shared out among windows (m, 4) so that its joins count least."""
    return _shared(path, np.zeros((len(path.beneath), len(windows))), windows)


def above_of(shared: Sequence[Shared]) -> Above:
    """What is seen of paths that are shared out. The window changes in the middle of overlaps."""
    places, windows = [np.zeros((0, 2))], [np.zeros(0, dtype=int)]
    for part in shared:
        way = part.path.way
        arc = way.arc[way.cuts]
        stretch = np.searchsorted(arc, arc + OVERLAP_MM / 2, side="right") - 1
        stretch = np.minimum(stretch, len(part.window) - 1)
        seen = ~part.path.beneath[stretch]
        places.append(way.spine[way.cuts][seen])
        windows.append(part.window[stretch][seen])
    return Above(shapely.points(np.vstack(places)), np.concatenate(windows))


def following(path: Cuttable, settled: Shared | None, above: Above, windows: np.ndarray) -> Shared:
    """A path that is `settled` as far as it is seen, with what of it lies beneath shared out as
    what is above it, as far as the windows (m, 4) allow."""
    if settled is not None and not path.beneath.any():
        return settled
    wanted = _wanted(path.way, above)
    if settled is not None:
        wanted = np.where(path.beneath, wanted, settled.window)
    lengths = np.diff(path.way.arc[path.way.cuts])
    astray = (wanted[:, None] >= 0) & (wanted[:, None] != np.arange(len(windows)))
    return _shared(path, astray * (_ASTRAY_COST * lengths)[:, None], windows)


def _wanted(way: Way, above: Above) -> np.ndarray:
    """The window of what lies above each stretch of a path, (k - 1,); -1 where nothing does."""
    if len(above.places) == 0:
        return np.full(len(way.cuts) - 1, -1)
    cuts = way.spine[way.cuts]
    middles = shapely.points((cuts[:-1] + cuts[1:]) / 2)
    nearest = shapely.STRtree(above.places).nearest(middles)
    near = shapely.distance(middles, above.places[nearest]) <= FOLLOWS_WITHIN_MM
    return np.where(near, above.windows[nearest], -1)


def _shared(path: Cuttable, costs: np.ndarray, windows: np.ndarray) -> Shared:
    """The cheapest way to share a path out, found step by step along it (Viterbi, 1967). A path
    that ends where it began does so in the window it began in: nothing overlaps there."""
    way = path.way
    held = held_by(path.boxes, windows)
    costs = np.where(held, costs, np.inf)
    count, number = costs.shape
    every = np.arange(number)
    # Of a closed path each window that holds its first stretch is tried as its first and last one.
    begun = np.flatnonzero(held[0]) if way.closed else every[:1]
    best = np.where((begun[:, None] == every) | (not way.closed), costs[0], np.inf)
    came_from = np.empty((count, len(begun), number), dtype=int)
    for k in range(1, count):
        changed = best.min(axis=1, keepdims=True) + path.places.cost[k]
        stays = best <= changed
        came_from[k] = np.where(stays, every, best.argmin(axis=1)[:, None])
        best = np.where(stays, best, changed) + costs[k]
    ends = best[np.arange(len(begun)), begun] if way.closed else best.min(axis=1)
    start = int(ends.argmin())
    window = np.empty(count, dtype=int)
    window[-1] = begun[start] if way.closed else int(best[0].argmin())
    for k in range(count - 1, 0, -1):
        window[k - 1] = came_from[k, start, window[k]]
    return Shared(path, _without_scraps(way, window, held), float(ends.min()))


def _without_scraps(way: Way, window: np.ndarray, held: np.ndarray) -> np.ndarray:
    """Windows (k - 1,) with the stretches of a path that are too short put to a neighbour's, if
    that holds them."""
    arc = way.arc[way.cuts]
    window = window.copy()
    first = 0
    while first < len(window):
        others = np.flatnonzero(window[first:] != window[first])
        after = first + int(others[0]) if len(others) else len(window)
        if arc[after] - arc[first] < SCRAP_MM:
            beside = [window[k] for k in (first - 1, after) if 0 <= k < len(window)]
            fitting = [one for one in beside if held[first:after, one].all()]
            if fitting:
                window[first:after] = fitting[0]
        first = after
    return window
