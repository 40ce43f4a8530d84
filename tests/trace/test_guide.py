"""A near edge that something hides, led past it by the far edge of its line."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from applique.trace.band import BEYOND, MISSING, SEEN
from applique.trace.guide import FarEdge, guided
from applique.trace.repair import Mended, mended
from applique.trace.turns import evenly
from tests.trace.test_repair import SQUARE, furthest_off, unseen

PEN_MM = 2.0
NO_POINTS = np.empty((0, 2))


def wavy(waves: int = 14) -> np.ndarray:
    """The edge along which a hand has trembled: a wave of 0.25 mm every 6.7 mm."""
    angle = np.linspace(0, 2 * np.pi, 3000, endpoint=False)
    radius = 15 + 0.25 * np.cos(waves * angle)
    return evenly(np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1))


def drawn_along(near: np.ndarray, pen_mm: float = PEN_MM) -> FarEdge:
    """The far edge of a line whose near edge is known."""
    grown = shapely.Polygon(near).buffer(pen_mm, quad_segs=64)
    points = evenly(shapely.get_coordinates(grown.exterior)[:-1])
    return FarEdge(points[::-1], NO_POINTS, pen_mm)


def hidden(near: np.ndarray, place: tuple[float, float], reach_mm: float, why: int) -> Mended:
    whole = mended(near, unseen(near, place, reach_mm, why), PEN_MM)
    assert whole is not None
    return whole


@pytest.mark.parametrize("reach_mm", [1.0, 1.5, 2.0])
def test_a_trembling_line_is_followed_past_what_touches_it(reach_mm):
    near = wavy()
    plain = hidden(near, (15.25, 0), reach_mm, BEYOND)
    led = guided(plain, drawn_along(near))
    assert furthest_off(plain.points, near) > 0.1
    assert furthest_off(led.points, near) < 0.03
    assert led.stretches[0].why == plain.stretches[0].why
    assert led.bridged.sum() == len(led.stretches[0].points)


def test_a_corner_is_given_back():
    led = guided(hidden(SQUARE, (30, 30), 2.5, BEYOND), drawn_along(SQUARE))
    assert furthest_off(led.points, SQUARE) < 0.05


def test_a_line_that_grows_wider_is_followed():
    near = wavy()
    wider = np.hypot(*near.T)[:, None] + PEN_MM + 0.02 * near[:, 1:]
    far = evenly(near / np.hypot(*near.T)[:, None] * wider)
    led = guided(hidden(near, (15.25, 0), 2.0, BEYOND), FarEdge(far, NO_POINTS, PEN_MM))
    assert furthest_off(led.points, near) < 0.06


def test_what_is_seen_of_a_crevice_does_not_count():
    near = wavy()
    arc = np.abs(np.arctan2(near[:, 1], near[:, 0])) * 15
    # A digit's round side comes within half a millimetre of the line's edge and bends away.
    dented = near * (1 - 0.02 * np.exp(-0.5 * ((arc - 1.6) / 0.4) ** 2))[:, None]
    plain = hidden(dented, (15.25, 0), 1.2, BEYOND)
    led = guided(plain, drawn_along(near))
    assert furthest_off(plain.points, near) > 0.15
    assert furthest_off(led.points, near) < 0.06


def test_gaps_and_edges_without_a_guide_stay_as_they_are():
    near = wavy()
    far = drawn_along(near)
    gap = hidden(near, (15.25, 0), 1.5, MISSING)
    assert guided(gap, far) is gap
    touched = hidden(near, (15.25, 0), 1.5, BEYOND)
    crossed = FarEdge(far.points, far.points[np.hypot(*(far.points - (17.25, 0)).T) < 1], PEN_MM)
    assert np.array_equal(guided(touched, crossed).points, touched.points)
    two_lines = FarEdge(far.points, NO_POINTS, PEN_MM / 2)
    assert np.array_equal(guided(touched, two_lines).points, touched.points)


def test_nothing_touched_is_the_same_edge():
    whole = mended(SQUARE, np.full(len(SQUARE), SEEN), PEN_MM)
    assert whole is not None
    assert guided(whole, drawn_along(SQUARE)) is whole
