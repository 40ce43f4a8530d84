"""Times of a quilt in words."""

import pytest

from applique.quilt.words import time_words


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0.44, "0 min"), (59.4, "59 min"), (59.6, "1 h"), (125, "2 h 5 min"), (3000, "50 h")],
)
def test_long_times_are_told_in_hours(minutes: float, words: str) -> None:
    assert time_words(minutes) == words
