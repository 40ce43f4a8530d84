"""The fewest colour blocks by a search that looks only a little way: a first order, quickly.

Layered search over the sets of finished tasks. Finishing every available task of the current colour
is never worse than leaving one, so a layer branches over colours only. The states kept in a layer
are those with the least lower bound on what remains. Bound: along any chain of the order each
colour is needed in a certain number of separate blocks; the sum over the colours of the most blocks
that a chain forces can't be beaten. A search that never had to drop a state proves its own result.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from applique.sequence.colours.tasks import Tasks, blocks_after, chain_blocks

MOST_STATES = 300
"""States kept in a layer for up to 100 tasks; fewer for more, so that time grows with the number
of tasks and not with its square."""

EFFORT = 30_000
"""So many, by the number of tasks, are the states in a layer for more than 100 tasks."""

MOST_TASKS_SEARCHED = 1_000
"""From so many tasks on only one state is kept: the search becomes a greedy choice."""


@dataclass(frozen=True)
class Searched:
    """`block[i]` is the block of task i, empty if no order was found; `fewest` says that no order
    takes fewer blocks."""

    block: tuple[int, ...]
    fewest: bool


@dataclass(frozen=True, eq=False)
class _State:
    """`waiting[i]` counts the unfinished tasks below i, `ready[i]` is the first block it may go
    into once that is 0; `front` marks the unfinished tasks that wait for nothing. `left` counts the
    unfinished loose tasks by lag and colour. `laid` is how many pieces the stop before the last
    block laid for that block."""

    waiting: np.ndarray
    ready: np.ndarray
    front: np.ndarray
    finished: np.ndarray
    left: np.ndarray
    laid: int
    steps: tuple[tuple[int, ...], ...]

    def key(self) -> tuple[bytes, bytes, int]:
        """What the rest of the search depends on: what is finished, how many blocks each other
        task has still to wait for what it lies on, and how many more patches may have been laid."""
        wait = np.maximum(self.ready - len(self.steps), 0)
        return self.finished.tobytes(), np.where(self.finished, 0, wait).tobytes(), self.laid


def first_order(tasks: Tasks, most: int) -> Searched:
    """The first order in at most `most` blocks that the search finds."""
    problem = _Problem(tasks)
    count = len(tasks.colours)
    width = max(1, min(MOST_STATES, EFFORT // count - EFFORT // MOST_TASKS_SEARCHED))
    layer = [problem.start()]
    whole = True
    while layer:
        following: dict[tuple[bytes, bytes, int], _State] = {}
        for state in layer:
            for reached in problem.expand(state):
                following.setdefault(reached.key(), reached)
        done = [state for state in following.values() if state.finished.all()]
        if done:
            return Searched(_blocks(done[0]), whole and not problem.choice_was_limited)
        bounds = [problem.bound(state) for state in following.values()]
        ranked = sorted(
            (
                (bound, -int(state.finished.sum()), state.steps, state)
                for bound, state in zip(bounds, following.values(), strict=True)
                if bound <= most
            ),
            key=lambda ranks: ranks[:3],
        )
        layer = [state for *_, state in ranked[:width]]
        whole = whole and len(ranked) <= width
    return Searched((), fewest=False)


def first_bound(tasks: Tasks) -> int:
    """Blocks that are certainly needed, by the chains, the lags and what a stop may lay."""
    problem = _Problem(tasks)
    own_lag = np.array(tasks.lag)
    return max(problem.bound(problem.start()), 1 + int((own_lag + blocks_after(tasks)).max()))


def _blocks(state: _State) -> tuple[int, ...]:
    block = [0] * len(state.finished)
    for number, finished in enumerate(state.steps):
        for task in finished:
            block[task] = number
    return tuple(block)


class _Problem:
    """The tasks with what the search asks of them again and again."""

    def __init__(self, tasks: Tasks) -> None:
        self._tasks = tasks
        self._count = len(tasks.colours)
        names = sorted(set(tasks.colours))
        self._colour = np.array([names.index(colour) for colour in tasks.colours])
        self._colours = len(names)
        self._above: list[list[int]] = [[] for _ in range(self._count)]
        for task, below in enumerate(tasks.below):
            for lower in below:
                self._above[lower].append(task)
        self._lag = np.array(tasks.lag, dtype=np.int32)
        self._loose = np.array(tasks.loose, dtype=bool) & (self._lag > 0)
        self._patches = bool((self._loose & (self._lag == 2)).any())
        self.choice_was_limited = False
        self._chain = chain_blocks(tasks)
        self._tail = self._chain.sum(axis=1)

    def start(self) -> _State:
        waiting = np.array([len(below) for below in self._tasks.below], dtype=np.int32)
        left = np.zeros((3, self._colours), dtype=np.int32)
        np.add.at(left, (self._lag[self._loose], self._colour[self._loose]), 1)
        return _State(
            waiting=waiting,
            ready=self._lag.copy(),
            front=waiting == 0,
            finished=np.zeros(self._count, dtype=bool),
            left=left,
            laid=0,
            steps=(),
        )

    def bound(self, state: _State) -> int:
        """Blocks that are certainly needed in all, those already made included."""
        made = len(state.steps)
        front = np.flatnonzero(state.front)
        if len(front) == 0:
            return made
        by_chain = self._chain[front].max(axis=0)
        by_limit = (-(-state.left // self._tasks.limit)).max(axis=0)
        earliest = max(0, int(state.ready[front].min()) - made)
        return made + earliest + int(np.maximum(by_chain, by_limit).sum())

    def expand(self, state: _State) -> list[_State]:
        """The states after one more block, one for each colour that can be sewn in it."""
        available = state.front & (state.ready <= len(state.steps))
        colours = np.unique(self._colour[available])
        if len(colours) == 0:
            return [replace(state, laid=0, steps=(*state.steps, ()))]
        limit = self._tasks.limit
        reached = [self._block(state, int(colour), limit) for colour in colours]
        if state.left[1].any() and state.left[2].any():
            # Pieces that are laid later leave room for patches to be laid with those before.
            patches = int((state.front & self._loose & (self._lag == 2)).sum())
            fewer = max(limit - patches, 0)
            reached += [self._block(state, int(colour), fewer) for colour in colours]
        return reached

    def _block(self, state: _State, colour: int, most: int) -> _State:
        """Finish all that is available in one colour, as far as loose pieces are allowed; of those
        laid at the stop just before no more than `most`."""
        number = len(state.steps)
        after = _State(
            state.waiting.copy(),
            state.ready.copy(),
            state.front.copy(),
            state.finished.copy(),
            state.left.copy(),
            0,
            (),
        )
        done: list[int] = []
        # Pieces are laid at the stop before this block; patches at the one before that, which also
        # laid what the block before this one finished.
        room = {1: most, 2: self._tasks.limit - state.laid}
        while True:
            chosen = self._chosen(after, colour, number, room)
            if not chosen:
                break
            for lag in room:
                room[lag] -= self._count_loose(chosen, lag)
            self._finish(after, chosen, number)
            done.extend(chosen)
        laid = self._count_loose(done, 1) if self._patches else 0
        return replace(after, laid=laid, steps=(*state.steps, tuple(sorted(done))))

    def _count_loose(self, tasks: Sequence[int], lag: int) -> int:
        return int((self._loose[list(tasks)] & (self._lag[list(tasks)] == lag)).sum())

    def _chosen(
        self, state: _State, colour: int, number: int, room: Mapping[int, int]
    ) -> list[int]:
        """What can be finished now in a colour; of loose pieces those with most to follow."""
        open_to = state.front & (self._colour == colour) & (state.ready <= number)
        candidates = np.flatnonzero(open_to)
        chosen = candidates[~self._loose[candidates]].tolist()
        for lag, places in room.items():
            loose = candidates[self._loose[candidates] & (self._lag[candidates] == lag)]
            if len(loose) > places:
                self.choice_was_limited = True
                loose = loose[np.argsort(-self._tail[loose], kind="stable")[:places]]
            chosen.extend(loose.tolist())
        return sorted(chosen)

    def _finish(self, state: _State, chosen: list[int], number: int) -> None:
        for task in chosen:
            state.front[task] = False
            state.finished[task] = True
            state.left[self._lag[task], self._colour[task]] -= self._loose[task]
            for upper in self._above[task]:
                state.waiting[upper] -= 1
                state.ready[upper] = max(state.ready[upper], number + self._tasks.lag[upper])
                state.front[upper] = state.waiting[upper] == 0
