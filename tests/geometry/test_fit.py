"""Schneider's fit (Graphics Gems, 1990) and its error bound."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely import LinearRing

from applique.geometry.curves import flatten
from applique.geometry.fit import FIT_MM, fit_line, fit_ring
from applique.geometry.rings import rings_of
from applique.model import Curve
from tests.shapes import ell, ellipse, star
from tests.strategies import smooth_rings, star_shapes

PROMISED_MM = 0.05


def greatest_distance(first: np.ndarray, second: np.ndarray) -> float:
    """Both ways, measured at points 0.1 mm apart."""
    a, b = LinearRing(first).segmentize(0.1), LinearRing(second).segmentize(0.1)
    return float(shapely.hausdorff_distance(a, b))


@given(smooth_rings())
@settings(max_examples=40)
def test_smooth_rings_are_fitted_within_the_promise(ring: np.ndarray) -> None:
    assert greatest_distance(flatten(fit_ring(ring)), ring) <= PROMISED_MM


@given(star_shapes())
@settings(max_examples=40)
def test_corners_and_straight_sides_are_kept_exactly(shape: shapely.MultiPolygon) -> None:
    ring = rings_of(shape)[0]
    curve = fit_ring(ring)
    assert greatest_distance(flatten(curve), ring) <= PROMISED_MM


@pytest.mark.parametrize("shape", [star(), ell()])
def test_a_polygon_keeps_its_own_corners(shape: shapely.MultiPolygon) -> None:
    ring = rings_of(shape)[0]
    curve = fit_ring(ring)
    assert curve.straight.all()
    assert {tuple(p) for p in curve.segments[:, 0].round(9)} == {tuple(p) for p in ring.round(9)}


def test_an_ellipse_needs_few_curves() -> None:
    curve = fit_ring(rings_of(ellipse(50, 30, 400))[0])
    assert len(curve.segments) <= 8
    assert FIT_MM < PROMISED_MM


def test_the_fit_is_closed() -> None:
    curve = fit_ring(rings_of(ellipse(20, 12, 200))[0])
    assert curve.closed
    assert curve.segments[-1, 3] == pytest.approx(curve.segments[0, 0])
    joints = curve.segments[1:, 0] - curve.segments[:-1, 3]
    assert np.abs(joints).max() == 0


def test_a_slit_does_not_make_the_curve_cross_itself() -> None:
    # A crescent no wider than the fit's own tolerance.
    t = np.linspace(0, np.pi, 40)
    banks = [np.stack([2 * t, height * np.sin(t)], axis=1) for height in (3.0, 3.03)]
    slit = shapely.Polygon(np.vstack([banks[0], banks[1][-2:0:-1]]))
    shape = shapely.box(-5, -10, 30, 10).difference(slit)
    for ring in rings_of(shape):
        assert LinearRing(ring).is_simple
        assert LinearRing(flatten(fit_ring(ring), 0.001)).is_simple


@pytest.mark.parametrize(("height", "fewest", "most"), [(0.2, 2, 8), (0.06, 9, 20), (0.03, 78, 78)])
def test_a_narrow_crescent_is_fitted_closer_and_the_narrowest_keeps_its_points(
    height: float, fewest: int, most: int
) -> None:
    """Within 0.04 mm of either bank the curves of the second might cross; within 0.01 mm those of
    the third might."""
    t = np.linspace(0, np.pi, 40)
    banks = [np.stack([2 * t, h * np.sin(t)], axis=1) for h in (3.0, 3.0 + height)]
    (ring,) = rings_of(shapely.Polygon(np.vstack([banks[0], banks[1][-2:0:-1]])))
    curve = fit_ring(ring)
    assert LinearRing(flatten(curve, 0.001)).is_simple
    assert fewest <= len(curve.segments) <= most
    assert curve.straight.all() == (most == 78)


def test_a_curve_makes_no_loop_between_its_points() -> None:
    # The end of an underlap: a tight hook after a long straight stretch, in mm.
    bend = [(4.204, 0), (4.301, -0.01), (4.379, -0.025), (4.403, -0.03), (4.579, -0.102)]
    line = np.array([(0, 0), *bend, (4.715, -0.234), (4.747, -0.306), (4.813, -0.195)])
    segments = np.array([segment for segment, _ in fit_line(line)])
    fitted = flatten(Curve(segments, np.zeros(len(segments), bool), closed=False), 0.001)
    away = shapely.distance(shapely.LineString(line), shapely.points(fitted))
    assert away.max() <= PROMISED_MM


def parabola(sagitta: float, count: int = 41) -> np.ndarray:
    x = np.linspace(0, 20, count)
    return np.stack([x, sagitta * (1 - (x / 10 - 1) ** 2)], axis=1)


@pytest.mark.parametrize(("sagitta", "straight"), [(0.0, True), (0.0099, True), (0.0105, False)])
def test_a_quarter_of_the_tolerance_is_straight(sagitta: float, straight: bool) -> None:
    for line in (parabola(sagitta), parabola(-sagitta)):
        ((segment, is_straight),) = fit_line(line, 0.04)
        assert is_straight == straight
        if straight:
            assert segment == pytest.approx(line[0] + np.outer([0, 1 / 3, 2 / 3, 1], [20, 0]))


def test_two_points_are_straight() -> None:
    ((segment, is_straight),) = fit_line(np.array([[1.0, 2.0], [4.0, 8.0]]))
    assert is_straight
    assert segment.tolist() == [[1, 2], [2, 4], [3, 6], [4, 8]]


@pytest.mark.parametrize("radius", [3.0, 10.0, 30.0])
def test_a_quarter_circle_is_one_cubic_with_the_known_handles(radius: float) -> None:
    """4/3 (sqrt(2) - 1) radii, by which the circle is met within 0.027 % of its radius."""
    angle = np.linspace(0, np.pi / 2, 200)
    ((segment, is_straight),) = fit_line(radius * np.stack([np.cos(angle), np.sin(angle)], axis=1))
    assert not is_straight
    handle = 4 / 3 * (2**0.5 - 1)
    wanted = radius * np.array([[1, 0], [1, handle], [handle, 1], [0, 1]])
    assert segment == pytest.approx(wanted, abs=0.01 * radius)


def test_a_gentle_cubic_is_met_by_one() -> None:
    drawn = np.array([[0, 0], [3, 3], [8, 3], [10, 0.0]])
    t = np.linspace(0, 1, 400)[:, None]
    s = 1 - t
    points = s**3 * drawn[0] + 3 * s * s * t * drawn[1] + 3 * s * t * t * drawn[2] + t**3 * drawn[3]
    ((segment, _),) = fit_line(points)
    fitted = flatten(Curve(segment[None], np.array([False]), closed=False), 0.001)
    away = shapely.distance(shapely.LineString(points), shapely.points(fitted))
    assert away.max() <= FIT_MM


def test_a_closer_tolerance_takes_more_curves_and_is_kept_too() -> None:
    ring = rings_of(ellipse(50, 30, 2000))[0]
    few, many = fit_ring(ring, 0.2), fit_ring(ring, 0.002)
    assert len(few.segments) < len(many.segments)
    for curve, tolerance in ((few, 0.2), (many, 0.002)):
        assert greatest_distance(flatten(curve, 0.0005), ring) <= tolerance + 0.001


def test_a_circle_is_smooth_at_its_joints() -> None:
    """Where two curves meet their handles lie on one line."""
    curve = fit_ring(rings_of(ellipse(30, 30, 600))[0])
    arriving = curve.segments[:, 3] - curve.segments[:, 2]
    leaving = np.roll(curve.segments[:, 1] - curve.segments[:, 0], -1, axis=0)
    cross = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    lengths = np.hypot(*arriving.T) * np.hypot(*leaving.T)
    assert np.degrees(np.arcsin(cross / lengths)) == pytest.approx(0, abs=0.5)
    assert (arriving * leaving).sum(axis=1).min() > 0
