"""Sets of tasks as whole numbers, a bit for each, and the choices among ready ones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import combinations, islice


def set_of(tasks: Iterable[int]) -> int:
    """The set of some task indices."""
    return sum(1 << task for task in set(tasks))


def members(tasks: int) -> Iterator[int]:
    """The task indices in a set, the least first."""
    while tasks:
        lowest = tasks & -tasks
        yield lowest.bit_length() - 1
        tasks ^= lowest


class Choices:
    """Sets of tasks that no exchange of two tasks makes better. One task stands for another of the
    same colour and lag if all that lies on the other lies on it: `above[i]` is that set for task i.
    Those with the longest `tail`, the blocks that a chain from them upwards needs, come first.
    No more than `most` sets are tried; `cut` says whether there ever were more."""

    def __init__(self, above: Sequence[int], tail: Sequence[int], most: int) -> None:
        self.cut = False
        self._most = most
        self._above = above
        self._urgency = [(-tail[k], -lying.bit_count(), k) for k, lying in enumerate(above)]
        self._found: dict[tuple[int, int], list[int]] = {}

    def of(self, tasks: int, many: int) -> list[int]:
        """The sets of so many of some tasks; all of them if there are no more."""
        if many >= tasks.bit_count():
            return [tasks]
        key = tasks, many
        if key not in self._found:
            sets = list(islice(self._sets(tasks, many), self._most + 1))
            self.cut |= len(sets) > self._most
            self._found[key] = sets[: self._most]
        return self._found[key]

    def _sets(self, tasks: int, many: int) -> Iterator[int]:
        ranked = sorted(members(tasks), key=self._urgency.__getitem__)
        better = {
            task: set_of(other for other in ranked if self._stands_for(other, task))
            for task in ranked
        }
        for some in combinations(ranked, many):
            chosen = set_of(some)
            if not any(better[task] & ~chosen for task in some):
                yield chosen

    def _stands_for(self, one: int, other: int) -> bool:
        if self._above[one] == self._above[other]:
            return one < other
        return not self._above[other] & ~self._above[one]
