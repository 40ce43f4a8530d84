"""Tips of bare paper in pictures whose shapes are known: where they end, however blurred."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import shapely

from applique.trace.light import Light
from applique.trace.tips import Tip, Wedge, found_tip
from tests.trace.test_edge import pictured

MM = 300 / 25.4
"""Pixels of a millimetre at 300 dpi."""

APEX = np.array([120.3, 118.6])
"""Where the sides of the tip meet, in pixels."""


def tip_of_paper(degrees: float, radius_mm: float, direction: float = 25.0) -> shapely.Polygon:
    """Bare paper between two sides that meet at `APEX` at an angle, its tip rounded by shapely:
    what a disc can reach that stays inside."""
    ways = np.radians(direction + np.array([-degrees / 2, degrees / 2]))
    far = APEX + 400 * np.stack([np.cos(ways), np.sin(ways)], axis=1)
    wedge = shapely.Polygon([APEX, *far])
    radius = radius_mm * MM
    return wedge.buffer(-radius, join_style="mitre", mitre_limit=50).buffer(radius, quad_segs=64)


def looked_for(
    degrees: float,
    radius_mm: float,
    blur_px: float = 0.6,
    noise: float = 0.0,
    sides_off_px: float = 0.0,
    specks_px: tuple[int, int] | None = None,
    pen_mm: float = 3.0,
) -> tuple[Tip | None, np.ndarray]:
    """The tip found, and where it truly ends. The sides are told as meeting so far from where they
    do, and the light falls to one half about where it does at such a tip."""
    paper = tip_of_paper(degrees, radius_mm)
    ink = paper.buffer(pen_mm * MM, quad_segs=64).difference(paper)
    light = pictured(ink, blur_px, noise)
    if specks_px is not None:
        cv2.circle(light.grey, specks_px, 2, 60, -1)
    way = np.radians(25.0)
    inward = np.array([np.cos(way), np.sin(way)])
    half_angle = np.radians(degrees) / 2
    beyond_px = radius_mm * MM * (1 / np.sin(half_angle) - 1)
    wedge = Wedge(APEX + sides_off_px * inward, inward, half_angle + 0.02)
    half_px = beyond_px + blur_px / np.tan(half_angle) / 3 - sides_off_px
    # What a pixel gathers over its own width, and what is mixed between pixels, blurs as well.
    whole_px = np.sqrt(blur_px**2 + 1 / 12 + 1 / 6)
    tip = found_tip(light, wedge, half_px, whole_px, pen_mm * MM)
    return tip, APEX + beyond_px * inward


# The generator's pens stand off by up to 0.3 mm; blur as scans (0.6 px) and photographs (1.1) have
# it. Without noise a tip is found to a fiftieth of a millimetre, in photographs to a thirtieth.
@pytest.mark.parametrize("degrees", [28.0, 36.0, 50.0, 70.0])
@pytest.mark.parametrize("radius_mm", [0.05, 0.12, 0.3])
@pytest.mark.parametrize(("blur_px", "within_mm"), [(0.6, 0.02), (1.1, 0.035)])
def test_tip_ends_where_its_paper_does(degrees, radius_mm, blur_px, within_mm):
    tip, apex = looked_for(degrees, radius_mm, blur_px)
    assert tip is not None
    assert np.hypot(*(tip.apex - apex)) / MM < within_mm


# The thinnest pens as photographs blur them: paper shows close behind the ink of a tip.
@pytest.mark.parametrize("degrees", [28.0, 36.0, 50.0])
@pytest.mark.parametrize("radius_mm", [0.12, 0.3])
def test_paper_behind_thin_ink_tells_nothing(degrees, radius_mm):
    for pen_mm, blur_px in ((0.6, 1.1), (0.5, 0.9)):
        tip, apex = looked_for(degrees, radius_mm, blur_px, pen_mm=pen_mm)
        assert tip is not None
        assert np.hypot(*(tip.apex - apex)) / MM < 0.06


def test_ink_thinner_than_the_blur_is_judged_too():
    tip, apex = looked_for(36.0, 0.12, 2.0, pen_mm=0.2)
    assert tip is None or np.hypot(*(tip.apex - apex)) / MM < 0.3


# How round a tip is that is hardly round can't be told through the blur.
@pytest.mark.parametrize("degrees", [28.0, 36.0, 50.0, 70.0])
def test_point_ends_where_its_paper_does(degrees):
    tip, apex = looked_for(degrees, 0.0)
    assert tip is not None
    assert np.hypot(*(tip.apex - apex)) / MM < 0.035


def test_sides_that_meet_elsewhere_are_put_right():
    for off_px in (-1.5, 1.5):
        tip, apex = looked_for(36.0, 0.12, sides_off_px=off_px)
        assert tip is not None
        assert np.hypot(*(tip.apex - apex)) / MM < 0.03


def test_noise_does_not_move_a_tip():
    tip, apex = looked_for(36.0, 0.12, noise=1.5)
    assert tip is not None
    assert np.hypot(*(tip.apex - apex)) / MM < 0.04


def test_radius_is_that_of_the_arc():
    tip, _ = looked_for(50.0, 0.3)
    assert tip is not None
    assert tip.radius_px / MM == pytest.approx(0.3, abs=0.03)


def test_sides_of_a_tip_lie_on_its_outline():
    tip, _ = looked_for(36.0, 0.2)
    assert tip is not None
    outline = tip_of_paper(36.0, 0.2).exterior
    for side in tip.sides(0.5, 8.0):
        assert len(side) > 10
        assert shapely.distance(shapely.points(side), outline).max() / MM < 0.03


def test_a_speck_in_a_tip_makes_it_none():
    tip, _ = looked_for(50.0, 0.05, specks_px=(126, 122))
    assert tip is None


def test_bare_paper_is_no_tip():
    light = Light(np.full((240, 240), 230, np.uint8), np.full((8, 8), 230, np.uint8))
    assert found_tip(light, Wedge(APEX, np.array([1.0, 0.0]), 0.3), 2.0, 0.6, 12.0) is None
