import numpy as np
import pytest

from applique.geometry.curves import (
    FLATNESS_MM,
    flatten,
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
