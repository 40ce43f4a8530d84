import numpy as np
import pytest

from applique.geometry.lines import dense, flanked, length_inside, without_jitter
from tests.shapes import square


def line(*points: tuple[float, float]) -> np.ndarray:
    return np.array(points, dtype=float)


def test_points_that_stray_by_less_than_the_jitter_are_left_out() -> None:
    """Less than 0.004 mm."""
    little, more = 0.0038, 0.006
    assert without_jitter(line((0, 0), (3, little), (7, 0), (10, 0)), closed=False).tolist() == [
        [0, 0],
        [10, 0],
    ]
    bent = line((0, 0), (3, 0), (5, more), (10, 0))
    assert without_jitter(bent, closed=False).tolist() == bent[[0, 2, 3]].tolist()


def test_a_closed_line_keeps_its_first_point_and_its_corners() -> None:
    ring = line((5, 0), (10, 0), (10, 5), (10, 10), (0, 10), (0, 0))
    assert without_jitter(ring, closed=True).tolist() == ring[[0, 1, 3, 4, 5]].tolist()
    # The same from its corner (10, 0) on.
    assert without_jitter(ring[[1, 2, 3, 4, 5, 0]], closed=True).tolist() == [
        [10, 0],
        [10, 10],
        [0, 10],
        [0, 0],
    ]


def test_of_points_in_one_place_the_first_is_kept_and_both_ends_are() -> None:
    near, apart = 0.0095, 0.0105
    twice = line((0, 0), (5, 5), (5, 5 + near), (10, 0))
    assert without_jitter(twice, closed=False).tolist() == [[0, 0], [5, 5], [10, 0]]
    step = line((0, 0), (5, 5), (5, 5 + apart), (10, 0))
    assert without_jitter(step, closed=False).tolist() == step.tolist()
    end = line((0, 0), (5, 5), (10, 0), (10 + near, 0))
    assert without_jitter(end, closed=False).tolist() == end.tolist()
    begin = line((0, 0), (near, 0), (5, 5), (10, 0))
    assert without_jitter(begin, closed=False).tolist() == begin[[0, 2, 3]].tolist()


def test_three_points_are_too_few_to_leave_one_out() -> None:
    three = line((0, 0), (5, 0), (10, 0))
    assert without_jitter(three, closed=False) is three
    four = line((0, 0), (5, 0), (7, 0), (10, 0))
    assert without_jitter(four, closed=False).tolist() == [[0, 0], [10, 0]]
    sliver = line((0, 0), (50, 0), (50, 0.001), (0, 0.001))
    assert without_jitter(sliver, closed=True) is sliver


def test_long_chords_are_divided_evenly() -> None:
    assert dense(line((0, 0), (10, 0), (10, 2), (10, 8)), 3).tolist() == [
        *([x, 0] for x in (0, 2.5, 5, 7.5)),
        [10, 0],
        [10, 2],
        [10, 5],
        [10, 8],
    ]


def test_a_line_that_is_dense_enough_stays() -> None:
    short = line((0, 0), (3, 0), (3, 2))
    assert dense(short, 3) is short
    assert len(dense(short, 2.9)) == 4


def test_inner_vertices_are_flanked_where_their_chords_are_long_enough() -> None:
    # Chords of 10, 0.5, 2 and 10 mm; one of exactly twice the distance is not long enough.
    stairs = line((0, 0), (10, 0), (10, 0.5), (12, 0.5), (12, 10.5))
    assert flanked(stairs, 1).tolist() == [
        [0, 0],
        [9, 0],
        [10, 0],
        [10, 0.5],
        [12, 0.5],
        [12, 1.5],
        [12, 10.5],
    ]
    assert len(flanked(stairs, 0.9)) == 9


def test_there_is_nothing_to_flank_on_a_single_chord_or_on_short_ones() -> None:
    single, short = line((0, 0), (10, 0)), line((0, 0), (1, 0), (1, 1))
    assert flanked(single, 1) is single
    assert flanked(short, 1) is short


def test_the_length_of_lines_inside_a_shape() -> None:
    # Through a square of 20 mm: all across, from a corner in, past it, and from corner to corner.
    starts, ends = (
        line((-5, 5), (0, 0), (-5, 21), (-9, -9)),
        line((25, 5), (3, 4), (25, 21), (29, 29)),
    )
    assert length_inside(starts, ends, square(20)) == pytest.approx([20, 5, 0, 20 * 2**0.5])
