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


def test_a_curve_makes_no_loop_between_its_points() -> None:
    # The end of an underlap: a tight hook after a long straight stretch, in mm.
    bend = [(4.204, 0), (4.301, -0.01), (4.379, -0.025), (4.403, -0.03), (4.579, -0.102)]
    line = np.array([(0, 0), *bend, (4.715, -0.234), (4.747, -0.306), (4.813, -0.195)])
    segments = np.array([segment for segment, _ in fit_line(line)])
    fitted = flatten(Curve(segments, np.zeros(len(segments), bool), closed=False), 0.001)
    away = shapely.distance(shapely.LineString(line), shapely.points(fitted))
    assert away.max() <= PROMISED_MM
