"""The fewest hoopings: against CP-SAT (OR-Tools), an independent solver that places the windows
itself, and by hand."""

import numpy as np
import pytest

from applique.hoops.grouping.group import group
from applique.hoops.problem import ImpossibleOrder, Problem, TooLarge
from tests.hoops.grouping.grouping_checks import fits, is_valid, optimum, problem_of

SIDE = 100


def small(seed: int, parts: int, keep_out: bool = False) -> Problem:
    """Some parts in whole mm on a block of 100 mm, in an order of random pairs."""
    random = np.random.default_rng(seed)
    sides = random.integers(5, 36, (parts, 2))
    low = random.integers(0, SIDE - sides)
    pairs = np.triu(random.random((parts, parts)) < 0.25, 1)
    strict = pairs & (random.random((parts, parts)) < 0.15)
    windows = [((40, 40),), ((40, 60), (60, 40)), ((36, 36), (36, 80))][seed % 3]
    fixed = {int(random.integers(parts)): int(random.integers(3))} if seed % 4 == 3 else {}
    return problem_of(
        np.hstack([low, low + sides]),
        windows,
        [tuple(np.flatnonzero(column).tolist()) for column in pairs.T],
        [tuple(np.flatnonzero(column).tolist()) for column in strict.T],
        fixed=fixed,
        keep_out=((40.0, 40.0, 50.0, 47.0),) if keep_out else (),
    )


@pytest.mark.parametrize("seed", range(24))
def test_as_few_hoopings_as_an_independent_solver_finds(seed):
    problem = small(seed, 6 + seed % 4, keep_out=seed % 2 == 1)
    best = None if too_large(problem) else optimum(problem)
    try:
        grouping = group(problem)
    except (ImpossibleOrder, TooLarge):
        assert best is None
    else:
        assert is_valid(problem, grouping)
        assert grouping.count == grouping.bound == best


def too_large(problem: Problem) -> bool:
    return not all(fits(box[None], problem) for box in problem.boxes)


ROW = [(0, 0, 30, 10), (100, 0, 130, 10), (0, 20, 30, 30)]
"""Two parts on the left, one far to the right of them."""


def test_parts_that_fit_together_share_a_hooping():
    assert group(problem_of(ROW, ((50, 50),))).hooping in [(0, 1, 0), (1, 0, 1)]


def test_a_part_between_two_others_in_the_order_can_part_them():
    # First left, then right on top of it, then left again: no window holds all three.
    assert group(problem_of(ROW, ((50, 50),), below=[(), (0,), (1,)])).hooping == (0, 1, 2)


def test_apart_means_an_earlier_hooping():
    grouping = group(problem_of(ROW, ((200, 50),), apart=[(), (), (0,)]))
    assert grouping.hooping[0] < grouping.hooping[2]
    assert grouping.count == grouping.bound == 2


def test_a_part_exactly_as_large_as_the_windowfits():
    # 0.1 + 0.2 is more than 0.3 in floating point.
    box = (0.1 + 0.2, 0.0, 100.3, 50.0)
    assert group(problem_of([box], ((100.0, 50.0),))).count == 1


def test_a_thousandth_more_does_not_fit():
    with pytest.raises(TooLarge) as caught:
        group(problem_of([(0, 0, 10, 10), (0, 0, 100.001, 50)], ((100, 50),)))
    assert caught.value.parts == (1,)


def test_a_part_that_what_is_kept_out_hems_in_fits_no_window():
    beside = ((35.0, -100.0, 36.0, 100.0), (-20.0, -100.0, -2.0, 100.0))
    with pytest.raises(TooLarge) as caught:
        group(problem_of(ROW, ((50, 50),), keep_out=beside))
    assert caught.value.parts == (0, 2)


def test_a_hooping_stays_empty_where_a_part_has_to_wait():
    grouping = group(problem_of(ROW[:1], ((50, 50),), fixed={0: 2}))
    assert (grouping.hooping, grouping.count, grouping.bound) == ((2,), 3, 3)


@pytest.mark.parametrize(
    ("below", "apart"),
    [
        ([(1,), (0,), ()], None),
        ([(), (0,), ()], [(1,), (), ()]),
        ([(0,), (), ()], None),
    ],
)
def test_an_order_in_a_circle_is_refused(below, apart):
    with pytest.raises(ImpossibleOrder) as caught:
        group(problem_of(ROW, ((50, 50),), below, apart))
    assert 0 in caught.value.parts
    assert 2 not in caught.value.parts


@pytest.mark.parametrize(
    "fixed",
    [
        {0: 1, 1: 0},  # against the order
        {0: 0, 1: 0},  # in no window together
        {0: -1},  # before the first
    ],
)
def test_fixed_hoopings_that_cannot_be_are_refused(fixed):
    with pytest.raises(ImpossibleOrder) as caught:
        group(problem_of(ROW, ((50, 50),), below=[(), (0,), ()], fixed=fixed))
    assert set(caught.value.parts) & {0, 1}


def test_no_parts_need_no_hooping():
    grouping = group(problem_of([], ((50, 50),)))
    assert (grouping.hooping, grouping.count, grouping.bound) == ((), 0, 0)
