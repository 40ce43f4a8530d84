"""Needles on machines with several, against every way there is."""

from __future__ import annotations

from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from applique.model import Thread
from applique.runsheets.needles import Threading, threading

RED, BLUE, GREEN, GOLD = (Thread(c) for c in ("#c00000", "#0000c0", "#00c000", "#c0a000"))

orders = st.lists(st.sampled_from((RED, BLUE, GREEN, GOLD)), min_size=1, max_size=9)


def fewest_changes(threads: list[Thread], count: int) -> int:
    """The fewest rethreadings, by trying every needle for every thread that no needle holds."""

    @cache
    def from_here(index: int, held: tuple[Thread | None, ...]) -> int:
        if index == len(threads):
            return 0
        if threads[index] in held:
            return from_here(index + 1, held)
        ways = []
        for place, before in enumerate(held):
            now = (*held[:place], threads[index], *held[place + 1 :])
            ways.append((before is not None) + from_here(index + 1, now))
        return min(ways)

    return from_here(0, (None,) * count)


def replayed(made: Threading, threads: list[Thread]) -> None:
    """Sew the blocks: each finds its thread in its needle."""
    held = list(made.first)
    for index, thread in enumerate(threads):
        assert held[made.needles[index] - 1] == thread
        for change in made.changes:
            if change.after == index:
                assert held[change.needle - 1] == change.out
                held[change.needle - 1] = change.into


@given(orders, st.integers(1, 3), st.sets(st.integers(0, 8)))
def test_no_way_needs_fewer_rethreadings(threads: list[Thread], count: int, stops: set[int]):
    made = threading(threads, count, stops)
    assert len(made.changes) == fewest_changes(threads, count)
    assert len(made.first) == min(count, len(set(threads)))
    replayed(made, threads)


def test_the_thread_given_up_is_the_one_needed_last() -> None:
    """With two needles: red is needed again before blue, so green takes blue's place."""
    made = threading([RED, BLUE, GREEN, RED, BLUE], 2)
    assert [(c.after, c.needle, c.out, c.into) for c in made.changes] == [
        (1, 2, BLUE, GREEN),
        (3, 2, GREEN, BLUE),
    ]


def test_a_needle_is_rethreaded_where_the_machine_stands_anyway() -> None:
    """Red is done after block 0; the machine stands after block 1, so nobody waits for block 2."""
    threads = [RED, BLUE, BLUE, GREEN]
    assert threading(threads, 2, {1}).changes[0].after == 1
    assert threading(threads, 2, set()).changes[0].after == 2


def test_enough_needles_are_never_rethreaded() -> None:
    made = threading([RED, BLUE, RED, GREEN, BLUE], 3)
    assert made.first == (RED, BLUE, GREEN)
    assert made.needles == (1, 2, 1, 3, 2)
    assert made.changes == ()


def test_a_machine_without_needles_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one needle"):
        threading([RED], 0)
