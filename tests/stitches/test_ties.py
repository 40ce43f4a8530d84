import numpy as np
import pytest

from applique.stitches.ties import tied
from tests.shapes import stitch_lengths

LINE = np.array([[0.0, 0], [3, 0], [6, 0], [9, 0]])


def test_three_small_stitches_lock_each_end() -> None:
    # Three stitches are the usual tie; their length is common practice (docs/sources.md).
    points = tied(LINE, LINE, LINE[::-1], 0.8)
    lengths = stitch_lengths(points)
    assert lengths[:3] == pytest.approx(0.8)
    assert lengths[-3:] == pytest.approx(0.8)
    assert (lengths > 1).sum() == 3


def test_ties_lie_on_the_line_itself() -> None:
    points = tied(LINE, LINE, LINE[::-1], 0.8)
    assert points[:, 1].tolist() == [0.0] * len(points)
    assert points[:, 0].min() == 0
    assert points[:, 0].max() == 9


def test_an_end_that_is_sewn_on_gets_none() -> None:
    assert np.array_equal(tied(LINE, None, None, 0.8), LINE)
    assert stitch_lengths(tied(LINE, LINE, None, 0.8))[-1] == pytest.approx(3)


def test_a_line_shorter_than_a_tie_is_still_tied() -> None:
    short = np.array([[0.0, 0], [0.5, 0]])
    assert stitch_lengths(tied(short, short, None, 0.8)).max() == pytest.approx(0.5)


def test_a_tie_on_a_winding_line_is_as_long_as_any() -> None:
    # As the middles of rungs do at the point of a mitre.
    winding = np.array([[0.0, 0], [0.2, 0.1], [0.1, 0.3], [0.3, 0.2], [0.1, 0.1], [4.0, 0.4]])
    assert stitch_lengths(tied(winding, winding, None, 0.8))[:3] == pytest.approx(0.8)
