"""Which needle sews which thread on a machine with several, and when one is threaded anew.

With too few needles, the thread given up is the one that is needed again last: then the fewest
needles are threaded anew (Belady, "A study of replacement algorithms for a virtual-storage
computer", IBM Systems Journal 5(2), 1966).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from applique.model import Thread


@dataclass(frozen=True)
class Change:
    """A needle (from 1) that gets another thread after a colour block (an index)."""

    after: int
    needle: int
    out: Thread
    into: Thread


@dataclass(frozen=True)
class Threading:
    """What each needle holds at the start, from needle 1; the needle of every colour block; and
    the changes, in order."""

    first: tuple[Thread, ...]
    needles: tuple[int, ...]
    changes: tuple[Change, ...]


def threading(threads: Sequence[Thread], count: int, stops: Collection[int] = ()) -> Threading:
    """Needles for the colour blocks of some threads, on a machine with `count` of them.

    `stops` are the indices of blocks after which the machine stands still anyway: a needle is
    threaded anew at one of these where it can be. Raises ValueError for fewer than one needle.
    """
    if count < 1:
        raise ValueError("a machine has at least one needle")
    held: list[Thread] = []
    first: list[Thread] = []
    used: list[int] = []
    needles: list[int] = []
    changes: list[Change] = []
    for index, thread in enumerate(threads):
        if thread not in held and len(held) < count:
            held.append(thread)
            first.append(thread)
            used.append(index)
        elif thread not in held:
            place = _least_wanted(held, used, threads[index:])
            after = _when(used[place], index, stops)
            changes.append(Change(after, place + 1, held[place], thread))
            held[place] = thread
        place = held.index(thread)
        used[place] = index
        needles.append(place + 1)
    return Threading(tuple(first), tuple(needles), tuple(sorted(changes, key=_in_order)))


def _in_order(change: Change) -> tuple[int, int]:
    return change.after, change.needle


def _least_wanted(held: Sequence[Thread], used: Sequence[int], to_come: Sequence[Thread]) -> int:
    """The place of the thread that is needed again last, or never; of equals the one that has been
    idle longest, which leaves most stops to choose from."""

    def next_use(place: int) -> int:
        thread = held[place]
        return to_come.index(thread) if thread in to_come else len(to_come)

    return max(range(len(held)), key=lambda place: (next_use(place), -used[place]))


def _when(last_use: int, before: int, stops: Collection[int]) -> int:
    """The block after which a needle last used in one block is threaded anew for another: the
    latest at which the machine stands anyway, else the last one before."""
    standing = [index for index in range(last_use, before) if index in stops]
    return standing[-1] if standing else before - 1
