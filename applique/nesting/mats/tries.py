"""Which swatches of which fabric are tried, round after round, and by whom."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from applique.nesting import solver
from applique.nesting.mats.growing import Growing

_FEW = 20
"""So many shapes are laid at every height by the plain packer first: it is quicker with them, and
six fabrics of 6 to 24 shapes took 4 % less area in equal time (measured)."""

_SHORTEST_TRY_S, _LONGEST_TRY_S = 0.3, 1.0
"""How long the solver works on a strip: 40 shapes got 3 % shorter from the shortest to the longest,
12 shapes not at all (measured)."""


@dataclass(frozen=True, eq=False)
class Rest:
    """What of a fabric shares a mat: some shapes of its task, and the swatches found."""

    fabric: str
    indices: tuple[int, ...]
    growing: Growing


@dataclass(frozen=True, eq=False)
class Try:
    """A strip of so many rows of one fabric, to be laid by the solver or the plain packer."""

    rest: Rest
    rows: int
    by_solver: bool

    def run(
        self, most_columns: int, seconds: float, seed: int, may_go_on: Callable[[], bool]
    ) -> None:
        """Add what is found to the fabric's swatches; the plain packer takes what time it needs."""
        growing = self.rest.growing
        if self.by_solver:
            growing.by_solver(self.rows, most_columns, seconds, seed, may_go_on)
        else:
            growing.plainly(self.rows, most_columns)


def rounds_of(rests: Sequence[Rest], most_rows: Sequence[int]) -> list[list[Try]]:
    """Rounds of tries, each of one height of every fabric, for mats of some rows."""
    if not solver.is_there():
        return _in_turn([_tries(rest, most_rows, False) for rest in rests])
    few = [rest for rest in rests if len(rest.indices) <= _FEW]
    many = [rest for rest in rests if len(rest.indices) > _FEW]
    plain = [_tries(rest, most_rows, False) for rest in few]
    again = [_tries(rest, most_rows, True) for rest in few if len(rest.indices) > 1]
    solved = [_tries(rest, most_rows, True) for rest in many]
    return [*_in_turn([*plain, *solved]), *_in_turn(again)]


def run_round(
    tries: Sequence[Try],
    still: int,
    most_columns: int,
    seed: int,
    end: float,
    may_go_on: Callable[[], bool],
) -> None:
    """Run a round's tries while they may go on, so that there is time for `still` more ones of the
    solver until `end`, a moment of the clock, these included."""
    for each in tries:
        if not may_go_on():
            return
        seconds = (end - time.monotonic()) / max(still, 1)
        seconds = min(max(seconds, _SHORTEST_TRY_S), _LONGEST_TRY_S)
        each.run(most_columns, seconds, seed, may_go_on)
        still -= each.by_solver


def by_solver(rounds: Sequence[Sequence[Try]]) -> int:
    """How many tries are the solver's."""
    return sum(each.by_solver for tries in rounds for each in tries)


def _tries(rest: Rest, most_rows: Sequence[int], with_solver: bool) -> Iterator[Try]:
    return (Try(rest, rows, with_solver) for rows in rest.growing.heights(most_rows))


def _in_turn(tries: Sequence[Iterator[Try]]) -> list[list[Try]]:
    """The first try of each, then the second of each, and so on."""
    return [[it for it in row if it is not None] for row in zip_longest(*tries)]
