"""The arithmetic of the shop."""

import math

import pytest

from applique.cutting.needed import (
    FAT_QUARTER_LENGTH_MM,
    FAT_QUARTER_WIDTH_MM,
    FabricNeeded,
    fat_quarter,
    yards,
)

INCH = 25.4


def needed(length_mm: float, **changed) -> FabricNeeded:
    known = {"pieces": 3, "area_mm2": 50_000.0, "usable_width_mm": 40 * INCH}
    return FabricNeeded("sea blue", length_mm=length_mm, **(known | changed))


@pytest.mark.parametrize(
    ("length_mm", "eighths", "tenths"),
    [
        (0.0, 0, 0),
        (1.0, 1, 1),
        (100.0, 1, 1),
        (100.01, 1, 2),
        (114.3, 1, 2),  # 4 1/2 in
        (114.31, 2, 2),
        (457.2, 4, 5),  # half a yard
        (457.21, 5, 5),
        (914.4, 8, 10),  # a yard, by definition
        (1000.0, 9, 10),
    ],
)
def test_lengths_are_rounded_up(length_mm: float, eighths: int, tenths: int) -> None:
    assert (needed(length_mm).yard_eighths, needed(length_mm).metre_tenths) == (eighths, tenths)


def test_exact_multiples_stay_what_they_are() -> None:
    for k in range(1, 400):
        assert needed(sum([114.3] * k)).yard_eighths == k
        assert needed(k * 4.5 * INCH).yard_eighths == k
        assert needed(sum([0.1] * k) * 1000).metre_tenths == k


@pytest.mark.parametrize(
    ("eighths", "words"),
    [(1, "1/8 yd"), (4, "1/2 yd"), (6, "3/4 yd"), (8, "1 yd"), (11, "1 3/8 yd"), (0, "0 yd")],
)
def test_yards_in_words(eighths: int, words: str) -> None:
    assert yards(eighths) == words


def test_the_yardage_rule_worked_through() -> None:
    """Per row floor(width / side), rows ceil(count / per row), length rows x side, over 36 in,
    rounded up to 1/8 yd (craftmathcalc.com); 40 / 3.875 makes 10 a row (petiterepublic.com)."""
    per_row = math.floor(40 / 3.875)
    assert per_row == 10
    rows = math.ceil(48 / per_row)
    found = needed(rows * 3.875 * INCH, pieces=48, area_mm2=48 * (3.875 * INCH) ** 2)
    assert found.yard_eighths == math.ceil(rows * 3.875 / 36 * 8) == 5
    assert found.waste_share == pytest.approx(1 - 48 * 3.875 / (rows * 40))


def test_the_sentence_says_what_to_buy() -> None:
    assert needed(330.0, fat_quarters=2).sentence() == (
        "sea blue: 3/8 yd or 0.4 m at 40 in usable width, or 2 fat quarters; "
        "3 pieces of 500 cm2, 85 % waste"
    )
    assert needed(330.0, pieces=1).sentence().count("fat quarter") == 0
    assert needed(0.0, pieces=0, area_mm2=0.0).sentence() == "sea blue: nothing needed for 0 pieces"


def test_a_fat_quarter_is_planned_on_half_an_inch_and_more_smaller() -> None:
    # 18 x 22 in (sew4home.com), its lengthwise grain up the 18 in; 17.5 x 20.5 in is planned on.
    stock = fat_quarter(2)
    assert stock.size_mm == (FAT_QUARTER_WIDTH_MM, FAT_QUARTER_LENGTH_MM)
    assert stock.size_mm == pytest.approx((520.7, 444.5))
    assert stock.count == 2
