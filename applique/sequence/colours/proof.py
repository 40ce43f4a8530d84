"""Whether some order of finishing tasks takes no more than so many colour blocks.

Layered search over the sets of finished tasks, one layer a block. Exact as long as no layer and no
list of choices had to be cut down: where more pieces are ready than one stop may lay, every choice
is followed that no exchange of two pieces makes better. Left out is a state that can't reach the
goal by its bound, and one that another state of its layer dominates: it has finished all of that
and more, so that whatever completes the one completes the other.

Bound, by colour: tasks from which a chain upwards needs k separate blocks of the colour are all
finished k - 1 blocks of the colour before its last. Those of them that lie loose come at most
`limit` in a block. All loose pieces are laid at stops, at most `limit` at each, whatever their
colours. And the lags on a chain add up. Method and bounds are our own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from applique.sequence.colours.task_sets import Choices, members, set_of
from applique.sequence.colours.tasks import Found, Tasks, blocks_after, chain_blocks

COMPARED = 150
"""Each state is compared with so many of the best of its layer to see whether they dominate it;
with more the layers would become little smaller."""


@dataclass(frozen=True)
class _State:
    """Sets of tasks are whole numbers, a bit for each. `recent` are those finished in the last
    block, if patches are to come; `laid` is then how many pieces the stop before that block laid
    for it. `left` says how many blocks are certainly still to come, `by_colour` how many of each
    colour; `weight` is that of the open tasks, of which those with long chains upwards weigh most.
    `last` is the state one block earlier."""

    finished: int
    recent: int
    laid: int
    by_colour: tuple[int, ...]
    left: int
    weight: int
    last: _State | None


Rank = Callable[[_State], tuple[int, ...]]


def by_bound(state: _State) -> tuple[int, ...]:
    """Keep the states with the fewest blocks to come, of these the ones with least weight."""
    return state.left, sum(state.by_colour), state.weight


def by_weight(state: _State) -> tuple[int, ...]:
    """Keep the states whose open tasks weigh least; measured, better where layers are wide."""
    return (state.weight,)


def order_within(
    tasks: Tasks,
    most: int,
    width: int,
    choices: int,
    states: int | None = None,
    rank: Rank = by_bound,
) -> Found:
    """An order in at most `most` blocks, by a search that keeps the first `width` states of a layer
    by `rank` and tries `choices` sets of ready pieces for a block of a colour. It gives up after
    `states` states in all."""
    problem = _Problem(tasks, choices)
    layer = [problem.start()]
    whole = True
    followed = 0
    for number in range(most):
        followed += len(layer)
        if states is not None and followed > states:
            return Found((), none_exists=False)
        following: dict[tuple[int, int, int], _State] = {}
        for state in layer:
            for reached in problem.expand(state, number, most - number - 1):
                if reached.finished == problem.all:
                    return Found(_blocks(reached, number, len(tasks.colours)), none_exists=False)
                following.setdefault((reached.finished, reached.recent, reached.laid), reached)
        ranked = sorted(following.values(), key=rank)
        layer = _undominated(ranked, width + 1)
        whole = whole and len(layer) <= width and not problem.cut
        layer = layer[:width]
    return Found((), none_exists=whole)


def _undominated(ranked: Sequence[_State], most: int) -> list[_State]:
    kept: list[_State] = []
    for state in ranked:
        if not any(_dominates(other, state) for other in kept[:COMPARED]):
            kept.append(state)
            if len(kept) == most:
                break
    return kept


def _dominates(one: _State, other: _State) -> bool:
    """Whether whatever completes the other completes this one too."""
    return (
        other.finished & ~one.finished == 0
        and one.laid <= other.laid
        and one.recent & other.finished & ~other.recent == 0
    )


def _blocks(state: _State, number: int, count: int) -> tuple[int, ...]:
    block = [0] * count
    while state.last is not None:
        for task in members(state.finished & ~state.last.finished):
            block[task] = number
        state, number = state.last, number - 1
    return tuple(block)


class _Problem:
    """The tasks with what the search asks of them again and again."""

    def __init__(self, tasks: Tasks, most_choices: int) -> None:
        count = len(tasks.colours)
        self.all = (1 << count) - 1
        self._limit = tasks.limit
        self._below = [set_of(below) for below in tasks.below]
        above = [0] * count
        for task, below in enumerate(tasks.below):
            for lower in below:
                above[lower] |= 1 << task
        loose = [tasks.loose[k] and tasks.lag[k] > 0 for k in range(count)]
        names = sorted(set(tasks.colours))
        self._colours = [
            set_of([k for k in range(count) if tasks.colours[k] == name]) for name in names
        ]
        self._lag = [set_of([k for k in range(count) if tasks.lag[k] == lag]) for lag in (0, 1, 2)]
        self._loose = set_of([k for k in range(count) if loose[k]])
        self._patches = self._loose & self._lag[2]
        self._chains = []
        chain = chain_blocks(tasks)
        for colour, of_colour in enumerate(self._colours):
            depths = range(1, int(chain[:, colour].max()) + 1)
            deep = [set_of([k for k in range(count) if chain[k, colour] >= d]) for d in depths]
            self._chains.append(
                [
                    (some, *(some & of_colour & self._loose & self._lag[lag] for lag in (1, 2)))
                    for some in deep
                ]
            )
        after = blocks_after(tasks)
        # By how many blocks are still to come: the tasks that more must follow, because of lags.
        most = range(int(after.max()) + 1)
        self._long_before_last = [set_of(np.flatnonzero(after >= k).tolist()) for k in most]
        longest = np.maximum(chain.sum(axis=1), after + 1)
        # The square finds orders more often than the length itself, measured.
        self._weights = (longest.astype(int) ** 2).tolist()
        self._choose = Choices(above, longest.tolist(), most_choices)

    @property
    def cut(self) -> bool:
        """Whether not all choices were followed."""
        return self._choose.cut

    def start(self) -> _State:
        by_colour = tuple(self._by_colour(k, self.all) for k in range(len(self._colours)))
        return _State(0, 0, 0, by_colour, sum(by_colour), sum(self._weights), None)

    def _by_colour(self, colour: int, open_: int) -> int:
        """Blocks of a colour that are certainly still to come."""
        most = 0
        for depth, (some, pieces, patches) in enumerate(self._chains[colour]):
            if not some & open_:
                break
            loose = max((pieces & open_).bit_count(), (patches & open_).bit_count())
            most = max(most, depth + max(1, -(-loose // self._limit)))
        return most

    def _by_stops(self, open_: int, laid: int) -> int:
        """Blocks that are certainly still to come for the loose pieces, which as many stops lay,
        but for patches already laid at the stop before those."""
        patches = (open_ & self._patches).bit_count()
        loose = (open_ & self._loose).bit_count() - min(patches, self._limit - laid)
        return -(-loose // self._limit)

    def expand(self, state: _State, number: int, more: int) -> Iterator[_State]:
        """The states after block `number` from which `more` blocks may be enough."""
        idle = True
        for colour, of_colour in enumerate(self._colours):
            open_ = of_colour & ~state.finished
            ready = self._ready(open_, state, number)
            if not ready and not self._joined(open_, state.finished):
                continue
            idle = False
            for chosen in self._choices(ready, state):
                finished = state.finished | chosen
                finished |= self._joined(open_ & ~finished, finished)
                yield from self._after(state, colour, finished, number, more)
        if idle:
            yield from self._after(state, 0, state.finished, number, more)

    def _after(
        self, state: _State, colour: int, finished: int, number: int, more: int
    ) -> Iterator[_State]:
        """The state after finishing some tasks in a colour, unless it comes too late."""
        open_ = self.all & ~finished
        recent = laid = 0
        if self._lag[2] & open_:
            recent = finished & ~state.finished
        if self._patches & open_:
            # No stop comes before block 0.
            laid = (recent & self._loose & self._lag[1]).bit_count() if number else self._limit
        own = self._by_colour(colour, open_)
        left = max(
            sum(state.by_colour) + own - state.by_colour[colour],
            self._by_stops(open_, laid),
        )
        while left < len(self._long_before_last) and self._long_before_last[left] & open_:
            left += 1
        if left <= more:
            by_colour = (*state.by_colour[:colour], own, *state.by_colour[colour + 1 :])
            done = members(finished & ~state.finished)
            weight = state.weight - sum(self._weights[task] for task in done)
            yield _State(finished, recent, laid, by_colour, left, weight, state)

    def _ready(self, open_: int, state: _State, number: int) -> int:
        """Those of some tasks that a stop may now have been made for."""
        ready = 0
        for lag, finished in ((1, state.finished), (2, state.finished & ~state.recent)):
            if number >= lag:
                for task in members(open_ & self._lag[lag]):
                    if not self._below[task] & ~finished:
                        ready |= 1 << task
        return ready

    def _joined(self, open_: int, finished: int) -> int:
        """Those of some tasks of one colour, all without a stop, that can be finished now, each
        perhaps after others of them."""
        joined = 0
        # A task lies on tasks of smaller index only.
        for task in members(open_ & self._lag[0]):
            if not self._below[task] & ~(finished | joined):
                joined |= 1 << task
        return joined

    def _choices(self, ready: int, state: _State) -> Iterator[int]:
        """The sets of ready tasks that one block may finish."""
        firm = ready & ~self._loose
        pieces, patches = ready & self._loose & self._lag[1], ready & self._patches
        # Pieces that are laid later leave room for patches of the next block, laid with them.
        fewest = self._limit - self._most_patches(state.finished)
        room = self._limit - state.laid
        for many in range(min(self._limit, pieces.bit_count()), -1, -1):
            if many < fewest and many < pieces.bit_count():
                break
            for some in self._choose.of(pieces, many):
                for other in self._choose.of(patches, min(room, patches.bit_count())):
                    yield firm | some | other

    def _most_patches(self, finished: int) -> int:
        """The most patches of one colour that the next block might finish."""
        if not self._patches & ~finished:
            return 0
        ready = 0
        for task in members(self._patches & ~finished):
            if not self._below[task] & ~finished:
                ready |= 1 << task
        return max((ready & of_colour).bit_count() for of_colour in self._colours)
