"""How often shapes cross themselves, against a count known beforehand: the regular star {n/k}
crosses itself n (k - 1) times, for each of its sides crosses k - 1 others on either half."""

import numpy as np
import pytest
import shapely

from applique.geometry.tangled import (
    MOST_CROSSINGS,
    MOST_RINGS,
    TangledError,
    check_crossings,
    check_number,
    crossings_in,
)


def star_polygon(corners: int, step: int) -> np.ndarray:
    angles = np.arange(corners) * step * 2 * np.pi / corners
    return 50 * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def box(x: float, y: float, side: float) -> np.ndarray:
    return np.array([[x, y], [x + side, y], [x + side, y + side], [x, y + side]])


@pytest.mark.parametrize(
    ("corners", "step"), [(5, 1), (5, 2), (7, 2), (7, 3), (101, 50), (399, 2), (1001, 3)]
)
def test_a_star_crosses_itself_as_often_as_is_known(corners: int, step: int) -> None:
    for scale in (1.0, 0.001):
        assert crossings_in([scale * star_polygon(corners, step)]) == corners * (step - 1)


def test_sides_of_different_rings_cross_too() -> None:
    assert crossings_in([box(0, 0, 10), box(5, 5, 10)]) == 2
    assert crossings_in([box(0, 0, 10), box(2, -3, 4)]) == 2
    assert crossings_in([box(0, 0, 10), box(20, 0, 10), box(2, 2, 3)]) == 0
    assert crossings_in([]) == 0


def test_touching_is_no_crossing() -> None:
    tooth = np.array([[0, 0], [5, 8], [10, 0], [10, 10], [5, 8], [0, 10.0]])
    assert crossings_in([tooth]) == 0
    assert crossings_in([box(0, 0, 10), box(10, 0, 10)]) == 0


def test_of_many_sides_a_sample_tells_about_how_often_they_cross() -> None:
    """A comb of 600 long sides, and the same comb lying across it: every side crosses every one of
    the other's."""
    teeth = np.array([[x, y] for x in range(300) for y in (0, 300)]) + 0.25
    down = np.vstack([teeth, [[400, -9], [-9, -9]]])
    assert crossings_in([down, down[:, ::-1]]) == pytest.approx(600 * 600, rel=0.03)


def test_a_shape_that_crosses_itself_too_often_is_refused() -> None:
    most = star_polygon(1000, 21)
    assert crossings_in([most]) == MOST_CROSSINGS
    check_crossings([most])
    with pytest.raises(TangledError, match="crosses itself too often"):
        check_crossings([star_polygon(1003, 21)])


def test_too_many_rings_are_refused() -> None:
    places = np.arange(MOST_RINGS)[:, None, None] * np.array([2, 0])
    apart = list(shapely.linearrings(places + box(0, 0, 1)))
    check_number(apart)
    with pytest.raises(TangledError, match="more than 20000 sub-paths"):
        check_number([*apart, apart[0]])


def test_rings_within_too_many_others_are_refused() -> None:
    """A thousand rings in one place are a million pairs, which is the most."""
    ring = shapely.linearrings(box(0, 0, 1))
    check_number([ring] * 1000)
    with pytest.raises(TangledError, match="within one another"):
        check_number([ring] * 1001)
