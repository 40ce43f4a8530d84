"""The lower bound on sheets holds, and is met where the best is known."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon

from applique.cutting.bound import least_sheets
from applique.cutting.nested import NestedSheet, NestingTask, Placement, Stock, rectangle
from applique.cutting.validity import faults_of
from tests.shapes import circle, ell, ring, square
from tests.shapes import rectangle as upright

MAT = rectangle("mat", 100, 100)


def bound(shapes: list[MultiPolygon], *stocks: Stock, **changed) -> int:
    known = {"turn": "any", "gap_mm": 0.0, "margin_mm": 0.0}
    names = tuple(map(str, range(len(shapes))))
    return least_sheets(
        NestingTask(names, tuple(shapes), stocks=stocks or (MAT,), **(known | changed))
    )


def test_nothing_needs_no_sheet_and_a_little_needs_one() -> None:
    assert bound([]) == 0
    assert bound([square(1)]) == 1


def test_squares_that_tile_a_sheet_need_just_that_sheet() -> None:
    assert bound([square(25)] * 16) == 1
    assert bound([square(25)] * 17) == 2
    # The same with gaps: 4 squares of 22 mm, 3 gaps of 4 mm.
    assert bound([square(22)] * 16, gap_mm=4.0) == 1
    # And with margins of 10 mm.
    assert bound([square(20)] * 16, margin_mm=10.0) == 1


@pytest.mark.parametrize(
    ("side_in", "count"),
    [
        (2, 99),
        (2.5, 56),
        (3, 42),
        (3.5, 30),
        (4, 20),
        (4.5, 16),
        (5, 12),
        (5.5, 12),
        (6, 9),
        (6.5, 6),
    ],
)
def test_what_the_fat_quarter_table_cuts_from_one_is_never_said_to_need_two(
    side_in: float, count: int
) -> None:
    """Source: docsbay.net, number of squares from a fat quarter (18 x 22 in)."""
    quarter = rectangle("fat quarter", 22 * 25.4, 18 * 25.4)
    assert bound([square(side_in * 25.4)] * count, quarter) == 1
    assert bound([square(2 * 25.4)] * 100, quarter) == 2  # 99 squares are all of its area


def test_the_gap_counts() -> None:
    # Grown by half the gap, 8 discs of radius 15 are 8 pi 17.5^2 = 7697 of (100 + 5)^2 = 11025.
    discs = [circle(15)] * 11
    assert bound(discs) == 1
    assert bound([circle(15)] * 12, gap_mm=5.0) == 2


def test_small_and_large_sheets_and_few_of_them() -> None:
    large = rectangle("large", 100, 200, count=1)
    assert bound([square(50)] * 8, large, MAT) == 1
    assert bound([square(50)] * 9, large, MAT) == 2
    assert bound([square(50)] * 13, large, MAT) == 3
    assert bound([square(50)] * 9, large) == 2  # one more than there are


def test_discs_too_large_to_share_a_sheet() -> None:
    # Two equal discs in a square of 1: radius 1 / (2 + sqrt(2)) = 0.29289 (elementary).
    fits, does_not = 29.28, 29.32
    assert bound([circle(fits)] * 3) == 1  # their area: 8080 of 10000
    assert bound([circle(does_not)] * 3) == 3
    assert bound([circle(does_not), circle(fits - 0.5)], turn="half") == 1
    # Rings count by their material: the disc may lie in the hole.
    assert bound([ring(40, 30), circle(29.5)]) == 1


def test_upright_rectangles_too_large_to_share_a_sheet() -> None:
    tall, wide = upright(0, 0, 30, 60), upright(0, 0, 71, 41)
    assert bound([tall, wide], turn="none") == 2
    assert bound([tall, wide], turn="any") == 1
    assert bound([tall, upright(0, 0, 70, 41)], turn="half") == 1
    # Turned by a quarter they would: 60 x 30 above 71 x 41.
    assert bound([tall, upright(0, 0, 68, 38)], turn="none", gap_mm=3.0) == 2
    assert bound([tall, upright(0, 0, 67, 41)], turn="none", gap_mm=3.0) == 1


def test_shapes_that_interlock_are_not_kept_apart() -> None:
    # Two angles with sides of 90 and arms of 20 lie one in the other turned by half a turn.
    assert bound([ell(90, 20)] * 2, turn="half") == 1


def test_a_scrap_counts_by_what_is_left_of_it() -> None:
    sheet = shapely.box(0, 0, 100, 100).difference(shapely.box(20, 20, 100, 100))
    scrap = Stock("scrap", sheet)
    assert bound([upright(0, 0, 20, 90)] * 2, scrap) == 1
    assert bound([upright(0, 0, 20, 91)] * 2, scrap, turn="any") == 2


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.floats(8, 60), min_size=1, max_size=12),
    st.floats(0, 6),
    st.floats(0, 6),
    st.sampled_from(["any", "half", "none"]),
)
def test_no_valid_nesting_needs_fewer_sheets(sides, gap_mm, margin_mm, turn) -> None:
    """Squares laid in shelves without a fault take no fewer sheets than the bound."""
    shapes = [square(side) for side in sides]
    sheets: list[list[Placement]] = [[]]
    x = y = margin_mm
    row = 0.0
    for k in np.argsort([-side for side in sides]).tolist():
        if x + sides[k] > 100 - margin_mm:
            x, y, row = margin_mm, y + row + gap_mm, 0.0
        if y + sides[k] > 100 - margin_mm:
            sheets.append([])
            x, y = margin_mm, margin_mm
        sheets[-1].append(Placement(k, 0.0, x, y))
        x, row = x + sides[k] + gap_mm, max(row, sides[k])
    names = tuple(map(str, range(len(shapes))))
    task = NestingTask(names, tuple(shapes), turn, (MAT,), gap_mm, margin_mm)
    nesting = [NestedSheet(MAT, tuple(places)) for places in sheets]
    assert faults_of(task, nesting) == []
    assert least_sheets(task) <= len(nesting)
