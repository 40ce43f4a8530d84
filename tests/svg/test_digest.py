"""Fingerprints change when what they cover changes, and only then."""

import numpy as np
import pytest
from shapely.affinity import translate

from applique.model import Thread
from applique.svg.digest import digest_of, made_of
from tests.shapes import circle, laid, square


def test_the_same_piece_has_the_same_digest() -> None:
    assert digest_of(laid(square(20))) == digest_of(laid(square(20)))


@pytest.mark.parametrize(
    "other",
    [
        laid(square(20.01)),
        laid(translate(square(20), 0.01, 0)),
        laid(square(20), edge_width=3.6),
        laid(square(20), edge="blanket"),
        laid(square(20), tack="run"),
        laid(square(20), thread=Thread("#000000")),
    ],
)
def test_what_changes_stitches_changes_the_digest(other) -> None:
    assert digest_of(other) != digest_of(laid(square(20)))


def test_a_rounding_error_changes_nothing() -> None:
    noisy = square(20 + 1e-7)
    assert digest_of(laid(noisy)) == digest_of(laid(square(20)))


def test_a_piece_above_counts_only_where_the_edge_meets_it() -> None:
    alone = digest_of(laid(square(40)))
    assert digest_of(laid(square(40), above=circle(5, 20, 20))) == alone
    assert digest_of(laid(square(40), above=circle(5, 41, 20))) != alone


def test_made_is_taken_from_the_numbers_as_written() -> None:
    path = np.array([[1.0005, 2.0], [3.25, 4.125]])
    assert made_of([path], 3) == made_of([np.round(path, 3)], 3)
    assert made_of([path], 3) != made_of([path[::-1]], 3)
    assert made_of([path, path], 3) != made_of([np.vstack([path, path])], 3)
