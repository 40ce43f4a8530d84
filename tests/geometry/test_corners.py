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


def bent(*turns_and_ways: tuple[float, float], first: float = 10.0) -> Walk:
    """An open line that goes on for `first` mm, turns by degrees, goes on for mm, and so on."""
    points, direction = [(0.0, 0.0), (first, 0.0)], 0.0
    for degrees, way in turns_and_ways:
        direction += math.radians(degrees)
        x, y = points[-1]
        points.append((x + way * math.cos(direction), y + way * math.sin(direction)))
    return Walk(np.array(points), closed=False)


@pytest.mark.parametrize(
    ("degrees", "smooth", "count"), [(13.9, 14, 0), (14.1, 14, 1), (29, 30, 0), (31, 30, 1)]
)
def test_a_corner_turns_by_more_than_a_curve(degrees: float, smooth: float, count: int) -> None:
    for side in (1, -1):
        corners = find_corners(bent((side * degrees, 10)), smooth)
        assert corners.count == count
        assert np.degrees(corners.turn) == pytest.approx([side * degrees] * count)


def test_up_to_14_degrees_are_a_curve_unless_something_else_is_asked() -> None:
    assert [find_corners(bent((degrees, 10))).count for degrees in (13.5, 14.5)] == [0, 1]


@pytest.mark.parametrize("side", [0.4, 0.7, 1.1])
def test_the_smallest_square_has_four_corners(side: float) -> None:
    """Its sides are shorter than the window, which then reaches over an eighth of the way."""
    assert corners_of(square(side)) == pytest.approx([90] * 4)


def test_a_chamfer_is_one_corner_from_end_to_end() -> None:
    """Twice 45 degrees, up to 0.3 mm apart."""
    short = find_corners(bent((45, 0.29), (45, 10)))
    assert (short.start_mm.tolist(), short.stop_mm.tolist()) == ([10], pytest.approx([10.29]))
    assert np.degrees(short.turn) == pytest.approx([90])
    assert short.vertices_mm == pytest.approx([10, 10.29])
    long = find_corners(bent((45, 0.35), (45, 10)))
    assert long.arc_mm == pytest.approx([10, 10.35])
    assert np.degrees(long.turn) == pytest.approx([45, 45])


def test_a_corner_is_no_longer_than_half_a_millimetre() -> None:
    together = find_corners(bent((80, 0.24), (80, 0.24), (-80, 10)))
    assert together.start_mm.tolist() == [10]
    assert together.stop_mm == pytest.approx([10.48])
    assert np.degrees(together.turn) == pytest.approx([80])
    apart = find_corners(bent((80, 0.28), (80, 0.28), (-80, 10)))
    assert apart.start_mm == pytest.approx([10, 10.56])
    assert apart.stop_mm == pytest.approx([10.28, 10.56])


def test_the_sharpest_vertex_of_a_corner_is_its_place() -> None:
    corners = find_corners(bent((-80, 0.24), (100, 10)))
    assert corners.arc_mm == pytest.approx([10.24])
    assert corners.start_mm == pytest.approx([10])
    assert np.degrees(corners.turn) == pytest.approx([20])
    corners = find_corners(bent((100, 0.24), (-80, 10)))
    assert corners.arc_mm == pytest.approx([10])
    assert corners.stop_mm == pytest.approx([10.24])


def test_a_vertex_at_the_very_end_of_an_open_line_is_none() -> None:
    """The window reaches 0.5 mm to each side; a quarter of that from the end is too near."""
    assert find_corners(bent((90, 10), first=0.12)).count == 0
    assert find_corners(bent((90, 10), first=0.13)).count == 1
    assert find_corners(bent((90, 0.12))).count == 0
    assert find_corners(bent((90, 0.13))).count == 1


@pytest.mark.parametrize("width", [4.0, 0.5, 0.1, 0.01])
def test_the_tip_of_a_spike_turns_like_the_spike(width: float) -> None:
    """The turns of a closed line add up to a full circle, however sharp one of them is."""
    spike = [(10 + width, 10), (10, 30), (10 - width, 10)]
    ring = np.array([(0, 0), (20, 0), (20, 10), *spike, (0, 10)], dtype=float)
    corners = find_corners(Walk(ring, closed=True))
    assert corners.count == 7
    assert np.degrees(corners.turn.sum()) == pytest.approx(360)
    tip = 180 - 2 * math.degrees(math.atan(width / 20))
    assert np.degrees(corners.turn.max()) == pytest.approx(tip)


def test_a_corner_across_the_start_has_its_sharpest_vertex_below_zero_if_it_lies_there() -> None:
    """A square of 20 mm whose corner at (0, 0) is cut off by 0.1 mm, so that one end of the cut
    turns more than the other; the line begins at the cut's second end."""
    for cut, sharpest_mm in (([(0, 0.08), (0.06, 0)], 0), ([(0, 0.06), (0.08, 0)], -0.1)):
        ring = np.array([cut[1], (20, 0), (20, 20), (0, 20), cut[0]], dtype=float)
        corners = find_corners(Walk(ring, closed=True))
        assert corners.count == 4
        assert (corners.start_mm[0], corners.stop_mm[0]) == pytest.approx((-0.1, 0))
        assert corners.arc_mm[0] == pytest.approx(sharpest_mm)


@pytest.mark.parametrize("swapped_mm", [0.0, 0.0005])
def test_a_cusp_whose_arms_meet_before_its_tip_turns_like_its_arms(swapped_mm: float) -> None:
    """For the last millimetre one arm lies on the other, or beyond it by a rounding error."""
    tip = [(10.5, 10), (10 - swapped_mm, 29), (10, 30), (10 + swapped_mm, 29), (9.5, 10)]
    for side in (1, -1):
        ring = np.array([(0, 0), (20, 0), (20, 10), *tip, (0, 10)], dtype=float)
        ring = ring[::side]
        corners = find_corners(Walk(ring, closed=True))
        (turn,) = corners.turn[np.abs(corners.turn) > np.radians(150)]
        assert np.sign(turn) == side


def test_three_sharp_vertices_across_the_start_are_one_corner() -> None:
    """Two of them before the start, 0.24 mm from each to the next; the ring goes on to a corner at
    each of its other three ends."""
    x, y = bent((90, 0.24), (-90, 0.24), (90, 10)).points.T
    ring = np.stack([[*x, 0.0], [*y, y[-1]]], axis=1)
    corners = find_corners(Walk(np.roll(ring, -3, axis=0), closed=True))
    assert corners.count == 4
    assert (corners.start_mm[0], corners.stop_mm[0]) == pytest.approx((-0.48, 0))
    assert np.degrees(corners.turn) == pytest.approx([90] * 4)


@pytest.mark.parametrize(("degrees", "count"), [(74.5, 0), (75.5, 1)])
def test_from_75_degrees_a_vertex_is_sharp_beside_another_too(degrees: float, count: int) -> None:
    """Two vertices 0.26 mm apart: what one turns alone is less than 0.7 of what both turn."""
    assert find_corners(bent((degrees, 0.26), (degrees, 10))).count == count


@pytest.mark.parametrize("first", [1, 2, 3])
def test_what_is_too_long_for_one_corner_is_not_joined_across_the_start(first: int) -> None:
    """Three sharp vertices, 0.28 mm from each to the next: two that come first along the line make
    a step, which is no corner, and the third one is a corner."""
    x, y = bent((90, 0.28), (-90, 0.28), (90, 10)).points.T
    ring = np.stack([[*x, 0.0], [*y, y[-1]]], axis=1)
    walk = Walk(np.roll(ring, -first, axis=0), closed=True)
    corners = find_corners(walk)
    assert corners.count == 4
    assert (corners.stop_mm - corners.start_mm).max() == pytest.approx(0)
    assert np.degrees(corners.turn) == pytest.approx([90] * 4)
