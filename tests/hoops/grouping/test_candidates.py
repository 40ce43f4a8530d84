"""Where windows can lie, and what the order leaves of them: against all sets of parts."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.hoops.grouping.bounds import heads, tails
from applique.hoops.grouping.candidates import window_sets
from applique.hoops.grouping.convex import sets_in_order
from applique.hoops.grouping.cover import CAPACITY, weights_over
from applique.hoops.grouping.order import order_of
from applique.hoops.grouping.sets import maximal
from applique.hoops.problem import Problem, TooLarge
from tests.benchmarks.hooping_cases import block

WINDOWS = ((100.0, 100.0), (60.0, 160.0))


def all_sets(problem: Problem) -> list[frozenset[int]]:
    """Every set of parts that one window can hold, from the definition."""
    count = len(problem.boxes)
    return [
        frozenset(some)
        for size in range(1, count + 1)
        for some in itertools.combinations(range(count), size)
        if _fits(problem.boxes[list(some)])
    ]


def _fits(boxes: np.ndarray) -> bool:
    width, height = boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)
    return any(width <= size[0] + 1e-6 and height <= size[1] + 1e-6 for size in WINDOWS)


def as_sets(rows: np.ndarray) -> set[frozenset[int]]:
    return {frozenset(np.flatnonzero(row).tolist()) for row in rows}


def largest_of(sets: list[frozenset[int]]) -> set[frozenset[int]]:
    return {one for one in sets if not any(one < other for other in sets)}


@given(st.integers(0, 10_000), st.integers(1, 9), st.booleans())
@settings(max_examples=40, deadline=None)
def test_the_sets_are_the_largest_that_fit(seed, parts, motifs):
    problem = block(parts, seed, WINDOWS, motifs)
    assert as_sets(window_sets(problem.boxes, WINDOWS)) == largest_of(all_sets(problem))


def test_a_window_may_touch_what_is_kept_out():
    boxes = np.array([(0, 0, 10, 10), (30, 0, 40, 10)], dtype=float)
    touching = window_sets(boxes, ((40.0, 10.0),), keep_out=((40.0, 0.0, 60.0, 10.0),))
    assert as_sets(touching) == {frozenset({0, 1})}
    with pytest.raises(TooLarge):
        window_sets(boxes, ((40.0, 10.0),), keep_out=((39.0, 0.0, 60.0, 10.0),))


def test_a_window_gives_way_to_what_is_kept_out():
    # Pushed right until it touches, not until its left edge is that of the part.
    boxes = np.array([(10, 0, 20, 10)], dtype=float)
    assert len(window_sets(boxes, ((30.0, 10.0),), keep_out=((25.0, 0.0, 60.0, 10.0),))) == 1


@given(st.integers(0, 10_000), st.integers(1, 40), st.integers(1, 12))
def test_maximal_sets_against_python_sets(seed, count, parts):
    rows = np.random.default_rng(seed).random((count, parts)) < 0.5
    kept = rows[maximal(rows)]
    assert len(kept) == len(as_sets(kept))
    assert as_sets(kept) == largest_of(list(as_sets(rows)))


def may_share(some: frozenset[int], order) -> bool:
    """No part outside lies between two of them in the order, and none are apart."""
    return not any(
        order.strictly[lower, upper]
        or any(
            order.reach[lower, part] and order.reach[part, upper]
            for part in set(range(len(order.sequence))) - some
        )
        for lower, upper in itertools.permutations(some, 2)
    )


@given(st.integers(0, 10_000), st.integers(2, 9))
@settings(max_examples=40, deadline=None)
def test_weights_in_order_against_all_sets_that_may_share_a_hooping(seed, parts):
    problem = block(parts, seed, WINDOWS, motifs=True, pinned=True)
    order = order_of(problem)
    sets = sets_in_order(window_sets(problem.boxes, WINDOWS), order)
    shared = [some for some in all_sets(problem) if may_share(some, order)]
    assert all(any(some <= held for held in as_sets(sets)) for some in shared)
    weights = weights_over(sets)
    assert max(int(weights[list(some)].sum()) for some in shared) <= CAPACITY


def test_heads_and_tails_of_a_stack_that_goes_to_and_fro():
    boxes = np.array([(0, 0, 10, 10), (200, 0, 210, 10), (0, 0, 10, 10)], dtype=float)
    problem = Problem(boxes, WINDOWS, [(), (0,), (1,)], [()] * 3, ["red"] * 3)
    order = order_of(problem)
    sets = window_sets(boxes, WINDOWS)
    assert heads(sets, order).tolist() == [0, 1, 2]
    assert tails(sets, order).tolist() == [2, 1, 0]
