"""What a few colours need bounds what all need: against constraint programming (ortools' CP-SAT)
on small cases, and cases solved by hand. The blocks of some colours are a common supersequence of
the colours along all chains, so that textbook cases of that problem serve too."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from applique.sequence.colours.apart import apart_of
from applique.sequence.colours.apart_search import order_apart, order_apart_backwards
from applique.sequence.colours.bound import colour_bound
from applique.sequence.colours.fewest import fewest_blocks
from applique.sequence.colours.tasks import Tasks
from tests.benchmarks.sequencing import applique_block

MANY = 99


def only_thread(colours: str, below: list[list[int]]) -> Tasks:
    count = len(colours)
    return Tasks(list(colours), below, [0] * count, [False] * count, 1)


def words(*words: str) -> Tasks:
    """A chain of tasks for each word, a colour for each letter."""
    below: list[list[int]] = []
    for word in words:
        for place in range(len(word)):
            below.append([len(below) - 1] if place else [])
    return only_thread("".join(words), below)


def fewest_by_solver(tasks: Tasks) -> int:
    """The least number of blocks for tasks that wait for no stop, by constraint programming."""
    names = sorted(set(tasks.colours))
    count = len(tasks.colours)
    model = cp_model.CpModel()
    block = [model.new_int_var(0, count - 1, "") for _ in range(count)]
    thread = [[model.new_bool_var("") for _ in names] for _ in range(count)]
    for one in thread:
        model.add_exactly_one(one)
    for task in range(count):
        for lower in tasks.below[task]:
            model.add(block[task] >= block[lower])
        model.add_element(block[task], [one[names.index(tasks.colours[task])] for one in thread], 1)
    last = model.new_int_var(0, count - 1, "")
    model.add_max_equality(last, block)
    model.minimize(last)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return int(solver.value(last)) + 1


@st.composite
def threads(draw: st.DrawFn) -> Tasks:
    count = draw(st.integers(1, 10))
    below = [
        sorted(draw(st.sets(st.integers(0, task - 1), max_size=2))) if task else []
        for task in range(count)
    ]
    return only_thread("".join(draw(st.sampled_from("abcd")) for _ in range(count)), below)


@given(threads())
@settings(max_examples=40)
def test_the_bound_never_exceeds_the_fewest_by_constraint_programming(tasks: Tasks) -> None:
    work = apart_of(tasks)
    fewest = fewest_by_solver(tasks)
    assert colour_bound(work, MANY) <= fewest
    schedule = fewest_blocks(tasks)
    assert (schedule.bound, schedule.count) == (fewest, fewest)


@given(threads())
@settings(max_examples=40)
def test_an_order_is_found_where_there_is_one_either_way(tasks: Tasks) -> None:
    work = apart_of(tasks)
    fewest = fewest_by_solver(tasks)
    for search in (order_apart, order_apart_backwards):
        block = search(work, fewest, 500).block
        assert max(block) + 1 == fewest
        for task, below in enumerate(tasks.below):
            assert all(block[lower] <= block[task] for lower in below)
        assert len(set(zip(block, tasks.colours, strict=True))) == len(set(block))
        assert search(work, fewest - 1, 500).none_exists


@pytest.mark.parametrize(
    ("tasks", "fewest"),
    [
        (words("ab", "ba"), 3),
        # A common supersequence of both is as long as both less their longest common subsequence:
        # bdab or the like in the textbook's example (Cormen et al., Introduction to Algorithms).
        (words("abcbdab", "bdcaba"), 7 + 6 - 4),
        # All orders of three letters: abacaba, or another of 7 letters (OEIS A062714, from memory).
        (words("abc", "acb", "bac", "bca", "cab", "cba"), 7),
        # What lies between two pieces of a colour keeps them apart, whatever its own colour.
        (words("axaxa"), 5),
    ],
)
def test_words_of_colours(tasks: Tasks, fewest: int) -> None:
    assert colour_bound(apart_of(tasks), MANY) == fewest
    assert fewest_blocks(tasks).count == fewest


def test_pairs_of_colours_need_more_than_their_chains() -> None:
    # Each colour alone needs one block, and any two of the six need three.
    letters = "abcdef"
    tasks = words(letters, letters[::-1])
    assert apart_of(tasks).chain.max() == 1
    assert colour_bound(apart_of(tasks), MANY) == 2 * len(letters) - 1


def test_a_stop_keeps_pieces_of_a_colour_apart_and_what_lies_between_them_too() -> None:
    assert not apart_of(words("aa")).apart.any()
    stopped = Tasks(["a", "a"], [[], [0]], [1, 1], [False, False], 1)
    assert apart_of(stopped).apart.tolist() == [[False, False], [True, False]]
    between = apart_of(words("axa")).only(np.array([True, False, True]))
    assert between.apart.tolist() == [[False, False], [True, False]]


def test_the_bound_ends_at_what_is_known_and_after_so_many_searches() -> None:
    work = apart_of(applique_block(0, 60, 6, "edges last"))
    whole = colour_bound(work, MANY)
    chains = colour_bound(work, MANY, searches=0)
    assert chains == work.chain.max(axis=0).sum()
    assert chains < whole
    assert colour_bound(work, whole - 1) == whole - 1


def test_two_hundred_pieces_in_ten_colours_come_near_their_bound() -> None:
    work = apart_of(applique_block(3, 200, 10, "edges last"))
    count = max(order_apart(work, MANY, 200).block) + 1
    assert count <= 1.15 * colour_bound(work, count, searches=400)
