"""Which stretches of an edge are sewn on without a trim: those whose stitch between is not seen."""

import numpy as np
import pytest

from applique.stitches.joins import joined_lines
from applique.stitches.line import plain_line
from applique.stitches.steps import Lines
from tests.shapes import laid, rectangle, square

STEPS = np.arange(0, 10, 0.5)


def two_stretches(apart_mm: float = 3.0) -> Lines:
    """Two plain stretches of an edge along the top of a square, the second a little further on."""
    first = np.stack([STEPS, np.zeros_like(STEPS)], axis=1)
    second = first + np.array([first[-1, 0] + apart_mm, 0])
    return [("edge", plain_line(first)), ("edge", plain_line(second))]


@pytest.mark.parametrize("edge", ["satin", "blanket", "zigzag", "straight"])
def test_a_stitch_in_sight_is_trimmed(edge: str) -> None:
    assert joined_lines(two_stretches(), laid(square(40), edge=edge), False) == [False]


def test_a_stitch_beneath_a_piece_above_is_sewn() -> None:
    covered = laid(square(40), above=rectangle(9, -5, 4, 10))
    assert joined_lines(two_stretches(), covered, False) == [True]


def test_a_stitch_half_beneath_it_is_trimmed() -> None:
    covered = laid(square(40), above=rectangle(11, -5, 4, 10))
    assert joined_lines(two_stretches(), covered, False) == [False]


def test_pieces_above_cover_nothing_where_edges_are_sewn_last() -> None:
    covered = laid(square(40), above=rectangle(9, -5, 4, 10))
    assert joined_lines(two_stretches(), covered, True) == [False]


def test_a_stitch_on_the_satin_itself_is_sewn() -> None:
    way = np.stack([STEPS, np.zeros_like(STEPS)], axis=1)
    back = [("edge", plain_line(way)), ("edge", plain_line(way + np.array([6.0, 0.1])))]
    assert joined_lines(back, laid(square(40)), False) == [True]
    # A blanket stitch hides nothing.
    assert joined_lines(back, laid(square(40), edge="blanket"), False) == [False]


def test_stretches_that_lie_far_apart_are_trimmed() -> None:
    covered = laid(square(40), above=rectangle(0, -5, 40, 10))
    assert joined_lines(two_stretches(apart_mm=5.0), covered, False) == [False]


def test_what_the_edge_will_cover_is_sewn_on() -> None:
    (_, first), (_, second) = two_stretches()
    lines: Lines = [("underlay", first), ("edge", second)]
    assert joined_lines(lines, laid(square(40)), False) == [True]
