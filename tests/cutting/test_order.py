"""Cutting order: what lies inside first, and a way as short as any."""

from collections.abc import Sequence
from itertools import pairwise, permutations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon

from applique.cutting.order import cutting_order, inner_first, ring_depths
from applique.geometry.curves import polyline
from applique.geometry.rings import rings_of
from applique.model import Curve
from applique.sequence.ways.route import shortest_route
from tests.shapes import ring, square


def rings(*shapes: MultiPolygon) -> list[Curve]:
    return [polyline(r, closed=True) for shape in shapes for r in rings_of(shape)]


def ordered(shapes: list[MultiPolygon]) -> tuple[int, ...]:
    return cutting_order([inner_first(rings(shape)) for shape in shapes], shapes)


def test_depths_count_what_lies_around() -> None:
    """An island in a hole, drawn in any order."""
    island, hole, outer = (square(side, -side / 2, -side / 2) for side in (10.0, 30.0, 60.0))
    assert ring_depths(rings(hole, outer, island)) == [1, 0, 2]
    assert ring_depths(rings(outer)) == [0]


def test_a_curve_without_area_lies_in_nothing() -> None:
    slit = polyline(np.array([[5.0, 5.0], [9.0, 5.0]]), closed=True)
    assert ring_depths([slit, *rings(square(20.0))]) == [0, 0]


def test_holes_are_cut_before_the_edge_around_them_and_the_nearest_comes_next() -> None:
    outer = shapely.box(0, 0, 100, 40)
    holes = [shapely.box(x, 10, x + 5, 15) for x in (10, 80, 30)]
    shape = MultiPolygon([outer.difference(shapely.union_all(holes))])
    made = inner_first([*rings(MultiPolygon([outer])), *rings(*(MultiPolygon([h]) for h in holes))])
    lefts = [curve.segments[..., 0].min() for curve in made]
    assert lefts == [10.0, 30.0, 80.0, 0.0]
    assert shape.area == 4000.0 - 75.0


def test_a_piece_in_the_hole_of_another_is_cut_before_it() -> None:
    around, within, inner = ring(60.0, 50.0), ring(40.0, 30.0), square(10.0)
    for shapes in permutations([around, within, inner]):
        order = [shapes[k] for k in ordered(list(shapes))]
        assert order == [inner, within, around]


def test_a_piece_beside_a_hole_waits_for_nothing() -> None:
    assert set(ordered([ring(20.0, 10.0), square(5.0, 30.0, 0.0)])) == {0, 1}


places = st.lists(
    st.tuples(st.integers(0, 300), st.integers(0, 300)), min_size=2, max_size=7, unique=True
)


@settings(max_examples=30, deadline=None)
@given(places)
def test_of_few_pieces_no_other_order_has_a_shorter_way(at: list[tuple[int, int]]) -> None:
    """Against all orders, one by one."""
    shapes = [square(0.5, x, y) for x, y in at]
    starts = np.array([rings(shape)[0].segments[0, 0] for shape in shapes])

    def way(order: tuple[int, ...]) -> float:
        return sum(float(np.hypot(*(starts[b] - starts[a]))) for a, b in pairwise(order))

    shortest = min(way(order) for order in permutations(range(len(at))))
    assert way(ordered(shapes)) == pytest.approx(shortest, abs=1e-4)


def test_a_grid_is_cut_without_detours_and_the_same_each_time() -> None:
    """Of 6 x 6 squares 40 mm apart no way is shorter than 35 steps of 40 mm."""
    shapes = [square(20.0, 40.0 * x, 40.0 * y) for x in range(6) for y in range(6)]
    order = ordered(shapes)
    starts = np.array([rings(shape)[0].segments[0, 0] for shape in shapes])[list(order)]
    assert np.hypot(*np.diff(starts, axis=0).T).sum() <= 1.03 * 35 * 40.0
    assert order == ordered(shapes)


@pytest.mark.parametrize("count", [10, 20, 60, 150])
def test_some_ways_begun_anew_are_hardly_longer_than_hundreds_of_restarts(count: int) -> None:
    """Against the search that the stitching order is made with."""
    at = np.random.default_rng(count).random((count, 2)) * 300.0
    shapes = [square(1.0, x, y) for x, y in at]
    starts = np.array([rings(shape)[0].segments[0, 0] for shape in shapes])

    def way(order: Sequence[int]) -> float:
        return float(np.hypot(*np.diff(starts[list(order)], axis=0).T).sum())

    found = ordered(shapes)
    assert sorted(found) == list(range(count))
    assert way(found) <= 1.05 * way(shortest_route(starts, starts, [[]] * count))


def test_an_empty_sheet_has_no_order() -> None:
    assert cutting_order([], []) == ()
