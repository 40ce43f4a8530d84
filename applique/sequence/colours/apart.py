"""Which tasks can't share a block, whatever comes between them.

One task is apart from another below it if another colour or a stop comes between them. An order of
blocks keeps to that if a block finishes a task only when all that it is apart from was finished in
earlier blocks. Where no task waits for a stop this is the whole problem. The same holds for any
choice of the tasks, for instance those of some colours: what comes between two of them still keeps
them apart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from applique.sequence.colours.tasks import Tasks, chain_blocks


@dataclass(frozen=True, eq=False)
class Apart:
    """`colour` is the number of each task's colour, (n,); `apart[i, j]` whether task i must come in
    a later block than task j, (n, n) bool; `chain[i, c]` the most separate blocks of colour c on a
    chain from task i upwards, (n, colours)."""

    colour: np.ndarray
    apart: np.ndarray
    chain: np.ndarray

    def only(self, chosen: np.ndarray) -> Apart:
        """The same for some of the tasks, (n,) bool."""
        colours = np.unique(self.colour[chosen])
        return Apart(
            np.searchsorted(colours, self.colour[chosen]),
            self.apart[np.ix_(chosen, chosen)],
            self.chain[np.ix_(chosen, colours)],
        )

    def backwards(self) -> Apart:
        """The same tasks from the last to the first: an order of these, read from its end, is one
        of those."""
        apart = self.apart[::-1, ::-1].T
        colour = self.colour[::-1]
        chain = np.zeros_like(self.chain)
        for task in range(len(colour) - 1, -1, -1):
            above = chain[apart[:, task]]
            if len(above):
                chain[task] = above.max(axis=0)
            own = colour[task]
            same = apart[:, task] & (colour == own)
            chain[task, own] = max(chain[task, own], 1 + chain[same, own].max(initial=0))
        return Apart(colour, apart, chain)


def apart_of(tasks: Tasks) -> Apart:
    """Which tasks are apart, through any others."""
    count = len(tasks.colours)
    names = sorted(set(tasks.colours))
    colour = np.array([names.index(name) for name in tasks.colours], dtype=np.int64)
    under = np.zeros((count, count), dtype=bool)
    apart = np.zeros((count, count), dtype=bool)
    for task, below in enumerate(tasks.below):
        for lower in below:
            under[task] |= under[lower]
            under[task, lower] = True
            # What a task is apart from stays so for all that lies on it.
            apart[task] |= under[lower] if tasks.lag[task] else apart[lower]
            apart[task, lower] |= tasks.lag[task] > 0
        apart[task] |= under[task] & (colour != colour[task])
    return Apart(colour, apart, chain_blocks(tasks))
