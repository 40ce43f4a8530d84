"""Orders of tasks of which some must be apart, by a wide search.

Layered search over the sets of finished tasks, as in `proof.py`, with a layer as one array:
a row for each set, in which the tasks are bits of 64-bit words. Finishing every task of a colour
that can be finished is never worse than leaving one. Left out is a set that can't reach the goal by
its bound, and one of which another in its layer has finished all and more. Bound: a chain of tasks
of a colour, each apart from the last, needs a block for each. Our own.
"""

from __future__ import annotations

import numpy as np

from applique.sequence.colours.apart import Apart
from applique.sequence.colours.tasks import Found

COMPARED = 400
"""Each state is compared with so many of the best of its layer to see whether they dominate it."""

EVENLY = 1
"""The weight that favours finishing tasks however short the chains that begin at them."""

STEEPLY = 2
"""The weight that favours finishing the tasks at which long chains begin; measured, it finds the
shortest orders more often than 1 or 3."""

_WORD = 64
"""Bits of a word."""


def order_apart(work: Apart, most: int, width: int, steepness: int = STEEPLY) -> Found:
    """An order in at most `most` blocks, by a search that keeps `width` states in a layer: those
    whose open tasks weigh least, each by the chains that begin at it to the power `steepness`."""
    search = _Search(work, steepness)
    layers = [search.start()]
    origins: list[np.ndarray] = []
    whole = True
    for number in range(most):
        open_, origin = search.expand(layers[-1])
        done = np.flatnonzero(~open_.any(axis=1))[:1]
        if len(done):
            block = search.blocks([*layers, open_[done]], [*origins, origin[done]])
            return Found(block, none_exists=False)
        soon = search.at_least(open_) <= most - number - 1
        open_, origin = _once(open_[soon], origin[soon])
        if len(open_) == 0:
            break
        ranked = np.argsort(search.weight(open_), kind="stable")
        # Of so many more than are kept some are dominated; the rest need not be compared.
        compared = ranked[: COMPARED + 2 * width]
        kept = compared[_undominated(open_[compared])]
        whole = whole and len(compared) == len(ranked) and len(kept) <= width
        layers.append(open_[kept[:width]])
        origins.append(origin[kept[:width]])
    return Found((), none_exists=whole)


def order_apart_backwards(work: Apart, most: int, width: int, steepness: int = STEEPLY) -> Found:
    """The same from the last block to the first; measured, it is sometimes the luckier way."""
    found = order_apart(work.backwards(), most, width, steepness)
    last = max(found.block, default=0)
    return Found(tuple(last - block for block in reversed(found.block)), found.none_exists)


def _once(open_: np.ndarray, origin: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Each state once, in an order that follows from the states alone."""
    order = np.lexsort(open_.T)
    sorted_ = open_[order]
    new = np.ones(len(order), dtype=bool)
    new[1:] = np.any(sorted_[1:] != sorted_[:-1], axis=1)
    return sorted_[new], origin[order[new]]


def _undominated(open_: np.ndarray) -> np.ndarray:
    """The states, (m,) bool, of which none of the best ahead of them has finished all and more."""
    best = open_[:COMPARED]
    more_open = _meet(~open_, best)
    behind = np.arange(len(open_))[:, None] > np.arange(len(best))[None, :]
    kept: np.ndarray = ~np.any(~more_open & behind, axis=1)
    return kept


def _meet(some: np.ndarray, others: np.ndarray) -> np.ndarray:
    """Which sets have a task in common, (m, k) bool, for (m, words) and (k, words)."""
    meet = np.zeros((len(some), len(others)), dtype=bool)
    for word in range(some.shape[1]):
        meet |= (some[:, word, None] & others[None, :, word]) != 0
    return meet


def _packed(sets: np.ndarray) -> np.ndarray:
    """Sets of tasks, (m, n) bool, as bits of (m, words) uint64."""
    padded = np.zeros((len(sets), -(-sets.shape[1] // _WORD) * _WORD), dtype=bool)
    padded[:, : sets.shape[1]] = sets
    return np.packbits(padded, axis=1).view(np.uint64)


class _Search:
    """What the search asks of its tasks again and again. A state is the set of its open tasks."""

    def __init__(self, work: Apart, steepness: int) -> None:
        self._count, colours = work.chain.shape
        self._holds_up = _packed(work.apart)
        self._of_colour = [np.flatnonzero(work.colour == colour) for colour in range(colours)]
        own = work.chain[np.arange(self._count), work.colour]
        self._deep = _packed(
            np.array(
                [
                    (work.colour == colour) & (own >= depth)
                    for colour in range(colours)
                    for depth in range(1, int(own[work.colour == colour].max()) + 1)
                ]
            )
        )
        self._weights = work.chain.sum(axis=1).astype(np.int64) ** steepness

    def start(self) -> np.ndarray:
        """The layer of the one state in which all is open."""
        return _packed(np.ones((1, self._count), dtype=bool))

    def expand(self, layer: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The states after one more block of any colour, (m, words), and the row that each comes
        from, (m,)."""
        ready = self._unpacked(layer) & ~_meet(layer, self._holds_up)
        open_, origin = [], []
        for of_colour in self._of_colour:
            rows = np.flatnonzero(ready[:, of_colour].any(axis=1))
            finished = np.zeros((len(rows), self._count), dtype=bool)
            finished[:, of_colour] = ready[np.ix_(rows, of_colour)]
            open_.append(layer[rows] & ~_packed(finished))
            origin.append(rows)
        return np.concatenate(open_), np.concatenate(origin)

    def at_least(self, layer: np.ndarray) -> np.ndarray:
        """The blocks that each state certainly still needs, (m,)."""
        needed: np.ndarray = _meet(layer, self._deep).sum(axis=1)
        return needed

    def weight(self, layer: np.ndarray) -> np.ndarray:
        """The weight of each state's open tasks, (m,)."""
        weight: np.ndarray = self._unpacked(layer) @ self._weights
        return weight

    def blocks(self, layers: list[np.ndarray], origins: list[np.ndarray]) -> tuple[int, ...]:
        """The block of each task, on the way to the only state of the last layer."""
        block = np.zeros(self._count, dtype=np.int64)
        row = 0
        for number in range(len(origins) - 1, -1, -1):
            before = int(origins[number][row])
            finished = layers[number][[before]] & ~layers[number + 1][[row]]
            block[self._unpacked(finished)[0]] = number
            row = before
        return tuple(block.tolist())

    def _unpacked(self, layer: np.ndarray) -> np.ndarray:
        """(m, n) bool of (m, words) uint64."""
        return np.unpackbits(layer.view(np.uint8), axis=1, count=self._count).astype(bool)
