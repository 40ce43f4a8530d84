"""The fewest colour blocks that a stacking order allows, with a lower bound.

A task is the finishing of one piece, in its colour. It may go into a block only so many blocks
after the tasks it lies on: one where a fabric must be laid first (the machine stops for that
between two blocks), two where a patch is laid and then trimmed, none where only the thread counts.

Up to `MOST_TASKS_PROVED` tasks the bound is first raised as far as it goes and an order looked for
that keeps to it: where only the thread counts by `bound.py` and `apart_search.py`, elsewhere
by `proof.py`. The search of `search.py` then chooses among orders as good. For more
tasks it does all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from applique.sequence.colours.apart import apart_of
from applique.sequence.colours.apart_search import (
    EVENLY,
    STEEPLY,
    order_apart,
    order_apart_backwards,
)
from applique.sequence.colours.bound import MOST_SEARCHES, colour_bound
from applique.sequence.colours.proof import by_weight, order_within
from applique.sequence.colours.search import EFFORT, first_bound, first_order
from applique.sequence.colours.tasks import Found, Tasks

_CHOICES = 2_000
"""So many, by the number of tasks, are the sets of ready pieces that a proof tries for a block."""

_NARROWER = 4
"""A proof is first tried with so many times fewer states."""

_BROADER = 20
"""Where the others fail at the bound, one more search keeps so many times their states a layer."""

_BROAD_STATES = 25_000
"""It ends after so many states in all; measured, at 90 tasks it takes 5 s and finds orders that
the others miss."""

_BROAD_EFFORT = 18_000_000_000
"""It ends after so many, by the cube of the number of tasks, if that is less: for 200 tasks it must
not take longer than the others."""

_WIDE = 200_000
"""So many, by the number of tasks, are the states that a search keeps in a layer where only the
thread counts; it takes a second for 200 tasks."""

_SEARCHES = 60_000_000
"""So many, by the square of the number of tasks, are the searches for what a few colours need; no
more than MOST_SEARCHES."""

MOST_TASKS_PROVED = 400
"""More tasks are not proved any further than by the bound of the first state."""


@dataclass(frozen=True)
class Schedule:
    """`block[i]` is the block that finishes task i, counted from 0; `count` blocks in all, of which
    `bound` are certainly needed."""

    block: tuple[int, ...]
    count: int
    bound: int


def fewest_blocks(tasks: Tasks, effort: int = 1) -> Schedule:
    """Schedule the tasks in as few blocks as the search finds. `effort` multiplies how many states
    and choices a proof follows: more proves more and takes longer."""
    if not tasks.colours:
        return Schedule((), 0, 0)
    bound = first_bound(tasks)
    one_by_one = _one_by_one(tasks, bound)
    if len(tasks.colours) > MOST_TASKS_PROVED:
        return _searched(tasks, one_by_one)
    if not any(tasks.lag):
        return _only_thread_counts(tasks, one_by_one, effort)
    while (found := _at_the_bound(tasks, effort, bound)).none_exists:
        bound += 1
    if found.block:
        return _searched(tasks, Schedule(found.block, bound, bound))
    schedule = _searched(tasks, replace(one_by_one, bound=bound))
    # That the bound itself is kept to was tried.
    while schedule.count > bound + 1:
        found = _order_within(tasks, effort, schedule.count - 1)
        if not found.block:
            break
        schedule = Schedule(found.block, max(found.block) + 1, bound)
    return schedule


def _only_thread_counts(tasks: Tasks, one_by_one: Schedule, effort: int) -> Schedule:
    """The schedule of tasks that wait for no stop. Each search looks for a shorter order than the
    best before it; that there is none may be known from the bound, or from a search that was never
    cut down."""
    work = apart_of(tasks)
    width = effort * max(1, _WIDE // len(tasks.colours))
    known = _shorter(one_by_one, order_apart(work, one_by_one.count, width))
    searches = effort * min(MOST_SEARCHES, _SEARCHES // len(tasks.colours) ** 2)
    known = replace(known, bound=colour_bound(work, known.count, searches))
    for search in (order_apart, order_apart_backwards):
        for steepness in (STEEPLY, EVENLY):
            if known.count > known.bound:
                found = search(work, known.count - 1, width, steepness)
                known = _shorter(known, found)
    return _searched(tasks, known)


def _shorter(known: Schedule, found: Found) -> Schedule:
    """What is known after a search for a shorter schedule than the known one."""
    if found.none_exists:
        return replace(known, bound=known.count)
    if not found.block:
        return known
    return Schedule(found.block, max(found.block) + 1, known.bound)


def _at_the_bound(tasks: Tasks, effort: int, bound: int) -> Found:
    """An order in `bound` blocks. Often few states can keep to so few, so that a broad search, cut
    short, is worth its time after others failed."""
    found = _order_within(tasks, effort, bound)
    if found.block or found.none_exists:
        return found
    count = len(tasks.colours)
    states = effort * min(_BROAD_STATES, _BROAD_EFFORT // count**3)
    width, choices = _width(tasks, effort), _choices(tasks, effort)
    return order_within(tasks, bound, _BROADER * width, choices, states, by_weight)


def _order_within(tasks: Tasks, effort: int, most: int) -> Found:
    """An order in at most `most` blocks. A narrow search is quick and sometimes luckier."""
    width, choices = _width(tasks, effort), _choices(tasks, effort)
    found = order_within(tasks, most, width // _NARROWER, choices)
    if found.block or found.none_exists:
        return found
    return order_within(tasks, most, width, choices)


def _width(tasks: Tasks, effort: int) -> int:
    return effort * max(_NARROWER, EFFORT // len(tasks.colours))


def _choices(tasks: Tasks, effort: int) -> int:
    return effort * max(1, _CHOICES // len(tasks.colours))


def _one_by_one(tasks: Tasks, bound: int) -> Schedule:
    """Each task in a block of its own."""
    block = np.arange(len(tasks.lag)) + np.cumsum(tasks.lag)
    return Schedule(tuple(block.tolist()), int(block[-1]) + 1, bound)


def _searched(tasks: Tasks, known: Schedule) -> Schedule:
    """The first order that the search finds, or the known one if it finds none as good."""
    found = first_order(tasks, known.count)
    if not found.block:
        return known
    count = max(found.block) + 1
    return Schedule(found.block, count, count if found.fewest else known.bound)
