"""Sizes and places: exact boxes of curves, and how large a block gets."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from applique.artwork.place import Wanted, box_of, placed
from applique.errors import UsageError
from applique.geometry.curves import flatten
from applique.model import Curve
from applique.svg.paths import parse_path
from applique.svg.transforms import apply


@given(st.lists(st.floats(-50, 50, width=16), min_size=8, max_size=8))
def test_the_box_of_a_cubic_is_that_of_its_points(numbers: list[float]) -> None:
    curve = Curve(np.array(numbers).reshape(1, 4, 2), np.zeros(1, dtype=bool), closed=False)
    points = flatten(curve, 1e-6)
    expected = (*points.min(axis=0), *points.max(axis=0))
    assert box_of([curve]) == pytest.approx(expected, abs=1e-4)


def test_the_box_of_a_circle() -> None:
    circle = parse_path("M10 20 A30 30 0 0 1 70 20 A30 30 0 0 1 10 20 Z")
    assert box_of(circle) == pytest.approx((10, -10, 70, 50), abs=1e-3)


def test_centred_on_a_page_with_room_around() -> None:
    placing = placed((5, 10, 105, 60), Wanted(width_mm=150.3), None, fills_block=False)
    assert placing.artwork_mm == pytest.approx((150.3, 75.15))
    assert placing.finished_mm == pytest.approx((151 + 25.4, 76 + 25.4))
    assert placing.page_mm == pytest.approx((151 + 50.8, 76 + 50.8))
    middle = apply(placing.matrix, np.array([[55.0, 35.0]]))[0]
    assert middle == pytest.approx(np.array(placing.page_mm) / 2)


def test_whole_millimetres_are_not_rounded_up() -> None:
    placing = placed((0, 0, 3, 3), Wanted(height_mm=200), None, fills_block=False)
    assert placing.finished_mm == (225.4, 225.4)


def test_a_block_that_is_filled_has_the_artworks_size() -> None:
    placing = placed((0, 0, 30, 20), Wanted(height_mm=100), None, fills_block=True)
    assert placing.finished_mm == pytest.approx((150, 100))


def test_a_given_size_holds() -> None:
    placing = placed((0, 0, 30, 20), Wanted(height_mm=100), (254, 254), fills_block=True)
    assert placing.finished_mm == (254, 254)
    assert placing.page_mm == pytest.approx((279.4, 279.4))


def test_a_flat_artwork_takes_its_other_side() -> None:
    assert Wanted(width_mm=100).scale_for((0, 0, 0, 50)) == 2


def test_larger_than_any_block_is_refused() -> None:
    with pytest.raises(UsageError, match="make the artwork or the block smaller"):
        placed((0, 0, 1, 500), Wanted(width_mm=100), None, fills_block=False)
