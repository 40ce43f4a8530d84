"""The fewest cubics through a traced line."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.geometry.fit import fit_line
from applique.geometry.walk import Walk
from applique.trace.curves import TOLERANCE_MM, Segments, fewest_cubics, fewest_cubics_each
from tests.strategies import smooth_rings


def evenly(points: np.ndarray) -> np.ndarray:
    """A line with a point every 0.1 mm or a little less, as an edge is traced."""
    walk = Walk(points, closed=False)
    return walk.at(np.linspace(0, walk.length, int(walk.length / 0.1) + 2))


def arc(radius_mm: float, degrees: float) -> np.ndarray:
    turn = np.radians(np.linspace(0, degrees, int(degrees) * 4 + 1))
    return evenly(radius_mm * np.stack([np.cos(turn), np.sin(turn)], axis=1))


def tremor(length_mm: float = 60.0) -> np.ndarray:
    """A line drawn by hand: slow bends, waves of 8 mm, and small waves of 1.5 mm, all uneven."""
    chance = np.random.default_rng(7)
    x = np.arange(0, length_mm, 0.1)
    y = 6 * np.sin(x / 14)
    for wave_mm, height_mm in ((8.0, 0.1), (1.5, 0.02)):
        knots = np.arange(0, length_mm + wave_mm, wave_mm / 2)
        heights = height_mm * chance.normal(size=len(knots))
        bumps = np.exp(-(((x[:, None] - knots) / (wave_mm / 4)) ** 2))
        y = y + bumps @ heights
    return evenly(np.stack([x, y], axis=1))


def drawn(segments: Segments) -> np.ndarray:
    """Points close together on the curves."""
    t = np.linspace(0, 1, 300)[:, None]
    s = 1 - t
    return np.vstack(
        [
            s**3 * a + 3 * s * s * t * b + 3 * s * t * t * c + t**3 * d
            for (a, b, c, d), _ in segments
        ]
    )


def furthest_apart(segments: Segments, line: np.ndarray) -> float:
    """The greatest distance of the line's points from the curves or the curves' from the line."""
    curve = drawn(segments)
    there = shapely.distance(shapely.points(line), shapely.linestrings(curve))
    back = shapely.distance(shapely.points(curve), shapely.linestrings(line))
    return float(max(there.max(), back.max()))


def sharpest_kink_degrees(segments: Segments, closed: bool) -> float:
    """The greatest turn at a joint; a gap there counts as a half turn."""
    following = segments[1:] + segments[:1] if closed else segments[1:]
    kinks = [0.0]
    for (before, _), (after, _) in zip(segments, following, strict=closed):
        arriving, leaving = before[3] - before[2], after[1] - after[0]
        cross = arriving[0] * leaving[1] - arriving[1] * leaving[0]
        kinks.append(abs(float(np.degrees(np.arctan2(cross, arriving @ leaving)))))
        if np.hypot(*(before[3] - after[0])) > 1e-9:
            kinks.append(180.0)
    return max(kinks)


@given(smooth_rings())
@settings(max_examples=5)
def test_a_closed_line_is_kept_to_and_is_smooth_all_round(ring: np.ndarray) -> None:
    line = evenly(np.vstack([ring, ring[:1]]))
    segments = fewest_cubics(line, closed=True)
    assert furthest_apart(segments, line) <= TOLERANCE_MM
    assert sharpest_kink_degrees(segments, closed=True) < 0.01


@given(smooth_rings(), st.integers(20, 700), st.sampled_from([0.02, 0.05, 0.1]))
@settings(max_examples=10)
def test_an_open_line_is_kept_to_from_end_to_end(
    ring: np.ndarray, count: int, tolerance_mm: float
) -> None:
    line = evenly(ring[:count])
    segments = fewest_cubics(line, tolerance_mm)
    assert (segments[0][0][0] == line[0]).all()
    assert (segments[-1][0][3] == line[-1]).all()
    assert furthest_apart(segments, line) <= tolerance_mm
    assert sharpest_kink_degrees(segments, closed=False) < 0.01


def test_a_straight_line_is_one_straight_segment() -> None:
    line = evenly(np.array([[1.0, 2.0], [31.0, 12.0]]))
    [(segment, straight)] = fewest_cubics(line)
    assert straight
    assert segment == pytest.approx(np.linspace([1, 2], [31, 12], 4))


def test_a_line_that_comes_straight_back_is_not_straight() -> None:
    there_and_back = np.array([[0.0, 0.0], [5.0, 0.0], [10.0, 0.001], [5.0, 0.002], [3.0, 0.0]])
    assert not fewest_cubics(there_and_back)[0][1]


def test_two_points_are_a_straight_segment() -> None:
    [(_, straight)] = fewest_cubics(np.array([[0.0, 0.0], [0.3, 0.4]]))
    assert straight


@pytest.mark.parametrize("radius_mm, fewest", [(20.0, 3), (100.0, 4)])
def test_a_circle_takes_as_few_as_it_can(radius_mm: float, fewest: int) -> None:
    # A cubic strays from a quarter circle by 2.7e-4 of its radius, and with the sixth power of the
    # angle: from a third by 1.5e-3, from a half by 1.8e-2. Spread to both sides it is half as much.
    assert len(fewest_cubics(arc(radius_mm, 360), closed=True)) == fewest


def test_a_quarter_circle_is_one_cubic_and_a_close_one() -> None:
    line = arc(50, 90)
    [(segment, straight)] = fewest_cubics(line)
    assert not straight
    assert furthest_apart([(segment, False)], line) <= 2.8e-4 * 50


def test_a_loop_from_a_corner_back_to_it_may_be_one_cubic() -> None:
    t = np.linspace(0, 1, 200)[:, None]
    drop = 3 * t * (1 - t) ** 2 * np.array([40, 25]) + 3 * t * t * (1 - t) * np.array([40, -25])
    assert len(fewest_cubics(evenly(drop))) == 1


def test_a_trembling_line_takes_far_fewer_than_splitting_does() -> None:
    line = tremor()
    segments = fewest_cubics(line)
    assert furthest_apart(segments, line) <= TOLERANCE_MM
    assert len(segments) <= 9
    assert len(segments) <= len(fit_line(line, TOLERANCE_MM)) / 1.8


def test_sections_may_be_given_together() -> None:
    sections = [arc(20, 100), np.array([[0.0, 0.0], [4.0, 0.0]]), tremor(25)]
    together = fewest_cubics_each(sections)
    assert [found[0][1] for found in together] == [False, True, False]
    for segments, line in zip(together, sections, strict=True):
        assert furthest_apart(segments, line) <= TOLERANCE_MM


def test_a_corner_inside_a_line_is_still_kept_to() -> None:
    line = evenly(np.array([[0.0, 0.0], [6.0, 0.0], [6.0, 5.0]]))
    assert furthest_apart(fewest_cubics(line), line) <= TOLERANCE_MM


def test_the_same_line_gives_the_same_curves() -> None:
    line = tremor(30)
    once, again = fewest_cubics(line), fewest_cubics(line.copy())
    assert all((a == b).all() for (a, _), (b, _) in zip(once, again, strict=True))
