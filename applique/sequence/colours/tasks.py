"""Finishing pieces as tasks, and what any chain of them forces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Tasks:
    """`colours` by task; `below[i]` the tasks that task i lies on (all of smaller index);
    `lag[i]` how many blocks it must come after them (0, 1 or 2); `loose[i]` whether its piece lies
    loose between the stop at which it is laid and the block after that; `limit` the most loose
    pieces that one stop may lay."""

    colours: Sequence[str]
    below: Sequence[Sequence[int]]
    lag: Sequence[int]
    loose: Sequence[bool]
    limit: int


@dataclass(frozen=True)
class Found:
    """`block[i]` is the block of task i, empty if no order was found; `none_exists` says that
    there is none to be found."""

    block: tuple[int, ...]
    none_exists: bool


def chain_blocks(tasks: Tasks) -> np.ndarray:
    """(task, colour): the most separate blocks of a colour, the colours in alphabetical order, on
    any chain from a task upwards."""
    count = len(tasks.colours)
    names = sorted(set(tasks.colours))
    colour = [names.index(name) for name in tasks.colours]
    above: list[list[int]] = [[] for _ in range(count)]
    for task, below in enumerate(tasks.below):
        for lower in below:
            above[lower].append(task)
    inside = np.zeros((count, len(names)), dtype=np.int32)
    for task in range(count - 1, -1, -1):
        own = colour[task]
        best = np.zeros(len(names), dtype=np.int32)
        following = 0
        for upper in above[task]:
            best = np.maximum(best, inside[upper])
            # The same colour again without a stop needs no new block.
            joined = colour[upper] == own and tasks.lag[upper] == 0
            following = max(following, int(inside[upper][own]) - (1 if joined else 0))
        best[own] = max(int(best[own]), following + 1)
        inside[task] = best
    return inside


def blocks_after(tasks: Tasks) -> np.ndarray:
    """(task,): how many blocks after the one that finishes a task the last one certainly comes,
    because lags add up on a chain from it upwards."""
    count = len(tasks.colours)
    after = np.zeros(count, dtype=np.int32)
    for task in range(count - 1, -1, -1):
        for lower in tasks.below[task]:
            after[lower] = max(after[lower], after[task] + tasks.lag[task])
    return after
