"""The fewest colour blocks that a stacking order allows, with a lower bound.

A task is the finishing of one piece, in its colour. It may go into a block only so many blocks
after the tasks it lies on: one where a fabric must be laid first (the machine stops for that
between two blocks), two where a patch is laid and then trimmed, none where only the thread counts.

Method: layered search over the sets of finished tasks. Finishing every available task of the
current colour is never worse than leaving one, so a layer branches over colours only. The states
kept in a layer are those with the least lower bound on what remains. Bound: along any chain of the
order each colour is needed in a certain number of separate blocks; the sum over the colours of the
most blocks that a chain forces can't be beaten. A search that never had to drop a state proves its
own result. Up to `MOST_TASKS_PROVED` tasks `fewest_proof.py` first raises the bound as far as it
can and looks for an order that keeps to it; the search here then chooses among orders as good.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from applique.sequence.fewest_proof import Found, order_within
from applique.sequence.tasks import Tasks, chain_blocks

MOST_STATES = 300
"""States kept in a layer for up to 100 tasks; fewer for more, so that time grows with the number
of tasks and not with its square."""

_EFFORT = 30_000

_CHOICES = 2_000
"""So many, by the number of tasks, are the sets of ready pieces that a proof tries for a block."""

_NARROWER = 4
"""A proof is first tried with so many times fewer states."""

MOST_TASKS_PROVED = 400
"""More tasks are not proved any further than by the bound of the first state."""

MOST_TASKS_SEARCHED = 1_000
"""From so many tasks on only one state is kept: the search becomes a greedy choice."""


@dataclass(frozen=True)
class Schedule:
    """`block[i]` is the block that finishes task i, counted from 0; `count` blocks in all, of which
    `bound` are certainly needed."""

    block: tuple[int, ...]
    count: int
    bound: int


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


def fewest_blocks(tasks: Tasks, effort: int = 1) -> Schedule:
    """Schedule the tasks in as few blocks as the search finds. `effort` multiplies how many states
    and choices a proof follows: more proves more and takes longer."""
    if not tasks.colours:
        return Schedule((), 0, 0)
    problem = _Problem(tasks)
    bound = problem.bound(problem.start())
    one_by_one = _one_by_one(tasks, bound)
    if len(tasks.colours) > MOST_TASKS_PROVED:
        return _searched(problem, one_by_one)
    proof = partial(_order_within, tasks, effort)
    while (found := proof(bound)).none_exists:
        bound += 1
    if found.block:
        return _searched(problem, Schedule(found.block, bound, bound))
    schedule = _searched(problem, replace(one_by_one, bound=bound))
    while schedule.count > bound:
        found = proof(schedule.count - 1)
        if not found.block:
            break
        schedule = Schedule(found.block, max(found.block) + 1, bound)
    return schedule


def _order_within(tasks: Tasks, effort: int, most: int) -> Found:
    """An order in at most `most` blocks. A narrow search is quick and sometimes luckier."""
    width = effort * max(_NARROWER, _EFFORT // len(tasks.colours))
    choices = effort * max(1, _CHOICES // len(tasks.colours))
    found = order_within(tasks, most, width // _NARROWER, choices)
    if found.block or found.none_exists:
        return found
    return order_within(tasks, most, width, choices)


def _one_by_one(tasks: Tasks, bound: int) -> Schedule:
    """Each task in a block of its own."""
    block = np.arange(len(tasks.lag)) + np.cumsum(tasks.lag)
    return Schedule(tuple(block.tolist()), int(block[-1]) + 1, bound)


def _searched(problem: _Problem, known: Schedule) -> Schedule:
    """The first order that the search finds, or the known one if it finds none as good."""
    count = len(known.block)
    width = max(1, min(MOST_STATES, _EFFORT // count - _EFFORT // MOST_TASKS_SEARCHED))
    layer = [problem.start()]
    whole = True
    while layer:
        following: dict[tuple[bytes, bytes, int], _State] = {}
        for state in layer:
            for reached in problem.expand(state):
                following.setdefault(reached.key(), reached)
        done = [state for state in following.values() if state.finished.all()]
        if done:
            proved = whole and not problem.choice_was_limited
            return _schedule(done[0], count, len(done[0].steps) if proved else known.bound)
        bounds = [problem.bound(state) for state in following.values()]
        ranked = sorted(
            (
                (bound, -int(state.finished.sum()), state.steps, state)
                for bound, state in zip(bounds, following.values(), strict=True)
                if bound <= known.count
            ),
            key=lambda ranks: ranks[:3],
        )
        layer = [state for *_, state in ranked[:width]]
        whole = whole and len(ranked) <= width
    return known


def _schedule(state: _State, count: int, bound: int) -> Schedule:
    block = [0] * count
    for number, finished in enumerate(state.steps):
        for task in finished:
            block[task] = number
    return Schedule(tuple(block), len(state.steps), bound)


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
