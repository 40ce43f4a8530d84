"""Nicks straightened: steps, folds and specks too small for thread, and nothing else."""

import numpy as np
import pytest
import shapely
from hypothesis import given

from applique.geometry.nicks import OUTWARD_MM, STRAYS_MM, without_nicks
from applique.geometry.walk import Walk
from tests.shapes import circle, ell, star
from tests.strategies import smooth_rings

STEP = [(0, 0), (10, 0), (10, 0.1), (20, 0.1)]
FOLD = [(0, 0), (10, 0), (9.8, 0.01), (20, 0.3)]
SPECK = [(0, 0), (10, 0), (10, 0.07), (10.3, 0.07), (10.3, 0), (20, 0)]


def sharpest_degrees(points: np.ndarray) -> float:
    steps = np.diff(points, axis=0)
    ways = np.arctan2(steps[:, 1], steps[:, 0])
    turns = (np.diff(ways) + np.pi) % (2 * np.pi) - np.pi
    return float(np.degrees(np.abs(turns).max()))


@pytest.mark.parametrize("drawn", [STEP, FOLD, SPECK])
@pytest.mark.parametrize("backwards", [False, True])
def test_a_nick_in_an_open_line_is_straightened(drawn: list, backwards: bool) -> None:
    line = np.array(drawn[::-1] if backwards else drawn, dtype=float)
    straight = without_nicks(line, closed=False)
    assert sharpest_degrees(line) > 60
    assert sharpest_degrees(straight) < 15
    assert straight[[0, -1]].tolist() == line[[0, -1]].tolist()
    drift = shapely.hausdorff_distance(shapely.linestrings(straight), shapely.linestrings(line))
    assert drift <= STRAYS_MM + 1e-9


@pytest.mark.parametrize("first", range(8))
def test_a_nick_is_found_wherever_a_closed_line_begins(first: int) -> None:
    drawn = np.array([*STEP, (20, 10), (20, 20), (0, 20), (0, 10)], dtype=float)
    whole = without_nicks(np.roll(drawn, -first, axis=0), closed=True)
    around = np.vstack([whole, whole[:2]])
    steps = np.diff(around, axis=0)
    cross = steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0]
    turns = np.degrees(np.arctan2(cross, (steps[:-1] * steps[1:]).sum(axis=1)))
    # The four corners of the square are as they were.
    assert sorted(turns[np.abs(turns) > 30].round(0)) == [90, 90, 90, 90]
    assert Walk(whole, closed=True).length == pytest.approx(80, abs=0.3)


@pytest.mark.parametrize("step", [0.25, -0.25])
def test_a_small_step_is_smoothed_away_from_the_fabric(step: float) -> None:
    """The fabric lies on the left, here above the line."""
    line = np.array([(0, 0), (10, 0), (10, step), (20, step)])
    smooth = without_nicks(line, closed=False)
    assert sharpest_degrees(smooth) < 15
    drawn, new = shapely.linestrings(line), shapely.linestrings(smooth)
    assert shapely.hausdorff_distance(drawn, new) <= OUTWARD_MM
    fabric = shapely.Polygon([*line, (20, 5), (0, 5)])
    assert new.intersection(fabric.buffer(-0.02)).length < 0.01


def test_a_step_that_can_be_seen_stays() -> None:
    drawn = np.array([(0, 0), (10, 0), (10, 0.4), (20, 0.4)])
    assert without_nicks(drawn, closed=False) is drawn


@pytest.mark.parametrize("shape", [star(), ell(), circle(3), star(12, 4, 3)])
def test_corners_and_curves_stay(shape) -> None:
    ring = shapely.get_coordinates(shape.geoms[0].exterior)[:-1]
    assert without_nicks(ring, closed=True) is ring


def test_a_tiny_shape_stays() -> None:
    speck = np.array([(0, 0), (0.07, 0), (0.07, 0.07), (0, 0.07)])
    assert without_nicks(speck, closed=True) is speck


@given(smooth_rings())
def test_a_smooth_ring_stays(ring: np.ndarray) -> None:
    assert without_nicks(ring, closed=True) is ring


def bump(height: float, width: float = 0.3) -> np.ndarray:
    """A level edge with a bump between 10 mm and `width` further on; the fabric lies above it."""
    right = 10 + width
    return np.array([(0, 0), (10, 0), (10, height), (right, height), (right, 0), (20, 0)])


@pytest.mark.parametrize("height", [0.29, -0.079, 0.05])
def test_a_bump_no_higher_than_the_bounds_goes_straight(height: float) -> None:
    """Up to 0.3 mm into the fabric, where the line then lies outside it, or 0.08 mm out of it."""
    straight = without_nicks(bump(height), closed=False)
    assert np.abs(straight[:, 1]).max() == pytest.approx(0, abs=1e-9)
    other_side = without_nicks(bump(height)[::-1] * [1, -1], closed=False)
    assert (np.abs(other_side[:, 1]).max() < 1e-9) == (abs(height) < 0.3)


@pytest.mark.parametrize("height", [0.31, -0.081])
def test_a_higher_bump_stays_a_bump(height: float) -> None:
    """Only its sides are smoothed, within the bounds."""
    smooth = without_nicks(bump(height), closed=False)
    assert np.abs(smooth[:, 1]).max() >= abs(height) / 2
    away = shapely.distance(shapely.linestrings(smooth), shapely.points(bump(height)))
    assert away.max() <= (OUTWARD_MM if height > 0 else STRAYS_MM) + 1e-9


def test_of_two_nicks_both_go() -> None:
    one = bump(0.06)
    line = np.vstack([one, bump(-0.05)[1:] + np.array([20, 0])])
    straight = without_nicks(line, closed=False)
    assert np.abs(straight[:, 1]).max() == pytest.approx(0, abs=1e-9)
    assert straight[[0, -1]].tolist() == [[0, 0], [40, 0]]


def test_a_bend_of_25_degrees_or_less_is_no_nick() -> None:
    """A zigzag along a line: two vertices of 24.5 degrees between straights are left as drawn."""
    for degrees, stays in ((24.5, True), (25.5, False)):
        rise = 0.15 * np.tan(np.radians(degrees))
        drawn = np.array([(0, 0), (10, 0), (10.15, rise), (20, rise)])
        assert (without_nicks(drawn, closed=False) is drawn) == stays


def test_a_line_of_three_points_has_no_nick() -> None:
    drawn = np.array([(0, 0), (10, 0.01), (9, 0)])
    assert without_nicks(drawn, closed=False) is drawn


def test_a_hook_at_the_very_end_of_an_open_line_stays() -> None:
    """Nothing of the line is left beyond it to go straight to."""
    drawn = np.array([(0, 0), (10, 0), (10, 0.05), (10.01, 0.05)])
    assert without_nicks(drawn, closed=False) is drawn


@pytest.mark.parametrize("place", [0.1, 0.5, 1.5])
def test_a_nick_near_an_end_of_an_open_line_goes_too(place: float) -> None:
    drawn = np.array([(0, 0), (place, 0), (place, 0.02), (20, 0.02)])
    for line in (drawn, (np.array([20, 0.02]) - drawn)[::-1]):
        smooth = without_nicks(line, closed=False)
        assert sharpest_degrees(smooth) < 16
        assert smooth[[0, -1]].tolist() == line[[0, -1]].tolist()
        assert np.hypot(*np.diff(smooth, axis=0).T).min() > 0


@pytest.mark.parametrize("first", [0, 1, 2, 3, 50])
def test_the_only_nick_of_a_round_ring_goes(first: int) -> None:
    angle = np.linspace(0, 2 * np.pi, 200, endpoint=False)[1:]
    speck = [(20, -0.02), (20.05, -0.02), (20.05, 0.02), (20, 0.02)]
    around = 20 * np.stack([np.cos(angle), np.sin(angle)], axis=1)
    ring = np.roll(np.vstack([speck, around]), first, axis=0)
    smooth = without_nicks(ring, closed=True)
    assert sharpest_degrees(np.vstack([smooth, smooth[:2]])) < 10
    assert np.hypot(*smooth.T) == pytest.approx(20, abs=0.06)


@pytest.mark.parametrize("first", range(0, 28, 3))
def test_all_nicks_of_a_closed_line_go(first: int) -> None:
    """A square of 20 mm with a bump on each side and, on the lowest, one more."""
    side = bump(0.05)[:-1]
    lowest = [*side, (15, 0), (15, -0.05), (15.2, -0.05), (15.2, 0)]
    turns = [np.array([[c, s], [-s, c]]) for c, s in ((1, 0), (0, 1), (-1, 0), (0, -1))]
    corners = np.array([(0, 0), (20, 0), (20, 20), (0, 20)])
    sides = [lowest, side, side, side]
    around = zip(sides, turns, corners, strict=True)
    ring = np.vstack([np.array(drawn) @ turn + corner for drawn, turn, corner in around])
    smooth = without_nicks(np.roll(ring, -first, axis=0), closed=True)
    square = shapely.box(0, 0, 20, 20)
    assert shapely.Polygon(ring).area != pytest.approx(400, abs=1e-3)
    assert shapely.Polygon(smooth).area == pytest.approx(400, abs=1e-9)
    assert shapely.Polygon(smooth).symmetric_difference(square).area == pytest.approx(0, abs=1e-9)
