"""Shaken strips never overlap and never get longer."""

import itertools

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity

from applique.nesting.convex import Body, body_of
from applique.nesting.shake import shaken
from tests.shapes import circle, ell
from tests.strategies import star_shapes

CELL = 90.0


def bodies_of(shapes: list[Polygon]) -> list[Body]:
    return [body_of(shape) for shape in shapes]


def after(shapes: list[Polygon], height: float) -> list[Polygon]:
    moves = shaken(bodies_of(shapes), height, lambda: True)
    return [affinity.translate(shape, *move) for shape, move in zip(shapes, moves, strict=True)]


def length_of(shapes: list[Polygon]) -> float:
    return float(max(shape.bounds[2] for shape in shapes))


@st.composite
def loose_strips(draw: st.DrawFn) -> list[Polygon]:
    """Shapes in two rows, each in a cell of its own."""
    shapes = draw(st.lists(star_shapes(), min_size=1, max_size=6))
    return [
        affinity.translate(shape.geoms[0], (k // 2 + 0.5) * CELL, (k % 2 + 0.5) * CELL)
        for k, shape in enumerate(shapes)
    ]


@given(loose_strips())
@settings(max_examples=30)
def test_nothing_overlaps_or_leaves_the_strip_and_the_strip_gets_no_longer(
    shapes: list[Polygon],
) -> None:
    moved = after(shapes, 2 * CELL)
    for one, other in itertools.combinations(moved, 2):
        assert one.disjoint(other)
    bounds = shapely.bounds(np.array(moved, object))
    assert bounds[:, 0].min() >= -1e-6
    assert bounds[:, 1].min() >= -1e-6
    assert bounds[:, 3].max() <= 2 * CELL + 1e-6
    begun = min(shape.bounds[0] for shape in shapes)
    assert length_of(moved) <= length_of(shapes) - begun + 1e-6


def test_squares_in_a_row_close_up() -> None:
    row = [shapely.box(x, 0, x + 20, 20) for x in (5.0, 26.0, 47.5)]
    assert length_of(after(row, 20.0)) == pytest.approx(60.0, abs=1e-4)


def test_interlocking_shapes_slide_into_each_other() -> None:
    """Two L's, one upside down in the other's arms: a block of 30 by 42 at the least."""
    one = ell(30, 12).geoms[0]
    other = affinity.translate(affinity.rotate(one, 180, origin=(0, 0)), 38.0, 42.5)
    assert not one.convex_hull.disjoint(other.convex_hull)
    moved = after([one, other], 42.5)
    assert moved[0].disjoint(moved[1])
    assert length_of(moved) == pytest.approx(30.0, abs=1e-3)


def test_a_shape_beside_a_round_one_slips_past_it() -> None:
    """Two circles of radius 10 in a strip of height 36 lie 12 apart along it: 20, 16 and 12 make a
    right triangle."""
    shapes = [circle(10, 10, 10).geoms[0], circle(10, 24, 26).geoms[0]]
    assert length_of(after(shapes, 36.0)) == pytest.approx(32.0, abs=0.01)


def test_what_overlaps_by_a_rounding_error_does_not_afterwards() -> None:
    pair = [shapely.box(0, 0, 10, 10), shapely.box(10 - 1e-9, 0, 20, 10)]
    moved = after(pair, 10.0)
    assert moved[0].distance(moved[1]) > 0
    assert length_of(moved) == pytest.approx(20.0, abs=1e-4)


def test_a_single_shape_moves_to_the_beginning() -> None:
    assert after([shapely.box(7, 3, 17, 9)], 20.0)[0].bounds[::2] == pytest.approx((0.0, 10.0))
