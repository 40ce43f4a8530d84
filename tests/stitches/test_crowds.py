"""Crowded places, found by a grid and a tree, against counting every pair."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from applique.stitches.crowds import MOST, RADIUS_MM, crowded_places, within

seeds = st.integers(0, 2**32 - 1)


@given(seeds, st.integers(2, 120), st.floats(0.5, 8.0))
def test_every_crowded_point_lies_in_a_place_found(seed: int, count: int, room_mm: float) -> None:
    points = np.random.default_rng(seed).uniform(-room_mm, room_mm, (count, 2))
    crowded = np.flatnonzero(within(points, points).sum(axis=1) > MOST)
    places = crowded_places(points)
    assert set(crowded.tolist()) <= {k for near in places for k in near.tolist()}
    assert bool(places) == bool(len(crowded))


def test_seven_points_in_a_circle_are_one_too_many() -> None:
    row = np.stack([np.linspace(0, RADIUS_MM, MOST + 1), np.zeros(MOST + 1)], axis=1)
    assert len(crowded_places(row)) == 1
    assert crowded_places(row[:-1]) == []
