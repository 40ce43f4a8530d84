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
