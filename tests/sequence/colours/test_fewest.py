"""The fewest colour blocks, against exhaustive search on small cases (our own, from the
definition), constraint programming (ortools' CP-SAT) on larger ones and cases solved by hand."""

import itertools
from random import Random

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from applique.sequence.colours.fewest import fewest_blocks
from applique.sequence.colours.proof import by_weight, order_within
from applique.sequence.colours.search import first_bound
from applique.sequence.colours.tasks import Tasks
from tests.benchmarks.sequencing import applique_block


def is_valid(tasks: Tasks, block: tuple[int, ...]) -> bool:
    colours: dict[int, str] = {}
    loose: dict[int, int] = {}
    for task, number in enumerate(block):
        if colours.setdefault(number, tasks.colours[task]) != tasks.colours[task]:
            return False
        if number < tasks.lag[task]:
            return False
        if any(number < block[lower] + tasks.lag[task] for lower in tasks.below[task]):
            return False
        if tasks.loose[task] and tasks.lag[task]:
            # Laid at the stop before its block, or, a patch, at the one before that.
            stop = number - tasks.lag[task]
            loose[stop] = loose.get(stop, 0) + 1
    return max(loose.values(), default=0) <= tasks.limit


def optimum(tasks: Tasks) -> int:
    """The least number of blocks over all assignments."""
    count = len(tasks.colours)
    for blocks in range(1, 3 * count + 3):
        for block in itertools.product(range(blocks), repeat=count):
            if is_valid(tasks, block):
                return blocks
    raise AssertionError("no schedule")


@st.composite
def small_tasks(draw: st.DrawFn) -> Tasks:
    count = draw(st.integers(1, 5))
    below = [[lower for lower in range(task) if draw(st.booleans())] for task in range(count)]
    return Tasks(
        draw(st.lists(st.sampled_from("ab"), min_size=count, max_size=count)),
        below,
        draw(st.lists(st.integers(0, 2), min_size=count, max_size=count)),
        draw(st.lists(st.booleans(), min_size=count, max_size=count)),
        draw(st.integers(1, 3)),
    )


@given(small_tasks())
@example(Tasks(["b", "a", "a"], [[], [], [1]], [0, 0, 2], [True] * 3, 1))
@settings(max_examples=60)
def test_small_cases_agree_with_exhaustive_search(tasks: Tasks) -> None:
    schedule = fewest_blocks(tasks)
    assert is_valid(tasks, schedule.block)
    best = optimum(tasks)
    assert schedule.bound <= best <= schedule.count
    assert schedule.count == best


@pytest.mark.parametrize(
    ("colours", "below", "lag", "limit", "count"),
    [
        ("aaaa", [[], [], [], []], 1, 4, 2),
        ("aaaaa", [[], [], [], [], []], 1, 4, 3),
        ("aaaa", [[], [0], [1], [2]], 1, 4, 5),
        ("abab", [[], [], [], []], 1, 4, 3),
        ("abab", [[], [0], [1], [2]], 1, 4, 5),
        ("abab", [[], [0], [1], [2]], 0, 9, 4),
        ("aab", [[], [0], []], 0, 9, 2),
        ("aa", [[], [0]], 2, 4, 5),
        ("aa", [[], []], 2, 4, 3),
        ("aaaaa", [[], [], [], [], []], 2, 4, 4),
    ],
)
def test_cases_solved_by_hand(
    colours: str, below: list[list[int]], lag: int, limit: int, count: int
) -> None:
    schedule = fewest_blocks(
        Tasks(list(colours), below, [lag] * len(colours), [True] * len(colours), limit)
    )
    assert (schedule.bound, schedule.count) == (count, count)


def test_nothing_takes_no_block() -> None:
    assert fewest_blocks(Tasks([], [], [], [], 4)).count == 0


@given(st.integers(30, 90), st.integers(2, 5), st.randoms(use_true_random=False))
@settings(max_examples=3)
def test_larger_cases_are_valid_and_respect_their_bound(
    count: int, colours: int, random: Random
) -> None:
    below = [
        sorted({random.randrange(task) for _ in range(random.randrange(3))}) if task else []
        for task in range(count)
    ]
    names = [str(random.randrange(colours)) for _ in range(count)]
    tasks = Tasks(names, below, [1] * count, [True] * count, 4)
    schedule = fewest_blocks(tasks)
    assert is_valid(tasks, schedule.block)
    assert schedule.bound <= schedule.count
    assert fewest_blocks(tasks) == schedule


# Proofs


def can_be_done(tasks: Tasks, blocks: int) -> bool:
    """Whether so many blocks are enough, by constraint programming."""
    model = cp_model.CpModel()
    names = sorted(set(tasks.colours))
    count = len(tasks.colours)
    inside = [[model.new_bool_var("") for _ in range(blocks)] for _ in range(count)]
    thread = [[model.new_bool_var("") for _ in names] for _ in range(blocks)]
    for one in [*inside, *thread]:
        model.add_exactly_one(one)
    number = [sum(k * inside[task][k] for k in range(blocks)) for task in range(count)]
    for task in range(count):
        model.add(number[task] >= tasks.lag[task])
        for lower in tasks.below[task]:
            model.add(number[task] >= number[lower] + tasks.lag[task])
        for k in range(blocks):
            model.add_implication(inside[task][k], thread[k][names.index(tasks.colours[task])])
    for stop in range(blocks):
        laid = [
            inside[task][stop + tasks.lag[task]]
            for task in range(count)
            if tasks.loose[task] and tasks.lag[task] and stop + tasks.lag[task] < blocks
        ]
        model.add(sum(laid) <= tasks.limit)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    found = solver.solve(model)
    assert found in (cp_model.OPTIMAL, cp_model.FEASIBLE, cp_model.INFEASIBLE)
    return found != cp_model.INFEASIBLE


@pytest.mark.parametrize("how", ["cut first", "edges last", "mixed"])
@pytest.mark.parametrize("count", [12, 18])
def test_proofs_agree_with_constraint_programming(count: int, how: str) -> None:
    tasks = applique_block(count, count, 3, how)
    schedule = fewest_blocks(tasks)
    assert is_valid(tasks, schedule.block)
    assert schedule.count == schedule.bound
    assert can_be_done(tasks, schedule.count)
    assert not can_be_done(tasks, schedule.count - 1)


@given(small_tasks())
@settings(max_examples=40)
def test_an_order_is_found_where_there_is_one_and_only_there(tasks: Tasks) -> None:
    fewest = fewest_blocks(tasks).count
    found = order_within(tasks, fewest, 500, 100)
    assert is_valid(tasks, found.block) and max(found.block) + 1 == fewest
    assert order_within(tasks, fewest - 1, 500, 100).none_exists
    assert order_within(tasks, fewest - 1, 500, 100, rank=by_weight).none_exists


@pytest.mark.parametrize("how", ["cut first", "edges last", "mixed"])
def test_thirty_pieces_are_proven(how: str) -> None:
    tasks = applique_block(1, 30, 4, how)
    schedule = fewest_blocks(tasks)
    assert is_valid(tasks, schedule.block)
    assert schedule.count == schedule.bound


def test_a_search_that_was_cut_down_proves_nothing() -> None:
    tasks = applique_block(0, 30, 8, "mixed")
    least = fewest_blocks(tasks).count
    assert not order_within(tasks, least - 1, 1, 100).none_exists
    assert not order_within(tasks, least - 1, 1_000, 100, states=50).none_exists
    assert order_within(tasks, least - 1, 1_000, 100).none_exists


def test_lags_on_a_chain_add_up() -> None:
    # The first of four patches is finished in block 2 at the earliest, the last in block 8.
    patches = Tasks(list("abcd"), [[], [0], [1], [2]], [2] * 4, [True] * 4, 4)
    assert first_bound(patches) == 9
    assert can_be_done(patches, 9)
    assert not can_be_done(patches, 8)


def test_more_effort_is_never_worse() -> None:
    tasks = applique_block(2, 40, 4, "cut first")
    assert fewest_blocks(tasks, 2).count <= fewest_blocks(tasks).count
