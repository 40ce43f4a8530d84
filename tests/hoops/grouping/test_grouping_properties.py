"""What holds of every plan: it is there from the start, told of, the same twice, and of the same
length however the block lies."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.hoops.grouping.group import group
from applique.hoops.problem import Effort, Problem, Progress, Width
from tests.benchmarks.hooping_cases import block, windows_of
from tests.hoops.grouping.grouping_checks import is_valid

BOARD = block(40, 2, windows_of(((130, 180),), True), motifs=True, pinned=True)


def test_stopped_at_once_there_is_a_plan():
    grouping = group(BOARD, lambda progress: False)
    assert is_valid(BOARD, grouping)
    assert not grouping.finished


def test_stopped_anywhere_the_plan_is_the_best_that_was_told_of():
    for last in (2, 5, 9):
        told: list[Progress] = []

        def go_on(progress: Progress, last=last, told=told) -> bool:
            told.append(progress)
            return len(told) < last

        grouping = group(BOARD, go_on)
        assert is_valid(BOARD, grouping)
        assert len(told) == last
        assert (grouping.count, grouping.bound) == (told[-1].found, told[-1].bound)


def test_what_is_told_never_gets_worse():
    told: list[Progress] = []

    def go_on(progress: Progress) -> bool:
        told.append(progress)
        return True

    grouping = group(BOARD, go_on)
    assert grouping.finished
    found, bounds = [each.found for each in told], [each.bound for each in told]
    assert found == sorted(found, reverse=True)
    assert bounds == sorted(bounds)
    assert max(bounds) <= grouping.count


def test_the_same_answer_twice():
    first, second = group(BOARD), group(BOARD)
    assert first.hooping == second.hooping
    assert first.certificate == second.certificate


def test_little_effort_still_gives_a_plan_and_a_true_bound():
    hasty = group(BOARD, effort=Effort((Width(1, 1),), 10_000, 0))
    assert is_valid(BOARD, hasty)
    assert hasty.bound <= group(BOARD).count <= hasty.count


def mirrored(problem: Problem) -> Problem:
    boxes = np.column_stack(
        [-problem.boxes[:, 2], problem.boxes[:, 1], -problem.boxes[:, 0], problem.boxes[:, 3]]
    )
    return replace(problem, boxes=boxes)


def shifted(problem: Problem) -> Problem:
    return replace(problem, boxes=problem.boxes + np.array([12.345, -67.89] * 2))


def permuted(problem: Problem) -> Problem:
    new = np.random.default_rng(5).permutation(len(problem.boxes))
    old = np.argsort(new)

    def renamed(lowers):
        return [tuple(int(new[lower]) for lower in lowers[part]) for part in old]

    return replace(
        problem,
        boxes=problem.boxes[old],
        below=renamed(problem.below),
        apart=renamed(problem.apart),
        colours=[problem.colours[part] for part in old],
        fixed={int(new[part]): number for part, number in problem.fixed.items()},
    )


def upside_down(problem: Problem) -> Problem:
    """What lies on top first; a plan for it, read backwards, is one for the block itself."""

    def turned(lowers):
        above = [[] for _ in lowers]
        for part, below in enumerate(lowers):
            for lower in below:
                above[lower].append(part)
        return above

    return replace(problem, below=turned(problem.below), apart=turned(problem.apart))


@given(st.integers(0, 10_000), st.integers(1, 40), st.booleans(), st.booleans())
@settings(max_examples=8, deadline=None)
def test_the_way_the_block_lies_makes_no_difference(seed, parts, motifs, pinned):
    problem = block(parts, seed, ((130, 180), (100, 200)), motifs, pinned)
    grouping = group(problem)
    assert is_valid(problem, grouping)
    if grouping.count == grouping.bound:
        for other in (mirrored(problem), shifted(problem), permuted(problem)):
            again = group(other)
            assert is_valid(other, again)
            assert again.bound <= grouping.count <= again.count


@given(st.integers(0, 10_000), st.integers(20, 60), st.booleans())
@settings(max_examples=6, deadline=None)
def test_from_the_top_downwards_it_takes_as_many(seed, parts, motifs):
    problem = block(parts, seed, ((160, 260), (260, 160)), motifs)
    there, back = group(problem), group(upside_down(problem))
    assert back.bound <= there.count
    assert there.bound <= back.count
