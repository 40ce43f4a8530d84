"""The rungs of a piece as a chain in which one can be made longer or shorter, or left out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from applique.stitches.ladder import Rungs, joined

_NOWHERE = 1e9


class Chain:
    """Ladders whose rungs are linked to those before and after them.

    `points` (n, 2) are the penetrations; `whole` (n,) how long the rungs were, `length` (n,) how
    long they are now, in mm; `before` and `after` (n,) the indices of the neighbours in sewing
    order, -1 where a ladder begins or ends.
    """

    def __init__(self, ladders: Sequence[Rungs]) -> None:
        self.ladder = joined(ladders)
        self._stops = np.cumsum([len(ladder.base) for ladder in ladders])
        self.points = self.ladder.points
        outer = self.ladder.outer
        self._start = np.where(outer, self.ladder.low, self.ladder.high)
        self._way = np.where(outer, 1.0, -1.0)
        self.whole = self.ladder.high - self.ladder.low
        self.length = self.whole.copy()
        self.kept = np.ones(len(outer), dtype=bool)
        self.before = np.arange(len(outer)) - 1
        self.after = np.arange(len(outer)) + 1
        self.before[np.concatenate([[0], self._stops[:-1]])] = -1
        self.after[self._stops - 1] = -1

    def places(self, k: np.ndarray, length: np.ndarray) -> np.ndarray:
        """Where rungs `k` would end if they had these lengths: (n, 2) mm."""
        height = self._start[k] + self._way[k] * length
        return self.ladder.base[k] + self.ladder.outward[k] * height[:, None]

    def set_length(self, k: int, length: float) -> None:
        """Give a rung another length, in mm."""
        self.length[k] = length
        self.points[k] = self.places(np.array([k]), np.array([length]))[0]

    def leave_out(self, first: int, last: int) -> None:
        """Leave out two neighbours, or one rung if they are the same."""
        self.kept[[first, last]] = False
        self.points[[first, last]] = _NOWHERE
        before, after = self.before[first], self.after[last]
        if before >= 0:
            self.after[before] = after
        if after >= 0:
            self.before[after] = before

    def same_rail_apart(self, k: np.ndarray) -> np.ndarray:
        """How far the neighbours of rungs `k` on the same rail lie apart, (n,) mm."""
        before, after = self._second(self.before, k), self._second(self.after, k)
        across = self.points[after] - self.points[before]
        return np.hypot(across[:, 0], across[:, 1])

    def ladders(self) -> list[Rungs]:
        """What became of the ladders."""
        ladder = self.ladder
        end = self._start + self._way * self.length
        changed = replace(
            ladder,
            low=np.where(ladder.outer, ladder.low, end),
            high=np.where(ladder.outer, end, ladder.high),
            spare=np.maximum(ladder.spare + self.whole - self.length, 0.0),
        )
        starts = [0, *self._stops[:-1].tolist()]
        rows = [np.arange(a, b) for a, b in zip(starts, self._stops.tolist(), strict=True)]
        return [changed.only(row[self.kept[row]]) for row in rows]

    def _second(self, links: np.ndarray, k: np.ndarray) -> np.ndarray:
        """Two links on, or as far as there are any."""
        first = np.where(links[k] < 0, k, links[k])
        return np.where(links[first] < 0, first, links[first])
