"""Needle density, counted one pair at a time."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.proof.crowding import CIRCLE_MM, counts, crowding

near = st.floats(-2, 2).map(lambda mm: round(mm, 2))


@given(st.lists(st.tuples(near, near), min_size=1, max_size=40, unique=True))
@settings(max_examples=60)
def test_counts_are_those_of_every_pair(points: list[tuple[float, float]]) -> None:
    places = np.array(points)
    radius = CIRCLE_MM / 2
    apart = np.hypot(*(places[:, None] - places[None, :]).transpose(2, 0, 1))
    clear = np.abs(apart - radius) > 1e-9
    at_least = (clear & (apart < radius)).sum(axis=1)
    at_most = (~clear | (apart < radius)).sum(axis=1)
    found = counts(places)
    assert ((at_least <= found) & (found <= at_most)).all()


def test_a_satin_rail_has_three_points_in_a_circle() -> None:
    rail = np.stack([0.4 * np.arange(10), np.zeros(10)], axis=1)
    assert counts(rail).tolist() == [2, *[3] * 8, 2]


def test_without_penetrations_nothing_is_crowded() -> None:
    found = crowding(np.zeros((0, 2)))
    assert (found.most, found.place) == (0, None)
