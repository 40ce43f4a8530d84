"""Shapes as the solver takes them."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, affinity

from applique.geometry.rings import as_multipolygon
from applique.nesting.shapes import distinct_angles, solver_shape
from tests.shapes import circle, ell, polygon, rectangle, ring, square, star
from tests.strategies import holed_shapes, star_shapes

QUARTERS = (0.0, 90.0, 180.0, 270.0)
HALVES = (0.0, 180.0)


@given(st.one_of(star_shapes(), holed_shapes()), st.sampled_from([0.0, 0.5, 3.0, 12.7, 30.0]))
@settings(max_examples=60)
def test_it_is_simple_and_holds_the_shape_with_half_the_gap(
    shape: MultiPolygon, gap_mm: float
) -> None:
    grown = solver_shape(shape, gap_mm)
    assert grown.is_valid
    assert len(grown.interiors) == 0
    assert grown.covers(shape)
    assert grown.covers(shape.buffer(gap_mm / 2, quad_segs=64))


def test_it_is_hardly_larger_and_has_few_corners() -> None:
    shape = circle(30)
    grown = solver_shape(shape, 3.0)
    furthest = np.hypot(*shapely.get_coordinates(grown).T).max()
    assert 31.5 < furthest < 31.5 + 0.4
    assert len(grown.exterior.coords) < 45 < len(shape.geoms[0].exterior.coords)


def test_holes_are_closed() -> None:
    assert solver_shape(ring(30, 20), 3.0).area == pytest.approx(solver_shape(circle(30), 3.0).area)


def test_parts_that_lie_apart_become_one_and_parts_nearer_than_the_gap_grow_together() -> None:
    apart = as_multipolygon(shapely.union_all([square(10), square(10, 30, 0)]))
    assert solver_shape(apart, 3.0).covers(shapely.box(0, 0, 40, 10).buffer(1.5))
    near = as_multipolygon(shapely.union_all([square(10), square(20, 12, 0)]))
    assert solver_shape(near, 3.0).area < near.convex_hull.buffer(1.7).area


def test_a_notch_narrower_than_the_gap_closes() -> None:
    notched = as_multipolygon(square(20).difference(rectangle(9, 5, 2, 15)))
    assert solver_shape(notched, 3.0).covers(square(20))


@pytest.mark.parametrize(
    ("shape", "angles", "distinct"),
    [
        (square(10), QUARTERS, (0.0,)),
        (rectangle(0, 0, 20, 10), QUARTERS, (0.0, 90.0)),
        (ell(), QUARTERS, QUARTERS),
        (rectangle(0, 0, 20, 10), HALVES, (0.0,)),
        (ell(), HALVES, HALVES),
        (star(6), HALVES, (0.0,)),
        (star(5), HALVES, HALVES),
        (polygon([(0, 0), (20, 0), (26, 10), (6, 10)]), QUARTERS, (0.0, 90.0)),
        (ell(), (0.0,), (0.0,)),
        (square(10), (180.0, 0.0), (180.0,)),
    ],
)
def test_symmetric_shapes_are_tried_at_fewer_angles(
    shape: MultiPolygon, angles: tuple[float, ...], distinct: tuple[float, ...]
) -> None:
    assert distinct_angles(shape.geoms[0], angles) == distinct


def test_where_it_lies_makes_no_difference() -> None:
    far = affinity.translate(square(10).geoms[0], 500.0, -300.0)
    assert distinct_angles(far, QUARTERS) == (0.0,)


def test_free_turning_stays_free() -> None:
    assert distinct_angles(square(10).geoms[0], None) is None
