"""Stocks, placements and where shapes lie."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity

from applique.cutting.nested import ANGLES_DEGREES, Placement, Stock, placed, rectangle
from tests.shapes import ell, polygon, square


@given(st.floats(-720, 720), st.floats(-500, 500), st.floats(-500, 500))
def test_a_shape_is_turned_about_the_origin_and_then_moved(
    angle: float, x: float, y: float
) -> None:
    """shapely turns anticlockwise with y up, which is clockwise as it is seen with y down."""
    expected = affinity.translate(affinity.rotate(ell(), angle, origin=(0, 0)), x, y)
    found = placed(ell(), Placement(0, angle, x, y))
    assert shapely.equals_exact(found, expected, tolerance=1e-9)


@pytest.mark.parametrize("angle", [0.0, 90.0, 180.0, 270.0, 360.0, -90.0, 450.0])
def test_right_angles_leave_no_rounding(angle: float) -> None:
    matrix = Placement(0, angle, 3.5, -2.25).matrix()
    assert set(np.abs(matrix[:, :2]).ravel().tolist()) == {0.0, 1.0}
    assert matrix[:, 2].tolist() == [3.5, -2.25]
    assert matrix[0, 0] == pytest.approx(math.cos(math.radians(angle)))
    assert matrix[1, 0] == pytest.approx(math.sin(math.radians(angle)))


def test_ninety_degrees_bring_the_top_to_the_right() -> None:
    (point,) = shapely.get_coordinates(
        placed(shapely.Point(0, -10), Placement(0, 90.0, 0.0, 0.0))
    ).tolist()
    assert point == [10.0, 0.0]


def test_what_the_turn_rules_allow() -> None:
    assert ANGLES_DEGREES == {"any": None, "half": (0.0, 180.0), "none": (0.0,)}


def test_a_sheet_has_a_size_and_may_be_had_without_end() -> None:
    stock = rectangle("mat", 305.0, 610.0)
    assert (stock.size_mm, stock.is_rectangle, stock.count) == ((305.0, 610.0), True, None)


@pytest.mark.parametrize(
    "shape",
    [
        polygon([(0, 0), (100, 0), (100, 60), (50, 100), (0, 60)]).geoms[0],
        shapely.box(0, 0, 100, 100).difference(shapely.box(40, 40, 60, 60)),
        square(10).geoms[0].buffer(1),
    ],
)
def test_a_scrap_is_no_rectangle(shape: shapely.Polygon) -> None:
    assert not Stock("scrap", shape, 1).is_rectangle


def test_a_rectangle_may_have_corners_along_its_sides() -> None:
    ring = [(0, 0), (50, 0), (100, 0), (100, 100), (0, 100)]
    assert Stock("scrap", shapely.Polygon(ring), 1).is_rectangle
