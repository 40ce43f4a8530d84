"""Units: the international inch and CSS Values and Units 3, section 6.2."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from applique.units import compact, length_mm, size_mm


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("1in", 25.4),
        ("96px", 25.4),
        ("96", 25.4),
        ("72pt", 25.4),
        ("6pc", 25.4),
        ("2.54cm", 25.4),
        ("40Q", 10),
        (" 12.5 mm ", 12.5),
        ("-1e1mm", -10),
    ],
)
def test_lengths(text: str, mm: float) -> None:
    assert length_mm(text) == pytest.approx(mm)


@pytest.mark.parametrize("text", ["", "mm", "5em", "5%", "nan", "1e999mm", "5 5"])
def test_what_is_no_fixed_length(text: str) -> None:
    with pytest.raises(ValueError, match=r"length|too large"):
        length_mm(text)


@pytest.mark.parametrize(
    ("text", "size"),
    [("254x254", (254, 254)), ("10in x 8in", (254, 203.2)), ("100.5X30", (100.5, 30))],
)
def test_sizes(text: str, size: tuple[float, float]) -> None:
    assert size_mm(text) == pytest.approx(size)


@pytest.mark.parametrize("text", ["254", "x", "0x5", "-3x5", "5x", "axb"])
def test_what_is_no_size(text: str) -> None:
    with pytest.raises(ValueError, match=r"size|length|larger"):
        size_mm(text)


@given(st.floats(-1e6, 1e6))
def test_compact_numbers_read_back(number: float) -> None:
    text = compact(number)
    assert abs(float(text) - number) <= 0.0005 + 1e-9
    assert text != "-0"
    assert "e" not in text
