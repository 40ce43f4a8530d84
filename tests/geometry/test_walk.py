import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from applique.geometry.walk import (
    Walk,
    turned_left,
    unit,
    vertex_directions,
    without_repeats,
)
from tests.strategies import smooth_rings

SQUARE = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10]])


def test_a_closed_walk_goes_round_for_ever() -> None:
    walk = Walk(SQUARE, closed=True)
    assert walk.length == 40
    places = walk.at(np.array([0, 5, 40, 45, -5]))
    assert places.tolist() == [[0, 0], [5, 0], [0, 0], [5, 0], [0, 5]]


def test_an_open_walk_ends_at_its_ends() -> None:
    walk = Walk(SQUARE, closed=False)
    assert walk.length == 30
    assert walk.at(np.array([-3, 33])).tolist() == [[0, 0], [0, 10]]


@pytest.mark.parametrize(
    ("start", "stop", "points"),
    [
        (2, 8, [[2, 0], [8, 0]]),
        (5, 25, [[5, 0], [10, 0], [10, 10], [5, 10]]),
        (35, 45, [[0, 5], [0, 0], [5, 0]]),
        (35, 5, [[0, 5], [0, 0], [5, 0]]),
        (-5, 5, [[0, 5], [0, 0], [5, 0]]),
        (10, 20, [[10, 0], [10, 10]]),
    ],
)
def test_sections(start: float, stop: float, points: list[list[float]]) -> None:
    assert Walk(SQUARE, closed=True).section(start, stop).tolist() == points


@given(smooth_rings(), st.floats(0, 1), st.floats(0.01, 0.99))
def test_a_section_is_as_long_as_asked(ring: np.ndarray, start: float, share: float) -> None:
    walk = Walk(ring, closed=True)
    section = walk.section(start * walk.length, (start + share) * walk.length)
    assert Walk(section, closed=False).length == pytest.approx(share * walk.length)


def test_directions_on_a_circle_are_its_tangents() -> None:
    angles = np.linspace(0, 2 * math.pi, 60, endpoint=False)
    points = 20 * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    tangents = np.stack([-np.sin(angles), np.cos(angles)], axis=1)
    assert vertex_directions(points, closed=True) == pytest.approx(tangents, abs=1e-9)
    # At the ends of an arc the curve is taken to bend on: still the tangent, not the chord.
    arc = vertex_directions(points[:20], closed=False)
    assert arc == pytest.approx(tangents[:20], abs=1e-9)


def test_left_is_towards_the_fabric_of_an_anticlockwise_ring() -> None:
    assert turned_left(np.array([[1.0, 0.0]])).tolist() == [[0.0, 1.0]]


def test_unit_leaves_a_zero_vector_alone() -> None:
    assert unit(np.array([[3.0, 4.0], [0.0, 0.0]])).tolist() == [[0.6, 0.8], [0.0, 0.0]]


def test_repeated_points_are_dropped() -> None:
    points = np.array([[0.0, 0], [0, 0], [1, 0], [1, 0], [2, 0]])
    assert without_repeats(points).tolist() == [[0, 0], [1, 0], [2, 0]]


def test_a_section_may_go_more_than_one_round() -> None:
    twice = Walk(SQUARE, closed=True).section(-45, 45)
    corners = [[0, 0], [10, 0], [10, 10], [0, 10]]
    assert twice.tolist() == [[0, 5], *corners, *corners, [0, 0], [5, 0]]
    assert Walk(SQUARE, closed=True).section(75, 80.5).tolist() == [[0, 5], [0, 0], [0.5, 0]]
    assert Walk(SQUARE, closed=True).section(-45, -35).tolist() == [[0, 5], [0, 0], [5, 0]]


def test_a_section_of_an_open_line() -> None:
    walk = Walk(SQUARE, closed=False)
    assert walk.section(5, 25).tolist() == [[5, 0], [10, 0], [10, 10], [5, 10]]
    assert walk.section(0, 10).tolist() == [[0, 0], [10, 0]]


def test_a_single_chord_has_one_direction() -> None:
    found = vertex_directions(np.array([[1.0, 1.0], [4.0, 5.0]]), closed=False)
    assert found.tolist() == [[0.6, 0.8], [0.6, 0.8]]


@pytest.mark.parametrize(("length", "first_degrees"), [(1.0, -10.0), (1.3, 0.0)])
def test_a_long_first_chord_is_a_straight_piece(length: float, first_degrees: float) -> None:
    """The line turns by 20 degrees after its first chord. An arc whose chord ends at 10 degrees to
    it has a sagitta of about L / 4 sin 10: 0.043 mm for 1 mm, 0.056 mm for 1.3 mm; up to 0.05 mm
    the chord is taken for one of an arc, and its end for its tangent."""
    turned = math.radians(20)
    bend = [length + 9 * math.cos(turned), 9 * math.sin(turned)]
    line = np.array([[0.0, 0.0], [length, 0.0], bend])
    for points in (line, line * [1, -1]):
        found = vertex_directions(points, closed=False)
        ways = np.degrees(np.arctan2(found[:, 1], found[:, 0])) * np.sign(points[2, 1])
        assert ways == pytest.approx([first_degrees, 10, 20])
        back = vertex_directions(points[::-1], closed=False)
        assert back == pytest.approx(-found[::-1])


def test_what_counts_as_a_repeat_can_be_said() -> None:
    points = np.array([[0.0, 0], [0.5, 0], [2, 0], [2.4, 0]])
    assert without_repeats(points, 0.45).tolist() == [[0, 0], [0.5, 0], [2, 0]]
    assert without_repeats(points[:1], 9.0).tolist() == [[0, 0]]
    assert without_repeats(points[:2], 9.0).tolist() == [[0, 0]]
