"""Certificates: the check against the definition and by hand, and that it finds bad ones."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.hoops.grouping.candidates import window_sets
from applique.hoops.grouping.certificate import faults_in
from applique.hoops.grouping.cover import certificate_of, weights_over
from applique.hoops.grouping.group import group
from applique.hoops.problem import Certificate, Problem
from tests.benchmarks.hooping_cases import FIELDS_MM, block, windows_of


def certificate_for(boxes: np.ndarray, windows) -> Certificate:
    sets = window_sets(boxes, windows)
    return certificate_of(sets, weights_over(sets))


FAR = np.array([(0, 0, 10, 10), (100, 0, 110, 10), (0, 100, 10, 110)], dtype=float)
"""Three parts of which no window of 50 mm holds two."""


def test_parts_far_from_each_other_need_a_hooping_each():
    certificate = Certificate((1, 1, 1), 1)
    assert faults_in(certificate, FAR, ((50, 50),)) == []
    assert certificate.bound == 3


def test_a_larger_window_makes_the_same_weights_wrong():
    faults = faults_in(Certificate((1, 1, 1), 1), FAR, ((50, 50), (110, 10)))
    assert faults == ["a window of 110 x 10 mm holds parts that weigh 2, more than 1"]


def test_a_window_one_thousandth_too_small_holds_one_part_less():
    certificate = Certificate((1, 1, 1), 1)
    assert faults_in(certificate, FAR, ((109.999, 10),)) == []
    assert len(faults_in(certificate, FAR, ((110.0, 10),))) == 1


@pytest.mark.parametrize(
    "certificate",
    [
        Certificate((1, 1), 1),
        Certificate((1, 1, 1), 0),
        Certificate((2, 1, -1), 2),
        Certificate((2**62, 1, 1), 2**63),
    ],
)
def test_what_is_no_certificate_at_all_is_told(certificate):
    assert len(faults_in(certificate, FAR, ((50, 50),))) == 1


def test_five_parts_in_a_ring_need_three_hoopings():
    # By hand: a window holds two neighbours, never three parts, so 5/2 hoopings at least. In the
    # other way of counting no three of the five are all far from each other.
    middles = [(0, 40), (38, 12), (24, -32), (-24, -32), (-38, 12)]
    boxes = np.array([(x, y, x + 1, y + 1) for x, y in middles], dtype=float)
    windows = ((49, 45),)
    certificate = certificate_for(boxes, windows)
    assert certificate == Certificate((1, 1, 1, 1, 1), 2)
    assert faults_in(certificate, boxes, windows) == []
    assert certificate.bound == 3


@given(st.integers(0, 10_000), st.integers(1, 60), st.sampled_from(FIELDS_MM), st.booleans())
@settings(max_examples=12, deadline=None)
def test_every_certificate_holds_and_none_is_above_the_count(seed, parts, field, motifs):
    windows = windows_of((field,), turning=bool(seed % 2))
    problem = block(parts, seed, windows, motifs, pinned=True)
    certificate = certificate_for(problem.boxes, windows)
    assert faults_in(certificate, problem.boxes, windows) == []
    made = group(problem)
    order = problem.below, problem.apart
    assert faults_in(made.certificate, problem.boxes, windows, *order) == []
    assert 1 <= certificate.bound <= made.certificate.bound <= made.bound <= made.count


@given(st.integers(0, 10_000), st.integers(2, 30))
@settings(max_examples=25, deadline=None)
def test_any_weight_more_is_found(seed, parts):
    windows = ((130.0, 180.0),)
    problem = block(parts, seed, windows, motifs=True)
    certificate = certificate_for(problem.boxes, windows)
    part = seed % parts
    weights = list(certificate.weights)
    weights[part] += certificate.capacity + 1 - weights[part]
    assert faults_in(replace(certificate, weights=tuple(weights)), problem.boxes, windows)


@given(st.integers(0, 10_000), st.integers(1, 9))
@settings(max_examples=30, deadline=None)
def test_the_check_against_all_sets_of_parts(seed, parts):
    problem = block(parts, seed, ((100, 100), (60, 150)), motifs=True)
    weights = np.random.default_rng(seed).integers(0, 9, parts)
    heaviest = max(
        int(weights[list(some)].sum())
        for size in range(1, parts + 1)
        for some in itertools.combinations(range(parts), size)
        if _fits(problem.boxes[list(some)], problem.windows)
    )
    right = Certificate(tuple(weights.tolist()), max(heaviest, 1))
    assert faults_in(right, problem.boxes, problem.windows) == []
    if heaviest > 1:
        wrong = replace(right, capacity=heaviest - 1)
        assert faults_in(wrong, problem.boxes, problem.windows)


def _fits(boxes: np.ndarray, windows) -> bool:
    width, height = boxes[:, 2:].max(axis=0) - boxes[:, :2].min(axis=0)
    return any(width <= size[0] + 1e-6 and height <= size[1] + 1e-6 for size in windows)


@given(st.integers(0, 10_000), st.integers(1, 9))
@settings(max_examples=30, deadline=None)
def test_the_check_in_order_against_all_sets_that_one_hooping_can_take(seed, parts):
    problem = block(parts, seed, ((100, 100), (60, 150)), motifs=True, pinned=True)
    weights = np.random.default_rng(seed).integers(0, 9, parts)
    heaviest = max(
        int(weights[list(some)].sum())
        for size in range(1, parts + 1)
        for some in itertools.combinations(range(parts), size)
        if _fits(problem.boxes[list(some)], problem.windows) and _can_share(set(some), problem)
    )
    order = problem.below, problem.apart
    right = Certificate(tuple(weights.tolist()), max(heaviest, 1))
    # What one hooping can take is found, and perhaps a little more is held against a certificate.
    if heaviest > 1:
        wrong = replace(right, capacity=heaviest - 1)
        assert faults_in(wrong, problem.boxes, problem.windows, *order)
    in_any_order = faults_in(right, problem.boxes, problem.windows)
    assert in_any_order or not faults_in(right, problem.boxes, problem.windows, *order)


def _can_share(some: set[int], problem: Problem) -> bool:
    """Whether nothing outside must come between two of some parts, and none of them earlier."""
    above = {part: _above(part, problem) for part in range(len(problem.boxes))}
    for lower in some:
        for upper in above[lower] & some:
            between = {part for part in above[lower] if upper in above[part]}
            if not between <= some or _earlier(lower, upper, above, problem):
                return False
    return True


def _above(part: int, problem: Problem) -> set[int]:
    found, waiting = set(), [part]
    while waiting:
        lower = waiting.pop()
        for upper in range(len(problem.boxes)):
            if lower in (*problem.below[upper], *problem.apart[upper]) and upper not in found:
                found.add(upper)
                waiting.append(upper)
    return found


def _earlier(lower: int, upper: int, above: dict[int, set[int]], problem: Problem) -> bool:
    """Whether a pair that goes into different hoopings stands on a way from one part to another."""
    return any(
        under in problem.apart[over]
        and (under == lower or under in above[lower])
        and (over == upper or upper in above[over])
        for over in range(len(problem.boxes))
        for under in problem.apart[over]
    )


def test_a_tower_of_far_parts_needs_a_hooping_each_way():
    # Left, right, left again: by hand, in order three hoopings; in any order two.
    boxes = np.array([(0, 0, 10, 10), (100, 0, 110, 10), (0, 5, 10, 15)], dtype=float)
    below = ((), (0,), (1,))
    certificate = Certificate((1, 1, 1), 1)
    assert faults_in(certificate, boxes, ((50, 50),), below) == []
    assert len(faults_in(certificate, boxes, ((50, 50),))) == 1
    made = group(Problem(boxes, ((50.0, 50.0),), below, ((), (), ()), ("", "", "")))
    assert (made.count, made.bound, made.certificate.bound) == (3, 3, 3)


def test_what_is_kept_out_is_none_of_the_certificates_business():
    problem = replace(
        block(20, 3, ((160, 260),), motifs=False), keep_out=((-10.0, -10.0, 0.0, 500.0),)
    )
    grouping = group(problem)
    order = problem.below, problem.apart
    assert faults_in(grouping.certificate, problem.boxes, problem.windows, *order) == []
    assert grouping.certificate.bound <= grouping.bound
