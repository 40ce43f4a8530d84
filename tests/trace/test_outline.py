"""Outlines from edges, made smaller and larger."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from applique.geometry.curves import flatten
from applique.trace.corners import signed_area
from applique.trace.outline import FIT_MM, Shape, fitted, inset, shaped
from tests import shapes

SQUARE = np.array([(10.0, 10.0), (30, 10), (30, 30), (10, 30)])
CIRCLE = shapely.get_coordinates(shapely.Point(25, 20).buffer(12, 256))[:-1]


def shape_of(edge: np.ndarray, backward: bool) -> Shape:
    return shaped(edge[::-1] if backward else edge, 1.0, 0.6 * 25.4 / 300)


# FAULT, fails for 0.5 mm: the points of a side that come before the moved corner stay, and the
# outline goes there and back (0.38 mm beyond the corner). The first is 0.2 mm from the corner.
@pytest.mark.parametrize("backward", [False, True])
@pytest.mark.parametrize("by_mm", [0.1, 0.5, -0.3])
def test_square_moves_its_sides(by_mm, backward):
    smaller = inset(shape_of(SQUARE, backward), by_mm)
    polygon = shapely.Polygon(smaller.points())
    assert polygon.bounds == pytest.approx(
        (10 + by_mm, 10 + by_mm, 30 - by_mm, 30 - by_mm), abs=0.005
    )
    assert polygon.area == pytest.approx((20 - 2 * by_mm) ** 2, rel=0.0005)
    assert len(smaller.corners) == 4
    for corner in smaller.corners:
        # On the diagonal, by the square root of two further than the sides.
        moved = np.abs(corner.place - 20)
        assert moved == pytest.approx([10 - by_mm] * 2, abs=0.005)


# FAULT, fails from 0.1 mm on, as a pen stands off: at the star's tips the outline crosses itself,
# 0.12 mm beyond the corner, and takes 48 curves where 10 do.
@pytest.mark.parametrize("by_mm", [0.05, 0.1, 0.2, -0.2])
def test_star_moves_its_sides_as_a_mitred_offset_does(by_mm):
    star = shapely.get_parts(shapes.star(5, 20, 9))[0]
    smaller = inset(shape_of(shapely.get_coordinates(star)[:-1], False), by_mm)
    outline = shapely.Polygon(smaller.points())
    # shapely's own offset, its corners kept.
    expected = star.buffer(-by_mm, join_style="mitre", mitre_limit=20)
    assert outline.is_valid
    assert shapely.hausdorff_distance(outline, expected, densify=0.01) < 0.03
    assert len(fitted(smaller).segments) == 10


@pytest.mark.parametrize("backward", [False, True])
@pytest.mark.parametrize("by_mm", [0.1, 1.0, -0.4])
def test_circle_changes_its_radius(by_mm, backward):
    smaller = inset(shape_of(CIRCLE, backward), by_mm)
    radii = np.hypot(*(smaller.points() - (25, 20)).T)
    assert radii == pytest.approx(12 - by_mm, abs=0.005)


def test_inset_by_nothing_changes_nothing():
    shape = shape_of(SQUARE, False)
    assert inset(shape, 0.0).points() == pytest.approx(shape.points())


@pytest.mark.parametrize("backward", [False, True])
def test_direction_of_an_edge_is_kept(backward):
    before = signed_area(SQUARE[::-1] if backward else SQUARE)
    assert np.sign(signed_area(shape_of(SQUARE, backward).points())) == np.sign(before)


def test_square_becomes_four_straight_lines():
    curve = fitted(shape_of(SQUARE, False))
    assert len(curve.segments) == 4
    assert curve.straight.all()
    assert curve.closed


def test_curves_keep_to_a_circle():
    shape = shape_of(CIRCLE, False)
    assert len(shape.sections) == 1
    points = flatten(fitted(shape), 0.001)
    assert np.abs(np.hypot(*(points - (25, 20)).T) - 12).max() < FIT_MM + 0.005
