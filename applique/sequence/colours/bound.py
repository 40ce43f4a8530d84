"""How many colour blocks are needed at least, from what a few colours at a time need.

In an order of blocks those of some colours are an order for their tasks alone. So the numbers of
blocks of each colour add up, over any set of colours, to what that set needs; the least sum over
all colours that is left is an integer programme with an unknown for each colour. It begins with
single colours, whose needs are their longest chains. Then pairs, threes and so on are searched for
an order in as many blocks as the solution gives them; where there is none, what they do need is
added, and the programme is solved anew (a cutting plane method: Gomory's idea of adding only what
a solution violates, with searches in place of his algebra). Small sets come first, because they are
searched in milliseconds and settle most.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations

import numpy as np

from applique.sequence.colours.apart import Apart
from applique.sequence.colours.apart_search import order_apart

MOST_TOGETHER = 5
"""Colours that are searched together. Fives take ten times as long as fours and raise the bound of
200 pieces in 10 colours by 1 at most, measured."""

MOST_SEARCHES = 1_500
"""So many searches in all; 10 colours take some 400 up to fours."""

WIDTH = 1_000
"""States that a search keeps in a layer. One that would need more proves nothing."""

_MOST_NODES = 1_000
"""Where the integer programme branches more often, the bound that it has by then is taken."""

_ROUNDING = 1e-6
"""What the solver's floating point may be off from a whole number."""

Needs = Mapping[tuple[int, ...], int]


def colour_bound(work: Apart, known: int, searches: int = MOST_SEARCHES) -> int:
    """How many blocks are certainly needed: no more than the `known` number of an order, with
    which the work ends, and after `searches` searches what is proved by then."""
    settling = _Settling(work, searches)
    together = 2
    while settling.bound < known and together <= min(MOST_TOGETHER, work.chain.shape[1]):
        # What is added may undo what was settled for smaller sets.
        together = 2 if settling.settle(together) else together + 1
    return min(settling.bound, known)


class _Settling:
    """The integer programme with what is known of each set of colours: `_needs` the blocks that it
    needs, `_enough` those that are enough, as far as a search could tell."""

    def __init__(self, work: Apart, searches: int) -> None:
        self._work = work
        self._left = searches
        self._colours = work.chain.shape[1]
        self._needs: dict[tuple[int, ...], int] = {
            (colour,): int(work.chain[:, colour].max()) for colour in range(self._colours)
        }
        self._enough: dict[tuple[int, ...], int] = {}
        self.bound, self._share = _least_sum(self._needs, self._colours)

    def settle(self, together: int) -> bool:
        """Search every set of so many colours that may need more than the solution gives it;
        whether one did."""
        raised = False
        for some in combinations(range(self._colours), together):
            given = sum(self._share[colour] for colour in some)
            if self._left > 0 and given < self._enough.get(some, given + 1):
                needed = self._needed(some, given)
                self._enough[some] = needed
                if needed > given:
                    self._needs[some] = needed
                    raised = True
        if raised:
            bound, self._share = _least_sum(self._needs, self._colours)
            self.bound = max(self.bound, bound)
        return raised

    def _needed(self, some: tuple[int, ...], blocks: int) -> int:
        """`blocks`, or as many more as the colours certainly need."""
        work = self._work.only(np.isin(self._work.colour, some))
        while self._left > 0:
            self._left -= 1
            if not order_apart(work, blocks, WIDTH).none_exists:
                break
            blocks += 1
        return blocks


def _least_sum(needs: Needs, colours: int) -> tuple[int, list[int]]:
    """The least number of blocks with which every set of colours has what it needs, and the blocks
    of each colour in a solution."""
    from scipy.optimize import LinearConstraint, milp

    sets = np.zeros((len(needs), colours))
    for row, some in enumerate(needs):
        sets[row, list(some)] = 1
    solved = milp(
        np.ones(colours),
        integrality=np.ones(colours),
        constraints=LinearConstraint(sets, lb=list(needs.values())),
        options={"node_limit": _MOST_NODES},
    )
    if solved.x is None:
        raise ArithmeticError(f"the integer programme was not solved: {solved.message}")
    least = int(np.ceil(solved.mip_dual_bound - _ROUNDING))
    return least, np.rint(solved.x).astype(int).tolist()
