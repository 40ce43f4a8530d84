import numpy as np
import pytest

from applique.geometry.curves import (
    FLATNESS_MM,
    flatten,
    flatten_closed,
    polyline,
    quadratic,
    reversed_curve,
    transformed,
)
from applique.model import Curve


def test_a_polyline_flattens_to_its_own_points() -> None:
    points = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 5.0]])
    assert flatten(polyline(points, closed=False)).tolist() == points.tolist()
    assert flatten(polyline(points, closed=True)).tolist() == points.tolist()


@pytest.mark.parametrize("size", [0.1, 1.0, 30.0, 400.0])
def test_flattening_stays_within_its_promise(size: float) -> None:
    # The cubic that runs (0,0) (0,1) (1,1) (1,0), evaluated 20,000 times by its definition.
    control = np.array([[0, 0], [0, 1], [1, 1], [1, 0]]) * size
    t = np.linspace(0, 1, 20_001)[:, None]
    true = (
        (1 - t) ** 3 * control[0]
        + 3 * (1 - t) ** 2 * t * control[1]
        + 3 * (1 - t) * t**2 * control[2]
        + t**3 * control[3]
    )
    flat = flatten(Curve(control[None].astype(float), np.array([False]), closed=False))
    worst = max(_distance_to_chords(point, flat) for point in true[::100])
    assert worst <= FLATNESS_MM


def test_a_raised_quadratic_is_the_same_curve() -> None:
    start, control, end = np.array([0.0, 0]), np.array([10.0, 20]), np.array([30.0, 0])
    cubic = quadratic(start, control, end)
    middle = (cubic * np.array([[1], [3], [3], [1]])).sum(axis=0) / 8
    assert middle == pytest.approx((start + 2 * control + end) / 4)


def test_reversing_twice_changes_nothing() -> None:
    curve = polyline(np.array([[0.0, 0], [4, 0], [4, 3]]), closed=True)
    assert np.array_equal(reversed_curve(reversed_curve(curve)).segments, curve.segments)


def test_transforming_moves_every_control_point() -> None:
    curve = polyline(np.array([[0.0, 0], [4, 0]]), closed=False)
    moved = transformed(curve, np.array([[0, -1, 10], [1, 0, 20]], dtype=float))
    assert moved.segments[0, 3] == pytest.approx([10, 24])


def _distance_to_chords(point: np.ndarray, line: np.ndarray) -> float:
    start, way = line[:-1], np.diff(line, axis=0)
    share = np.clip(((point - start) * way).sum(axis=1) / (way * way).sum(axis=1), 0, 1)
    return float(np.hypot(*(start + share[:, None] * way - point).T).min())


KAPPA = 4 / 3 * (2**0.5 - 1)
"""The handles of a quarter of a circle, in radii."""


def quarter(radius: float) -> np.ndarray:
    return radius * np.array([[1, 0], [1, KAPPA], [KAPPA, 1], [0, 1]])


# A quarter circle turns by 90 degrees: 13 chords of less than 7 degrees each. Wang's bound for a
# cubic is sqrt(6 / 8 m / flatness) chords, m the longest second difference, here
# |(1, 0) - 2 (1, k) + (k, 1)| = 0.4598 radii (computed). The control polygon is
# 2 k + sqrt(2) (1 - k) = 1.7378 radii long (computed), and no chord is made shorter than 0.05 mm
# for the sake of its turn.
@pytest.mark.parametrize(
    ("radius", "flatness", "chords"),
    [
        (1.0, 0.01, 13),
        (100.0, 0.01, 59),
        (100.0, 1.0, 13),
        (0.3, 0.01, 10),
        (0.1, 0.01, 3),
        (0.1, 0.0001, 19),
    ],
)
def test_a_quarter_circle_has_the_chords_it_needs(
    radius: float, flatness: float, chords: int
) -> None:
    curve = Curve(quarter(radius)[None], np.array([False]), closed=False)
    points = flatten(curve, flatness)
    assert len(points) == chords + 1
    # The cubic strays from the circle by 0.027 % at most.
    assert np.hypot(*points.T) == pytest.approx(radius, rel=3e-4)
    assert points[[0, -1]].tolist() == [[radius, 0], [0, radius]]


def test_turns_to_both_sides_count() -> None:
    """An S of two right angles, 40 mm wide: 26 chords although it ends as it began."""
    s = Curve(np.array([[[0, 0], [40, 0], [40, 1], [80, 1.0]]]), np.array([False]), closed=False)
    assert len(flatten(s, 100.0)) == 26 + 1
    # Wang: the longest second difference is that of (-40, 1), 40.01 mm.
    assert len(flatten(s, 0.01)) == 55 + 1


def test_a_straight_segment_is_one_chord_whatever_its_handles() -> None:
    bent = quarter(30.0)[None]
    assert len(flatten(Curve(bent, np.array([True]), closed=False))) == 2


def test_nothing_flattens_to_nothing() -> None:
    nothing = Curve(np.zeros((0, 4, 2)), np.zeros(0, dtype=bool), closed=False)
    assert flatten(nothing).shape == (0, 2)
    assert flatten_closed([]) == []


def test_many_curves_flatten_as_each_does_alone() -> None:
    leaf = np.stack([quarter(10.0), quarter(10.0)[::-1] * [1, 0.2] + [0, 8 - 10 * 0.2 + 2]])
    leaf[1, 0], leaf[1, 3] = leaf[0, 3], leaf[0, 0]
    curves = [
        Curve(leaf, np.array([False, False]), closed=True),
        polyline(np.array([[0.0, 0], [9, 0], [9, 9]]), closed=True),
        Curve(leaf * 3, np.array([False, True]), closed=True),
    ]
    for ring, curve in zip(flatten_closed(curves), curves, strict=True):
        assert ring.tolist() == flatten(curve).tolist()
        assert ring[0].tolist() == curve.segments[0, 0].tolist()


def test_a_reversed_curve_begins_where_it_ended() -> None:
    segments = np.stack([quarter(5.0), np.array([[0, 5], [-2, 5], [-4, 5], [-6, 5.0]])])
    back = reversed_curve(Curve(segments, np.array([False, True]), closed=False))
    assert back.segments[0].tolist() == segments[1, ::-1].tolist()
    assert back.segments[1].tolist() == segments[0, ::-1].tolist()
    assert back.straight.tolist() == [True, False]
    assert not back.closed


def test_straight_segments_have_their_handles_at_thirds() -> None:
    (segment,) = polyline(np.array([[0.0, 0], [9, 3]]), closed=False).segments
    assert segment.tolist() == [[0, 0], [3, 1], [6, 2], [9, 3]]


def test_a_level_cubic_that_is_not_told_to_be_straight_is_one_chord() -> None:
    (segment,) = polyline(np.array([[0.0, 0], [9, 0]]), closed=False).segments
    assert flatten(Curve(segment[None], np.array([False]), closed=False)).tolist() == [
        [0, 0],
        [9, 0],
    ]


def test_the_turn_is_that_of_the_control_polygon() -> None:
    """Legs of (10, 0), (0, 10) and (-10, 5): 90 and 63.4 degrees, 22 chords of 7."""
    hook = Curve(
        np.array([[[0, 0], [10, 0], [10, 10], [0, 15.0]]]), np.array([False]), closed=False
    )
    assert len(flatten(hook, 100.0)) == 22 + 1
