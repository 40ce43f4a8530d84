"""Where an edge is, to a few hundredths of a pixel; how wide the line behind it is."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import shapely
from shapely import affinity
from skimage import data, measure

from applique.trace.band import border
from applique.trace.edge import Edge, edge_along, smoothed
from applique.trace.light import LINEAR, Light, encoded, ink_mask
from applique.trace.pen import pen_width_px
from tests.trace.drawn import coverage, developed

PAPER, INK = 0.8, 0.05
"""Linear light that comes back."""


def pictured(ink: shapely.Geometry, blur_px: float = 0.6, noise: float = 0.0) -> Light:
    """A picture of 240 x 240 pixels with a shape of ink on it, and its paper."""
    light = PAPER + (INK - PAPER) * coverage(ink, (240, 240))
    grey = developed(light[:, :, None], blur_px, noise, 1)[:, :, 0]
    return Light(grey, np.full((8, 8), encoded(np.array(PAPER)), np.uint8))


def edge_around(light: Light, pen_px: float = 40.0) -> Edge:
    """The edge of the ink, seen from outside it."""
    ink = ink_mask(light.grey, light.paper)
    bare = border(cv2.dilate(ink, cv2.getStructuringElement(cv2.MORPH_CROSS, (3, 3))))
    return edge_along(light, bare, pen_px, ink_outside=False)


# Ink on half of a plane, as the ink around a bare square of 150 pixels, away from its corners: in
# closed form its sides lie 75 pixels from the middle. At the usual blur of a scan (see
# `corners._BLUR_PX`) they are found to a fiftieth of a pixel; sharper or softer, to 0.07 pixels,
# which is 0.006 mm at 300 dpi.
@pytest.mark.parametrize("offset", [0.0, 0.13, 0.25, 0.5, 0.77])
@pytest.mark.parametrize("degrees", [0.0, 11.0, 37.0, 45.0])
@pytest.mark.parametrize(("blur_px", "within_px"), [(0.4, 0.07), (0.6, 0.02), (0.8, 0.05)])
def test_half_plane_is_found(offset, degrees, blur_px, within_px):
    middle = np.array([120 + offset, 120.0])
    square = affinity.rotate(shapely.box(*(middle - 75), *(middle + 75)), degrees)
    light = pictured(shapely.box(-9, -9, 249, 249).difference(square), blur_px)
    bare = border(1 - ink_mask(light.grey, light.paper))
    edge = edge_along(light, bare, 40.0, ink_outside=True)
    turn = np.radians(degrees)
    back = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    x, y = back @ (edge.points - middle).T
    right = (x > 60) & (np.abs(y) < 55)
    left = (x < -60) & (np.abs(y) < 55)
    assert edge.found[right | left].all()
    assert x[right].mean() == pytest.approx(75, abs=within_px)
    assert x[left].mean() == pytest.approx(-75, abs=within_px)
    assert np.abs(x[right] - 75).max() < within_px + 0.02


def test_noise_scatters_an_edge_but_does_not_move_it():
    edge = edge_around(pictured(shapely.box(45.3, 45.3, 195.3, 195.3), noise=2.0))
    right = (edge.points[:, 0] > 180) & (np.abs(edge.points[:, 1] - 120) < 60)
    assert edge.points[right, 0].mean() == pytest.approx(195.3, abs=0.02)
    assert edge.points[right, 0].std() < 0.04


# scikit-image's marching squares (W. Lorensen and H. Cline, 1987) look for half of the light
# between paper and ink: where nothing is narrow or sharp that is the same place.
def test_edge_lies_where_independent_contours_do():
    horse = (~data.horse()).astype(np.uint8)
    smooth = cv2.morphologyEx(horse, cv2.MORPH_OPEN, np.ones((15, 15), np.uint8))
    smooth = cv2.GaussianBlur(smooth.astype(float), (0, 0), 5) > 0.5
    light = PAPER + (INK - PAPER) * cv2.GaussianBlur(smooth.astype(float), (0, 0), 0.9)
    grey = developed(light[:, :, None], 0.0, 0.0, 1)[:, :, 0]
    edge = edge_around(Light(grey, np.full((8, 8), encoded(np.array(PAPER)), np.uint8)))
    contours = measure.find_contours(LINEAR[grey], (PAPER + INK) / 2)
    line = shapely.LineString(max(contours, key=len)[:, ::-1] + 0.5)
    apart = shapely.distance(shapely.points(edge.points[edge.found]), line)
    assert edge.found.mean() > 0.99
    assert apart.mean() < 0.1


def test_shadow_is_no_edge():
    light = pictured(shapely.box(60, 60, 180, 180))
    pale = np.where(light.grey < 150, encoded(np.array(0.9 * PAPER)), light.grey)
    edge = edge_along(
        Light(pale.astype(np.uint8), light.paper),
        border(cv2.dilate((light.grey < 150).astype(np.uint8), np.ones((3, 3), np.uint8))),
        40.0,
        ink_outside=False,
    )
    assert not edge.found.any()


def test_a_hair_beside_a_line_is_not_its_edge():
    hair = shapely.LineString([(194, 100), (198.5, 106), (198.5, 124), (194, 130)]).buffer(0.7)
    edge = edge_around(pictured(shapely.box(45.3, 45.3, 195.3, 195.3).union(hair)))
    right = edge.points[:, 0] > 190
    beside = right & (np.abs(edge.points[:, 1] - 115) < 8)
    away = right & (np.abs(edge.points[:, 1] - 115) > 30) & (np.abs(edge.points[:, 1] - 120) < 60)
    assert beside.any() and not edge.found[beside].any()
    assert edge.found[away].all()


def test_evening_out_keeps_the_middle_and_closes_round():
    turn = np.linspace(0, 2 * np.pi, 90, endpoint=False)
    ring = np.stack([np.cos(turn), np.sin(turn)], axis=1) * 10 + (3, 4)
    even = smoothed(ring, 2.0)
    assert even.mean(axis=0) == pytest.approx([3, 4])
    # A Gaussian of s steps shrinks a wave of n steps to exp(-(2 pi s / n)^2 / 2).
    expected = 10 * np.exp(-((2 * np.pi * 2 / 90) ** 2) / 2)
    assert np.hypot(*(even - (3, 4)).T) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize("width_px", [5.0, 8.3, 14.0])
@pytest.mark.parametrize("expected_px", [0.85, 1.0, 1.2])
def test_pen_is_measured_from_edge_to_edge(width_px, expected_px):
    ring = shapely.Point(120.2, 119.6).buffer(80, 64)
    light = pictured(ring.difference(shapely.Point(120.2, 119.6).buffer(80 - width_px, 64)))
    guess_px = expected_px * width_px
    edge = edge_around(light, guess_px)
    assert pen_width_px(light, edge, guess_px) == pytest.approx(width_px, abs=0.15)


def test_line_without_another_side_has_the_width_that_was_expected():
    light = pictured(shapely.box(40, 40, 200, 200))
    assert pen_width_px(light, edge_around(light), 12.0) == 12.0
