"""Numbers in the order in which one reads a page."""

from __future__ import annotations

import numpy as np
import pytest

from applique.errors import UsageError
from applique.trace.number import Item, labels_for, reading_order


def item(x: float, y: float, w: float = 20, h: float = 20, inside: int | None = None) -> Item:
    """A shape by its middle."""
    return Item((x - w / 2, y - h / 2, x + w / 2, y + h / 2), inside)


GRID = [(x, y) for y in (20.0, 60.0, 100.0) for x in (20.0, 60.0, 100.0, 140.0)]


@pytest.mark.parametrize("seed", range(4))
def test_grid_is_read_row_by_row(seed):
    order = np.random.default_rng(seed).permutation(len(GRID))
    shuffled = [item(*GRID[k]) for k in order]
    assert [GRID[order[k]] for k in reading_order(shuffled)] == GRID


@pytest.mark.parametrize("slope", [-0.09, -0.03, 0.03, 0.09])
def test_rows_may_run_askew(slope):
    # Five degrees: 12 mm over a row of 120 mm.
    askew = [item(x, y + slope * x) for x, y in GRID]
    assert reading_order(askew) == list(range(12))


def test_high_and_low_shapes_stand_in_one_row():
    assert reading_order([item(20, 30, h=50), item(60, 15, h=12), item(100, 45, h=12)]) == [0, 1, 2]


def test_shapes_above_each_other_are_rows():
    assert reading_order([item(20, 60), item(22, 20), item(18, 100)]) == [1, 0, 2]


def test_what_lies_inside_comes_right_after():
    items = [
        item(140, 30),
        item(30, 30, 50, 50),
        item(40, 30, 10, 10, inside=1),
        item(20, 30, 12, 12, inside=1),
        item(20, 30, 4, 4, inside=3),
    ]
    assert reading_order(items) == [1, 3, 4, 2, 0]


def test_nothing_has_no_order():
    assert reading_order([]) == []


def test_labels_count_from_the_first():
    assert labels_for(3, 1, ()) == ["1", "2", "3"]
    assert labels_for(2, 17, ()) == ["17", "18"]


def test_labels_given_come_first_and_are_not_taken_again():
    assert labels_for(4, 1, ("A1", "2")) == ["A1", "2", "1", "3"]
    assert labels_for(2, 1, ("B7", "A")) == ["B7", "A"]


def test_too_many_labels():
    with pytest.raises(UsageError, match="3 numbers are given, but 2 templates were found"):
        labels_for(2, 1, ("1", "2", "3"))


def test_label_given_twice():
    with pytest.raises(UsageError, match="the number A1 is given twice"):
        labels_for(3, 1, ("A1", "2", "A1"))
