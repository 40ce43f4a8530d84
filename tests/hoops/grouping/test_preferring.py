"""Of equally short plans the one with fewer colour blocks, then with less stabiliser: by hand, and
reckoned anew for whole blocks."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.hoops.grouping.blocks import LOOSE_AT_ONCE, fewest_of, quick_count
from applique.hoops.grouping.group import USUAL, group
from applique.hoops.problem import Grouping, Problem
from tests.benchmarks.hooping_cases import block

UNTIDY = replace(USUAL, changes=0)


def problem_of(boxes, windows, colours, below=None) -> Problem:
    nothing = [()] * len(boxes)
    return Problem(np.array(boxes, dtype=float), windows, below or nothing, nothing, colours)


def cost(problem: Problem, grouping: Grouping) -> tuple[int, float]:
    """Colour blocks, and mm² of stabiliser with an inch more than the window on each side."""
    blocks, area = 0, 0.0
    for number in range(grouping.count):
        parts = [part for part, own in enumerate(grouping.hooping) if own == number]
        place = {part: index for index, part in enumerate(parts)}
        below = [[place[k] for k in problem.below[part] if k in place] for part in parts]
        blocks += fewest_of([problem.colours[part] for part in parts], below)
        boxes = problem.boxes[parts]
        size = boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)
        area += min(
            (width + 25.4) * (height + 25.4)
            for width, height in problem.windows
            if size[0] <= width + 1e-6 and size[1] <= height + 1e-6
        )
    return blocks, area


def test_a_part_goes_where_its_thread_is_used_anyway():
    # The blue one in the middle fits with either neighbour; on the right there is blue thread.
    boxes = [(0, 0, 20, 20), (40, 0, 60, 20), (80, 0, 100, 20)]
    grouping = group(problem_of(boxes, ((60, 20),), ["red", "blue", "blue"]))
    assert grouping.count == 2
    assert grouping.hooping[1] == grouping.hooping[2] != grouping.hooping[0]


def test_not_if_the_order_forbids_it():
    # The middle lies below the left one, which goes first of all.
    boxes = [(40, 0, 60, 20), (0, 0, 20, 20), (80, 0, 100, 20)]
    problem = problem_of(boxes, ((60, 20),), ["blue", "red", "blue"], [(), (0,), (1,)])
    assert group(problem).hooping == (0, 0, 1)


def test_then_less_stabiliser():
    # Two windows of 90 mm would do, but one part is alone if the others go together.
    boxes = [(0, 0, 20, 20), (40, 0, 60, 20), (65, 0, 85, 20), (110, 0, 130, 20)]
    grouping = group(problem_of(boxes, ((90, 20), (20, 20)), ["red"] * 4))
    alone = [grouping.hooping.count(number) for number in range(2)]
    assert grouping.count == 2
    assert sorted(alone) == [1, 3]


def test_whole_blocks_get_fewer_colour_blocks():
    before = after = 0
    for seed in range(4):
        problem = block(30, seed, ((100, 100), (130, 180)), motifs=bool(seed % 2), pinned=True)
        untidy, tidy = group(problem, effort=UNTIDY), group(problem)
        assert tidy.count == untidy.count
        assert cost(problem, tidy) <= cost(problem, untidy)
        before += cost(problem, untidy)[0]
        after += cost(problem, tidy)[0]
    assert after < before


def test_with_as_many_blocks_as_parts_whole_blocks_take_less_stabiliser():
    windows = ((60, 60), (100, 100), (130, 130), (130, 180))
    before = after = 0.0
    for seed in range(7):
        drawn = block(16, seed, windows, motifs=bool(seed % 2))
        # A thread of its own for every part: so many blocks, whatever the plan.
        threads = [f"thread {part}" for part in range(16)]
        problem = problem_of(drawn.boxes, windows, threads, drawn.below)
        untidy, tidy = group(problem, effort=UNTIDY), group(problem)
        assert cost(problem, tidy) <= cost(problem, untidy)
        before += cost(problem, untidy)[1]
        after += cost(problem, tidy)[1]
    assert after < before


@given(st.lists(st.sampled_from("rgb"), min_size=1, max_size=9), st.integers(0, 1_000))
@settings(max_examples=30, deadline=None)
def test_the_quick_count_is_never_below_the_fewest(colours, seed):
    random = np.random.default_rng(seed)
    below = [np.flatnonzero(random.random(k) < 0.3).tolist() for k in range(len(colours))]
    assert len(set(colours)) <= quick_count(colours, below)
    assert fewest_of(colours, below) <= quick_count(colours, below)


def test_so_many_loose_pieces_of_one_colour_share_a_block():
    for parts, blocks in ((LOOSE_AT_ONCE, 1), (LOOSE_AT_ONCE + 1, 2)):
        assert quick_count(["red"] * parts, [()] * parts) == blocks
        assert fewest_of(["red"] * parts, [()] * parts) == blocks
