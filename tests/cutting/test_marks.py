"""Marks on pieces: within them, upright, clear of each other."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.cutting.marks import (
    CLEAR_MM,
    FLAT_INSET_MM,
    SMALLEST_LABEL_MM,
    grain_arrow,
    label_in,
    marks_on,
    side_marks,
)
from applique.cutting.nested import Placement, placed
from applique.geometry.lettering import lettered
from tests.cutting.pieces import cut_piece
from tests.shapes import circle, rectangle, ring, square, star

HERE = Placement(0, 0.0, 0.0, 0.0)


def lines(found: tuple[np.ndarray, ...]) -> shapely.MultiLineString:
    return shapely.MultiLineString([line.tolist() for line in found])


@settings(max_examples=20, deadline=None)
@given(st.sampled_from([star(), ring(30.0, 16.0), square(40.0), circle(8.0)]), st.floats(0, 359))
def test_all_marks_lie_in_the_piece_and_clear_of_its_edge(shape: object, angle: float) -> None:
    piece = cut_piece(shape, "17", has_grain=True)
    place = Placement(0, angle, 100.0, 50.0)
    inside = placed(piece.shape, place).buffer(-CLEAR_MM + 1e-6)
    assert inside.contains(lines(marks_on(piece, place).lines))


@pytest.mark.parametrize("angle", [0.0, 90.0, 137.0, 180.0])
def test_a_label_stands_upright_however_the_piece_is_turned(angle: float) -> None:
    """Its strokes are those of the letters, moved and not turned."""
    piece = cut_piece(square(40.0), "17")
    found = marks_on(piece, Placement(0, angle, 0.0, 0.0))
    assert found.labelled
    for line, stroke in zip(found.lines, lettered("17", 4.0), strict=True):
        assert line - line[0] == pytest.approx(stroke - stroke[0])


def test_a_label_shrinks_to_2_mm_and_then_is_left_out() -> None:
    small = label_in(rectangle(0.0, 0.0, 4.0, 2.1), "17")
    assert small is not None
    assert np.ptp(lines(small[0]).bounds[1::2]) == pytest.approx(SMALLEST_LABEL_MM)
    assert label_in(rectangle(0.0, 0.0, 4.0, 1.9), "17") is None
    assert label_in(shapely.Polygon(), "17") is None
    assert not marks_on(cut_piece(rectangle(0.0, 0.0, 30.0, 3.0), "17"), HERE).labelled


def test_the_arrow_keeps_off_the_label_and_follows_the_grain() -> None:
    """Turned by 30 degrees, clockwise as it is seen, up is half to the right."""
    piece = cut_piece(square(40.0), "17", has_grain=True)
    found = marks_on(piece, Placement(0, 30.0, 0.0, 0.0))
    label, arrow = lines(found.lines[:2]), lines(found.lines[2:])
    assert label.envelope.distance(arrow) >= 0.8
    shaft = found.lines[2]
    way = (shaft[0] - shaft[1]) / np.hypot(*(shaft[0] - shaft[1]))
    assert way == pytest.approx([0.5, -np.sqrt(0.75)])


@pytest.mark.parametrize(("turn", "heads"), [("any", 2), ("half", 2), ("none", 1)])
def test_a_print_with_a_top_has_one_head_which_points_up(turn: str, heads: int) -> None:
    arrow = grain_arrow(cut_piece(square(40.0), has_grain=True, turn=turn), HERE)
    shaft, *tips = arrow
    assert len(tips) == heads
    assert tips[0][1] == pytest.approx(shaft[:, 1].min() * np.array([0, 1]) + [shaft[0, 0], 0])
    assert np.ptp(shaft[:, 0]) == 0.0


def test_without_a_grain_or_without_room_there_is_no_arrow() -> None:
    assert grain_arrow(cut_piece(square(40.0)), HERE) == ()
    assert grain_arrow(cut_piece(circle(4.0), has_grain=True), HERE) == ()


def test_a_side_that_stays_flat_has_a_second_line_inside() -> None:
    side = np.array([[0.0, 0.0], [30.0, 0.0]])
    piece = cut_piece(rectangle(0.0, 0.0, 30.0, 20.0), flat=(side,))
    (second,) = side_marks(piece, Placement(0, 90.0, 50.0, 0.0))
    # A quarter clockwise the upper side is the right one, at x = 50.
    assert second[:, 0] == pytest.approx(50.0 - FLAT_INSET_MM)
    assert np.ptp(second[:, 1]) == pytest.approx(30.0, abs=0.01)


def test_clips_are_turned_with_their_piece() -> None:
    clip = np.array([[10.0, 0.0], [10.0, 5.0]])
    piece = cut_piece(rectangle(0.0, 0.0, 30.0, 20.0), kind="allowance", clips=(clip,))
    (found,) = side_marks(piece, Placement(0, 180.0, 30.0, 20.0))
    assert found == pytest.approx(np.array([[20.0, 20.0], [20.0, 15.0]]))


def test_labels_keep_off_clips() -> None:
    clips = tuple(np.array([[x, 0.0], [x, 12.0]]) for x in np.arange(2.0, 30.0, 2.0))
    piece = cut_piece(rectangle(0.0, 0.0, 30.0, 20.0), "17", clips=clips)
    found = marks_on(piece, HERE)
    assert found.labelled
    assert lines(found.lines[:2]).distance(lines(clips)) >= 0.8 - 1e-9
