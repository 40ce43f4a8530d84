"""Stitch lengths: the shortest, the longest, where they are, and how many of which length."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from applique.proof.lengths import BINS_MM, bin_names, lengths
from tests.strategies import coordinates


def along(*stitches: float) -> np.ndarray:
    """A path along the x axis with stitches of these lengths."""
    x = np.concatenate([[0.0], np.cumsum(stitches)])
    return np.stack([x, np.zeros_like(x)], axis=1)


def test_the_shortest_and_the_longest_have_a_place_in_their_middle() -> None:
    found = lengths([along(2.0, 0.4, 3.0), along(2.5)])
    assert found.stitches == 4
    assert found.shortest_mm == pytest.approx(0.4)
    assert found.shortest_place == pytest.approx((2.2, 0.0))
    assert found.longest_mm == pytest.approx(3.0)
    assert found.longest_place == pytest.approx((3.9, 0.0))


@pytest.mark.parametrize(
    ("length", "name"),
    [
        (0.49, "under 0.5"),
        (0.5, "0.5 to 1"),
        (1.0, "1 to 2"),
        (6.99, "6 to 7"),
        (7.0, "7 to 12.1"),
        (12.1, "12.1 and over"),
        (40.0, "12.1 and over"),
    ],
)
def test_a_bin_holds_its_lower_side(length: float, name: str) -> None:
    counts = dict(zip(bin_names(), lengths([along(length)]).histogram, strict=True))
    assert {name: 1} == {bin: count for bin, count in counts.items() if count}


def test_a_needle_point_sewn_twice_is_no_stitch() -> None:
    assert lengths([along(2.0, 0.0, 2.0)]).shortest_mm == pytest.approx(2.0)


@pytest.mark.parametrize("paths", [[], [np.zeros((0, 2))], [np.zeros((1, 2))], [np.zeros((3, 2))]])
def test_without_stitches_there_is_nothing_to_tell(paths: list[np.ndarray]) -> None:
    found = lengths(paths)
    assert (found.stitches, found.shortest_place, sum(found.histogram)) == (0, None, 0)


@given(st.lists(st.tuples(coordinates, coordinates), min_size=2, max_size=20))
def test_every_stitch_lies_in_the_one_bin_that_is_its_own(
    points: list[tuple[float, float]],
) -> None:
    found = lengths([np.array(points)])
    each = [math.dist(a, b) for a, b in itertools.pairwise(points)]
    sewn = [length for length in each if length > 1e-6]
    assert found.stitches == len(sewn) == sum(found.histogram)
    for k, count in enumerate(found.histogram):
        near = 1e-9
        surely = sum(BINS_MM[k] + near <= length < BINS_MM[k + 1] - near for length in sewn)
        perhaps = sum(BINS_MM[k] - near <= length < BINS_MM[k + 1] + near for length in sewn)
        assert surely <= count <= perhaps
