import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from applique.geometry.rings import rings_of
from applique.geometry.walk import Walk
from applique.stitches.running import CHORD_ERROR_MM, SHORTEST_RUN_MM, running
from tests.shapes import circle, ell, square, stitch_lengths
from tests.strategies import smooth_rings, star_shapes


def test_stitches_are_even_between_corners_and_meet_every_corner() -> None:
    ring = rings_of(square(40))[0]
    points = running(ring, True, 3.0)
    assert stitch_lengths(points) == pytest.approx(40 / 14)
    assert {tuple(corner) for corner in ring} <= {tuple(point) for point in points.round(9)}
    assert points[0] == pytest.approx(points[-1])


def test_a_run_shortens_its_stitches_on_a_bend() -> None:
    # A chord of length L on radius r strays by L^2 / 8r.
    points = running(rings_of(circle(5))[0], True, 3.0)
    assert stitch_lengths(points).max() ** 2 / (8 * 5) <= CHORD_ERROR_MM * 1.05


@given(star_shapes(), st.floats(1.5, 6))
def test_no_stitch_is_too_short_or_too_long(shape, length: float) -> None:
    points = running(rings_of(shape)[0], True, length)
    lengths = stitch_lengths(points)
    assert lengths.max() <= length + SHORTEST_RUN_MM
    # Chords across a corner may be a little shorter than the way along the line.
    assert lengths.min() >= 0.5


@given(smooth_rings())
def test_a_smooth_run_keeps_to_its_line(ring: np.ndarray) -> None:
    walk = Walk(ring, closed=True)
    points = running(ring, True, 3.0)
    middles = (points[:-1] + points[1:]) / 2
    gaps = [np.hypot(*(walk.points - middle).T).min() for middle in middles]
    assert max(gaps) <= 2 * CHORD_ERROR_MM + 0.5


def test_an_open_line_starts_and_ends_at_its_ends() -> None:
    points = running(np.array([[0.0, 0], [10, 0]]), False, 3.0)
    assert points[:, 0] == pytest.approx([0, 2.5, 5, 7.5, 10])


def test_a_very_short_line_is_one_stitch() -> None:
    assert len(running(np.array([[0.0, 0], [0.7, 0]]), False, 3.0)) == 2


def test_the_penetrations_follow_the_ring() -> None:
    ring = rings_of(ell())[0]
    walk = Walk(ring, closed=True)
    for point in running(ring, True, 2.5):
        assert np.abs(walk.points - point).sum(axis=1).min() <= walk.length
