import math

import numpy as np
import pytest
import shapely

from applique.geometry.corners import find_corners
from applique.geometry.rings import rings_of
from applique.geometry.walk import Walk
from tests.shapes import circle, ell, square, star


def corners_of(shape: shapely.Geometry) -> np.ndarray:
    return np.degrees(find_corners(Walk(rings_of(shape)[0], closed=True)).turn)


@pytest.mark.parametrize("radius", [0.3, 0.5, 0.8, 1, 2, 5, 20, 100])
def test_a_circle_has_no_corners(radius: float) -> None:
    assert len(corners_of(circle(radius))) == 0


def test_turns_are_positive_where_the_fabric_is_convex() -> None:
    assert sorted(np.round(corners_of(ell()))) == [-90, 90, 90, 90, 90, 90]
    turns = corners_of(star())
    assert (turns > 0).sum() == 5
    assert (turns < 0).sum() == 5
    # The turns of any closed line add up to one full circle.
    assert turns.sum() == pytest.approx(360)


@pytest.mark.parametrize(("fillet", "count"), [(0.05, 4), (0.2, 4), (1.0, 0), (4.0, 0)])
def test_a_hair_of_rounding_is_still_a_corner(fillet: float, count: int) -> None:
    rounded = square(20).buffer(-fillet).buffer(fillet, quad_segs=12)
    assert len(corners_of(rounded)) == count


@pytest.mark.parametrize("sides", [3, 4, 6, 8, 11])
def test_regular_polygons_have_all_their_corners(sides: int) -> None:
    angles = np.arange(sides) * 2 * math.pi / sides
    shape = shapely.Polygon(15 * np.stack([np.cos(angles), np.sin(angles)], axis=1))
    assert corners_of(shape) == pytest.approx([360 / sides] * sides)


def test_a_flattened_curve_has_none_however_it_was_flattened() -> None:
    # 45 chords of 8 degrees: coarser than our own flattening would make it.
    assert len(corners_of(shapely.Point(0, 0).buffer(30, quad_segs=11))) == 0


def test_the_ends_of_an_open_line_are_no_corners() -> None:
    walk = Walk(np.array([[0.0, 0], [10, 0], [10, 10]]), closed=False)
    assert find_corners(walk).arc_mm.tolist() == [10]


def test_a_corner_across_the_start_comes_first_and_begins_below_zero() -> None:
    chamfer = [(0.1, 0), (20, 0), (20, 20), (0, 20), (0, 0.1)]
    corners = find_corners(Walk(np.array(chamfer), closed=True))
    assert corners.count == 4
    assert (np.diff(corners.arc_mm) > 0).all()
    assert corners.start_mm[0] < 0 <= corners.stop_mm[0]
    assert np.degrees(corners.turn) == pytest.approx([90] * 4, abs=0.1)


def test_a_step_in_a_line_is_no_corner() -> None:
    line = [(0.0, 0.0), (10.0, 0.0), (10.05, 0.05), (20.0, 0.05)]
    assert find_corners(Walk(np.array(line), closed=False)).count == 0
