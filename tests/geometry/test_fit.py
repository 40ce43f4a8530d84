"""Schneider's fit (Graphics Gems, 1990) and its error bound."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely import LinearRing

from applique.geometry.curves import flatten
from applique.geometry.fit import FIT_MM, fit_ring
from applique.geometry.rings import rings_of
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
