"""Sheets as they are written down."""

from __future__ import annotations

import pytest

from applique.cutting.stock_text import stock_of


@pytest.mark.parametrize(
    ("text", "name", "size", "count"),
    [
        ("305x305", "305x305", (305.0, 305.0), None),
        ("305x610=2", "305x610", (305.0, 610.0), 2),
        ("12inx24in", "304.8x609.6", (304.8, 609.6), None),
    ],
)
def test_a_size_and_how_many(
    text: str, name: str, size: tuple[float, float], count: int | None
) -> None:
    stock = stock_of(text)
    assert (stock.name, stock.count) == (name, count)
    assert stock.size_mm == pytest.approx(size)


LONG = pytest.param("305x305=" + "9" * 5000, id="5000 digits")


@pytest.mark.parametrize(
    "text", ["", "305", "0x305", "305x305=", "305x305=0", "305x305=many", LONG]
)
def test_what_is_no_sheet_is_a_sentence(text: str) -> None:
    with pytest.raises(ValueError, match=r"is not a size|larger than 0|is no number of sheets"):
        stock_of(text)
