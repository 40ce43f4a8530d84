"""Short routes, against integer programming (scipy's HiGHS, with cuts against closed circles), all
permutations, and what a route must be whatever its length."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.sequence.ways.begun import along_a_curve, nearest_first
from applique.sequence.ways.route import MOST_EXACT, MOST_TOGETHER, shortest_route
from tests.sequence.ways.routes import (
    length_mm,
    lower_bound_mm,
    shortest_possible_mm,
    shortest_through_mm,
)

Waits = list[list[int]]


def scattered(count: int, seed: int, apart_mm: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Starts in a 400 mm square, ends somewhere near them."""
    chance = np.random.default_rng(seed)
    starts = chance.uniform(0, 400, (count, 2))
    return starts, starts + chance.normal(0, apart_mm, (count, 2))


def waits_in(order: list[int], waits_for: Waits) -> bool:
    place = {thing: k for k, thing in enumerate(order)}
    return all(place[low] < place[thing] for thing in place for low in waits_for[thing])


@st.composite
def routes(draw: st.DrawFn, most: int) -> tuple[np.ndarray, np.ndarray, Waits, np.ndarray | None]:
    count = draw(st.integers(1, most))
    starts, ends = scattered(count, draw(st.integers(0, 999)), draw(st.sampled_from([0.0, 20.0])))
    waits_for = [
        draw(st.lists(st.integers(0, thing - 1), max_size=2)) if thing else []
        for thing in range(count)
    ]
    if draw(st.booleans()):
        waits_for = [[] for _ in range(count)]
    return starts, ends, waits_for, draw(st.sampled_from([None, np.array([50.0, 300.0])]))


@given(routes(6))
@settings(max_examples=40)
def test_few_things_go_the_shortest_of_all_ways(case) -> None:
    starts, ends, waits_for, here = case
    best = min(
        length_mm(starts, ends, order, here)
        for order in itertools.permutations(range(len(starts)))
        if waits_in(list(order), waits_for)
    )
    order = shortest_route(starts, ends, waits_for, here)
    assert waits_in(order, waits_for)
    assert length_mm(starts, ends, order, here) == pytest.approx(best, abs=1e-4)


@given(routes(40))
@settings(max_examples=15)
def test_any_route_keeps_its_order_and_beats_nearest_first(case) -> None:
    starts, ends, waits_for, here = case
    order = shortest_route(starts, ends, waits_for, here, effort=1)
    assert sorted(order) == list(range(len(starts)))
    assert waits_in(order, waits_for)
    nearest = nearest_first(starts, ends, waits_for, here)
    assert waits_in(nearest, waits_for)
    # Ways are rounded to a nanometre each.
    found_mm = length_mm(starts, ends, order, here)
    assert found_mm <= length_mm(starts, ends, nearest, here) + 1e-4
    assert shortest_route(starts, ends, waits_for, here, effort=1) == order


@pytest.mark.parametrize("count", [MOST_EXACT + 1, 20, 30])
def test_routes_from_points_to_points_are_as_good_as_the_shortest(count: int) -> None:
    starts, _ = scattered(count, count)
    order = shortest_route(starts, starts, [[]] * count)
    best = shortest_possible_mm(starts, starts)
    assert shortest_through_mm(starts) == pytest.approx(best, abs=1e-6)
    assert best - 1e-3 <= length_mm(starts, starts, order) <= best * 1.005


@pytest.mark.parametrize("count", [MOST_EXACT + 1, 20, 30])
def test_routes_of_open_lines_come_near_the_shortest(count: int) -> None:
    starts, ends = scattered(count, count, 15.0)
    order = shortest_route(starts, ends, [[]] * count)
    best = shortest_possible_mm(starts, ends)
    assert best - 1e-3 <= length_mm(starts, ends, order) <= best * 1.015


def test_a_lower_bound_is_one() -> None:
    points, _ = scattered(20, 5)
    best = shortest_through_mm(points)
    assert 0.97 * best < lower_bound_mm(points, best, 200) <= best + 1e-6


def test_the_way_begins_where_the_needle_is() -> None:
    row = np.column_stack([np.arange(20) * 10.0, np.zeros(20)])
    there, back = np.array([-5.0, 0.0]), np.array([200.0, 0.0])
    assert shortest_route(row, row, [[]] * 20, there) == list(range(20))
    assert shortest_route(row, row, [[]] * 20, back) == list(range(19, -1, -1))


def test_a_direction_is_kept_where_turning_round_would_cost() -> None:
    # Lines of 10 mm end to end: forwards there is no way between them.
    starts = np.column_stack([np.arange(30) * 10.0, np.zeros(30)])
    mixed = np.random.default_rng(1).permutation(30)
    order = shortest_route(starts[mixed], starts[mixed] + [10.0, 0.0], [[]] * 30)
    assert mixed[order].tolist() == list(range(30))


def test_very_many_things_are_sewn_in_order_too() -> None:
    count = MOST_TOGETHER + 50
    starts, ends = scattered(count, 1)
    waits_for = [[] if thing < 100 else [thing - 100] for thing in range(count)]
    order = shortest_route(starts, ends, waits_for, effort=0)
    assert sorted(order) == list(range(count))
    assert waits_in(order, waits_for)
    free = shortest_route(starts, ends, [[]] * count, effort=0)
    nearest = nearest_first(starts, ends, [[]] * count, None)
    assert length_mm(starts, ends, free) < 0.92 * length_mm(starts, ends, nearest)


def test_a_curve_through_the_plane_visits_neighbours_in_turn() -> None:
    # Along Hilbert's curve (1891) the cells of a square of 2^k by 2^k follow each other edge by
    # edge, so no way is longer than the side of a cell.
    cells = np.stack(np.meshgrid(np.arange(16), np.arange(16)), axis=-1).reshape(-1, 2) + 0.5
    corners = np.array([[0.0, 0.0], [16.0, 16.0]])
    order = along_a_curve(np.vstack([cells, corners]), [[]] * 258)
    inner = [thing for thing in order if thing < 256]
    assert np.allclose(np.abs(np.diff(cells[inner], axis=0)).sum(axis=1), 1)


def test_nothing_and_one_thing_need_no_way() -> None:
    none = np.zeros((0, 2))
    assert shortest_route(none, none, []) == []
    assert shortest_route(none, none, [], np.zeros(2)) == []
    assert shortest_route(np.zeros((1, 2)), np.zeros((1, 2)), [[]]) == [0]
