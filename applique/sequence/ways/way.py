"""A way through things to sew, and the exchanges that make it shorter.

Local search with lists of near neighbours and a queue of things worth another look (Bentley, "Fast
algorithms for geometric traveling salesman problems", 1992; from memory). The exchanges: turning a
stretch round (Croes 1958), swapping two neighbouring stretches (a 3-opt move that turns nothing),
moving up to three things elsewhere, turned round (Or 1976; both from memory).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

NEIGHBOURS = 8
"""New ways are tried to so many of the nearest things. Common practice is 5 to 10."""

MOST_MOVED = 3
"""Things that are moved elsewhere together, turned round."""

Changed = tuple[int, ...]
"""The things whose way to the next or from the last has changed; none where nothing was won."""


class Way:
    """`order` holds n things between a beginning, n, and an end, n + 1, which stay in place;
    `place[i]` says where thing i stands in it. `length` is that of the whole way, in the unit of
    `ways`, an (n + 2, n + 2) array of the ways from one to the next, in whole numbers.
    `waits_for[i]` are the things that stay somewhere before thing i."""

    def __init__(
        self, ways: np.ndarray, order: Sequence[int], waits_for: Sequence[Sequence[int]]
    ) -> None:
        count = len(order)
        self.count = count
        self.order = [count, *order, count + 1]
        self.place = [0] * (count + 2)
        self._put(0, list(self.order))
        self.ways: list[list[float]] = ways.tolist()
        self.length = sum(self.ways[a][b] for a, b in pairwise(self.order))
        self._waits_for = waits_for
        self._free = not any(waits_for)
        self._same_back = bool((ways[:count, :count] == ways[:count, :count].T).all())
        others = ways[: count + 1, :count].copy()
        np.fill_diagonal(others, np.inf)
        self._after = _nearest(others)
        self._before = [*_nearest(others[:count].T), [], []]

    def improve(self, things: Iterable[int]) -> None:
        """Make exchanges near the things, and near all that changes, as long as any shortens."""
        queue = [thing for thing in things if thing <= self.count]
        queued = [False] * self.count + [False, True]
        for thing in queue:
            queued[thing] = True
        while queue:
            thing = queue.pop()
            queued[thing] = False
            while changed := self._exchange(thing):
                for other in changed:
                    if not queued[other]:
                        queued[other] = True
                        queue.append(other)

    def may_swap(self, first: int, middle: int, last: int) -> bool:
        """Whether the stretch of places from `first` and that from `middle` to `last`, which
        follows it, may change places: nothing in the second waits for anything in the first."""
        if self._free:
            return True
        place = self.place
        return not any(
            first <= place[lower] < middle
            for thing in self.order[middle : last + 1]
            for lower in self._waits_for[thing]
        )

    def swap(self, first: int, middle: int, last: int, won: float) -> Changed:
        """Let two neighbouring stretches change places, which shortens the way by `won`."""
        order = self.order
        changed = tuple(order[k] for k in (first - 1, first, middle - 1, middle, last, last + 1))
        self._put(first, order[middle : last + 1] + order[first:middle])
        self.length -= won
        return changed

    def won_by_swap(self, first: int, middle: int, last: int) -> float:
        """How much shorter the way becomes by a swap."""
        order, ways = self.order, self.ways
        a, b = order[first - 1], order[first]
        c, d = order[middle - 1], order[middle]
        e, f = order[last], order[last + 1]
        return ways[a][b] + ways[c][d] + ways[e][f] - ways[a][d] - ways[e][b] - ways[c][f]

    def _exchange(self, thing: int) -> Changed:
        """The first exchange found that gives the thing a nearer neighbour and shortens."""
        return (
            self._turn_after(thing)
            or self._swap_after(thing)
            or self._turn_before(thing)
            or self._move_turned(thing)
        )

    def _turn_after(self, thing: int) -> Changed:
        """Turn a stretch round so that a nearer thing follows this one."""
        order, place, from_here = self.order, self.place, self.ways[thing]
        here = place[thing]
        present = from_here[order[here + 1]]
        for near in self._after[thing]:
            if from_here[near] >= present:
                break
            there = place[near]
            first, last = (here + 1, there) if there > here else (there + 1, here)
            if changed := self._turn_if_shorter(first, last):
                return changed
        return ()

    def _turn_before(self, thing: int) -> Changed:
        """Turn a stretch round so that this thing follows a nearer one."""
        order, place, ways = self.order, self.place, self.ways
        here = place[thing]
        present = ways[order[here - 1]][thing]
        for near in self._before[thing]:
            if ways[near][thing] >= present:
                break
            there = place[near]
            first, last = (here, there - 1) if there > here else (there, here - 1)
            if changed := self._turn_if_shorter(first, last):
                return changed
        return ()

    def _turn_if_shorter(self, first: int, last: int) -> Changed:
        order, ways = self.order, self.ways
        a, b, c, d = order[first - 1], order[first], order[last], order[last + 1]
        won = ways[a][b] + ways[c][d] - ways[a][c] - ways[b][d]
        if won <= 0:
            return ()
        won += self._won_inside(first, last)
        if won <= 0 or not self._may_turn(first, last):
            return ()
        self._put(first, order[first : last + 1][::-1])
        self.length -= won
        return a, b, c, d

    def _swap_after(self, thing: int) -> Changed:
        """Swap two stretches so that a nearer thing follows this one."""
        order, place, ways = self.order, self.place, self.ways
        here = place[thing]
        following = order[here + 1]
        from_here = ways[thing]
        present = from_here[following]
        for near in self._after[thing]:
            won = present - from_here[near]
            if won <= 0:
                break
            there = place[near]
            left = order[there - 1]
            won += ways[left][near]
            # The third way to give up leads from a thing that is near to what follows this one.
            for other in self._before[following]:
                if ways[other][following] >= won:
                    break
                cut = place[other]
                if there > here:
                    first, middle, last = here + 1, there, cut
                else:
                    first, middle, last = there, cut + 1, here
                if not first < middle <= last or cut < there:
                    continue
                total = self.won_by_swap(first, middle, last)
                if total > 0 and self.may_swap(first, middle, last):
                    return self.swap(first, middle, last, total)
        return ()

    def _move_turned(self, thing: int) -> Changed:
        """Move up to three things, this one at an end, elsewhere and turned round."""
        here = self.place[thing]
        for many in range(MOST_MOVED):
            first, last = here - many, here + many
            if here >= 1 and last <= self.count and (changed := self._move_before(here, last)):
                return changed
            if first >= 1 and (changed := self._move_after(first, here)):
                return changed
        return ()

    def _move_before(self, first: int, last: int) -> Changed:
        """Move a stretch so that its first thing, after turning, leads to a nearer one."""
        order, ways = self.order, self.ways
        start, end = order[first], order[last]
        freed = self._freed(first, last)
        for near in self._after[start]:
            if ways[start][near] >= freed:
                break
            there = self.place[near]
            if first <= there <= last + 1:
                continue
            left = order[there - 1]
            won = freed - ways[left][end] - ways[start][near] + ways[left][near]
            if won > 0 and (changed := self._move(first, last, there - 1, won)):
                return changed
        return ()

    def _move_after(self, first: int, last: int) -> Changed:
        """Move a stretch so that its last thing, after turning, follows a nearer one."""
        order, ways = self.order, self.ways
        start, end = order[first], order[last]
        freed = self._freed(first, last)
        for near in self._before[end]:
            if ways[near][end] >= freed:
                break
            there = self.place[near]
            if first - 1 <= there <= last:
                continue
            right = order[there + 1]
            won = freed - ways[near][end] - ways[start][right] + ways[near][right]
            if won > 0 and (changed := self._move(first, last, there, won)):
                return changed
        return ()

    def _freed(self, first: int, last: int) -> float:
        """How much shorter the rest becomes without a stretch, and it itself by turning."""
        order, ways = self.order, self.ways
        a, b, c, d = order[first - 1], order[first], order[last], order[last + 1]
        return ways[a][b] + ways[c][d] - ways[a][d] + self._won_inside(first, last)

    def _move(self, first: int, last: int, there: int, won: float) -> Changed:
        """Move a stretch, turned round, to behind place `there`, if nothing forbids it."""
        order = self.order
        later = there > last
        bounds = (first, last + 1, there) if later else (there + 1, first, last)
        if not self._may_turn(first, last) or not self.may_swap(*bounds):
            return ()
        changed = tuple(order[k] for k in (first - 1, first, last, last + 1, there, there + 1))
        turned = order[first : last + 1][::-1]
        if later:
            self._put(first, order[last + 1 : there + 1] + turned)
        else:
            self._put(there + 1, turned + order[there + 1 : first])
        self.length -= won
        return changed

    def _won_inside(self, first: int, last: int) -> float:
        """How much shorter a stretch becomes in itself when it is turned round."""
        if self._same_back:
            return 0.0
        ways, part = self.ways, self.order[first : last + 1]
        return sum(ways[a][b] - ways[b][a] for a, b in pairwise(part))

    def _may_turn(self, first: int, last: int) -> bool:
        """Whether nothing in a stretch waits for anything else in it."""
        if self._free:
            return True
        place = self.place
        return not any(
            place[lower] >= first
            for thing in self.order[first : last + 1]
            for lower in self._waits_for[thing]
        )

    def _put(self, first: int, things: Sequence[int]) -> None:
        self.order[first : first + len(things)] = things
        place = self.place
        for k, thing in enumerate(things, first):
            place[thing] = k


def _nearest(ways: np.ndarray) -> list[list[int]]:
    """For each row of ways the columns of the shortest."""
    found: list[list[int]] = np.argsort(ways, axis=1, kind="stable")[:, :NEIGHBOURS].tolist()
    return found
