"""The steps of the search: from the parts done to the parts done after one more hooping.

A window takes every part that it can hold and whose turn it is; taking fewer never helps, because a
part done earlier keeps nothing else from being done. So a state is the set of parts done, and a
step the choice of a window.
"""

from __future__ import annotations

import numpy as np

from applique.hoops.grouping.order import Order


class States:
    """States as rows of an (s, n) bool array: which parts are done."""

    def __init__(self, sets: np.ndarray, order: Order) -> None:
        self._order = order
        self._windows = len(sets)
        self._holds = np.packbits(sets.T, axis=1)

    def taken(self, done: np.ndarray, number: int) -> np.ndarray:
        """What each window takes in hooping `number`, from 0: (n, s, bytes), a bit for each window,
        for each state in `done`. Parts that aren't done although they may not wait any longer
        empty the window."""
        count, parts = done.shape
        taken = np.zeros((parts, count, self._holds.shape[1]), dtype=np.uint8)
        before = np.where(done.T[:, :, None], np.uint8(255), np.uint8(0))
        reached = np.broadcast_to(before, taken.shape).copy()
        order = self._order
        for part in order.sequence:
            if order.earliest[part] > number or done[:, part].all():
                continue
            mine = taken[part]
            np.bitwise_and(self._holds[part], ~before[part], out=mine)
            for lower in order.below[part]:
                np.bitwise_and(mine, reached[lower], out=mine)
            for lower in order.apart[part]:
                np.bitwise_and(mine, before[lower], out=mine)
            np.bitwise_or(reached[part], mine, out=reached[part])
        for due in np.flatnonzero(order.latest <= number):
            np.bitwise_and(taken, reached[due], out=taken)
        return taken

    def weighed(self, taken: np.ndarray, weights: np.ndarray) -> np.ndarray:
        """What each window takes, by the `weights` of the parts in each state, (s, n):
        (s, windows)."""
        sums = np.zeros((taken.shape[1], self._windows))
        for part in np.flatnonzero(taken.any(axis=(1, 2))):
            bits = np.unpackbits(taken[part], axis=1, count=self._windows)
            sums += bits * weights[:, part, None]
        return sums

    def chosen(self, taken: np.ndarray, state: np.ndarray, window: np.ndarray) -> np.ndarray:
        """The parts, (k, n) bool, that `window[i]` takes after `state[i]`."""
        byte = taken[:, state, window >> 3]
        return ((byte >> (7 - (window & 7)).astype(np.uint8)) & 1).astype(bool).T
