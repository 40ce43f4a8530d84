"""The rules of the shop, against published examples and closed forms."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from applique.quilt.yardage import (
    BACKING_SEAM_MM,
    background_cut_mm,
    binding_length_mm,
    binding_strips,
    fitting_across,
    hooped_length_mm,
    length_in_rows,
    panels_for,
    strips_for,
)
from applique.units import MM_PER_YARD

INCH = 25.4

FAT_QUARTER_SQUARES = {
    **{2.0: 99, 2.5: 56, 3.0: 42, 3.5: 30, 4.0: 20},
    **{4.5: 16, 5.0: 12, 5.5: 12, 6.0: 9, 6.5: 6},
}
"""Squares of a side (in) from a fat quarter of 18 x 22 in
(docsbay.net/number-of-squares-from-a-fat-quarter)."""


@pytest.mark.parametrize(("side", "published"), FAT_QUARTER_SQUARES.items())
def test_squares_from_a_fat_quarter_as_published(side: float, published: int) -> None:
    rows = fitting_across(side * INCH, 18 * INCH)
    assert rows * fitting_across(side * INCH, 22 * INCH) == published
    assert length_in_rows(published, (side * INCH,) * 2, 22 * INCH) <= 18 * INCH + 1e-6


def test_pieces_across_the_width_as_published() -> None:
    """40 / 3.875 = 10.32, so 10 (petiterepublic.com)."""
    assert fitting_across(3.875 * INCH, 40 * INCH) == 10


def test_rows_of_squares_by_the_published_rule() -> None:
    """Per row floor(W / w), rows ceil(n / k), length rows x h (craftmathcalc.com)."""
    assert length_in_rows(48, (3.875 * INCH, 3.875 * INCH), 40 * INCH) == pytest.approx(
        5 * 3.875 * INCH
    )
    assert length_in_rows(4, (10 * INCH, 9 * INCH), 40 * INCH) == pytest.approx(9 * INCH)
    with pytest.raises(ValueError, match="can't be cut"):
        length_in_rows(1, (41 * INCH, 5 * INCH), 40 * INCH)


def test_a_yard_is_exact() -> None:
    assert MM_PER_YARD == 914.4


def test_binding_of_a_quilt_of_60_by_80_inches() -> None:
    """2 (60 + 80) + 10 = 290 in; 290 / 40 = 7.25, so 8 strips of 2 1/2 in: 20 in (common practice).
    Joined at 45 degrees, 8 strips give 8 x 40 - 7 x 2.5 = 302.5 in, and 7 give 265."""
    assert binding_length_mm(60 * INCH, 80 * INCH) == pytest.approx(290 * INCH)
    assert binding_strips(60 * INCH, 80 * INCH, 2.5 * INCH, 40 * INCH) == 8


def test_joins_can_cost_a_strip_more() -> None:
    """310 in: 7.75 strips of 40 in, but 8 joined give 302.5 in."""
    assert math.ceil(310 / 40) == 8
    assert binding_strips(70 * INCH, 80 * INCH, 2.5 * INCH, 40 * INCH) == 9


def test_a_slanted_join_costs_a_strips_width() -> None:
    """Two strips laid crosswise share a square; the seam is its diagonal, and beyond it nothing is
    left of either: what remains has the area of a strip shorter by its width."""
    wide, long = 63.5, 400.0
    level, upright = shapely.box(0, 0, long, wide), shapely.box(long - wide, 0, long, long)
    corner = shapely.Polygon([(long, 0), (long, wide), (long - wide, wide)])
    other = shapely.Polygon([(long, 0), (long - wide, wide), (long - wide, 0)])
    left_of_both = level.difference(corner).area + upright.difference(other).area
    assert left_of_both == pytest.approx(wide * (2 * long - wide))


@given(st.floats(1, 50_000), st.floats(300, 1500), st.floats(0, 200))
def test_strips_are_the_fewest_that_reach(total: float, usable: float, join: float) -> None:
    count = strips_for(total, usable, join)
    assert count * usable - (count - 1) * join >= total - 0.01
    if count > 1:
        assert (count - 1) * usable - (count - 2) * join < total


def test_strips_that_a_join_uses_up_are_refused() -> None:
    with pytest.raises(ValueError, match="can't be joined"):
        strips_for(100.0, 50.0, 50.0)
    assert strips_for(0.0, 1000.0, 10.0) == 0


def test_backing_takes_the_direction_that_needs_less() -> None:
    """60 x 90 in from 42 in: seams up it take 2 panels of 90 in, across 3 of 60: both 180 in. At
    60 x 80 in seams up take 160 in, across (42 + 41 >= 80, half inch seams) 120 in."""
    even = panels_for(60 * INCH, 90 * INCH, 42 * INCH, BACKING_SEAM_MM)
    assert (even.count, even.upright, even.length_mm) == (2, True, pytest.approx(180 * INCH))
    across = panels_for(60 * INCH, 80 * INCH, 42 * INCH, BACKING_SEAM_MM)
    assert (across.count, across.upright, across.length_mm) == (2, False, pytest.approx(120 * INCH))
    up = panels_for(80 * INCH, 100 * INCH, 42 * INCH, BACKING_SEAM_MM)
    assert (up.count, up.upright, up.length_mm) == (2, True, pytest.approx(200 * INCH))


def test_seams_are_reckoned_with_in_panels() -> None:
    """Two of 42 in with seams of half an inch give 83 in, not 84."""
    assert panels_for(83.0 * INCH, 83.2 * INCH, 42 * INCH, BACKING_SEAM_MM).count == 2
    assert panels_for(83.1 * INCH, 83.1 * INCH, 42 * INCH, BACKING_SEAM_MM).count == 3


def test_a_narrow_quilt_needs_one_panel() -> None:
    one = panels_for(40 * INCH, 50 * INCH, 42 * INCH, BACKING_SEAM_MM)
    assert (one.count, one.length_mm) == (1, pytest.approx(50 * INCH))


def test_stabiliser_in_rows_turned_where_that_takes_less() -> None:
    # 500 mm: two of 210 mm lie side by side, 310 mm long: 3 rows of them for 5.
    assert hooped_length_mm([(210.0, 310.0)] * 5, 500.0) == 930.0
    # 630 mm: turned, two of 310 lie side by side and take 210 each row; upright three, 310 a row.
    assert hooped_length_mm([(210.0, 310.0)] * 4, 630.0) == 420.0
    # Different sizes lie in rows of their own: 210 mm turned, and 210 mm.
    assert hooped_length_mm([(210.0, 310.0), (210.0, 210.0)], 500.0) == 420.0


def test_stabiliser_wider_than_the_roll_lies_in_widths() -> None:
    assert hooped_length_mm([(700.0, 700.0)], 500.0) == 1400.0
    assert hooped_length_mm([], 500.0) == 0.0


def test_a_background_is_cut_larger_and_reaches_the_hoop() -> None:
    """10 in finished: 10 1/2 in unfinished, an inch more to trim (common practice: 1 to 2 in)."""
    assert background_cut_mm((254.0, 254.0), 6.35) == pytest.approx((11.5 * INCH, 11.5 * INCH))
    assert background_cut_mm((254.0, 254.0), 6.35, (350.0, 200.0)) == pytest.approx(
        (350.0, 11.5 * INCH)
    )
