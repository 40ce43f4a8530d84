"""The difference of colours against the published pairs and an independent library.

The pairs are those of Sharma, Wu and Dalal, "The CIEDE2000 Color-Difference Formula: Implementation
Notes, Supplementary Test Data, and Mathematical Observations", Color Research & Application 30(1),
2005, table 1: L*, a*, b* of both, and the difference to four decimals.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.color import deltaE_ciede2000, rgb2lab

from applique.threads.difference import difference, lab_difference, lab_of, lightness

PUBLISHED = [
    ((50.0000, 2.6772, -79.7751), (50.0000, 0.0000, -82.7485), 2.0425),
    ((50.0000, 3.1571, -77.2803), (50.0000, 0.0000, -82.7485), 2.8615),
    ((50.0000, 2.8361, -74.0200), (50.0000, 0.0000, -82.7485), 3.4412),
    ((50.0000, -1.3802, -84.2814), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, -1.1848, -84.8006), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, -0.9009, -85.5211), (50.0000, 0.0000, -82.7485), 1.0000),
    ((50.0000, 0.0000, 0.0000), (50.0000, -1.0000, 2.0000), 2.3669),
    ((50.0000, -1.0000, 2.0000), (50.0000, 0.0000, 0.0000), 2.3669),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0009), 7.1792),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0010), 7.1792),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0011), 7.2195),
    ((50.0000, 2.4900, -0.0010), (50.0000, -2.4900, 0.0012), 7.2195),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0009, -2.4900), 4.8045),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0010, -2.4900), 4.8045),
    ((50.0000, -0.0010, 2.4900), (50.0000, 0.0011, -2.4900), 4.7461),
    ((50.0000, 2.5000, 0.0000), (50.0000, 0.0000, -2.5000), 4.3065),
    ((50.0000, 2.5000, 0.0000), (73.0000, 25.0000, -18.0000), 27.1492),
    ((50.0000, 2.5000, 0.0000), (61.0000, -5.0000, 29.0000), 22.8977),
    ((50.0000, 2.5000, 0.0000), (56.0000, -27.0000, -3.0000), 31.9030),
    ((50.0000, 2.5000, 0.0000), (58.0000, 24.0000, 15.0000), 19.4535),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.1736, 0.5854), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.2972, 0.0000), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 1.8634, 0.5757), 1.0000),
    ((50.0000, 2.5000, 0.0000), (50.0000, 3.2592, 0.3350), 1.0000),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.2630),
    ((61.2901, 3.7196, -5.3901), (61.4292, 2.2480, -4.9620), 1.8731),
    ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
    ((36.4612, 47.8580, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    ((90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441),
    ((90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381),
    ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]

colours = st.integers(0, 0xFFFFFF).map("#{:06x}".format)


def as_rgb(colour: str) -> np.ndarray:
    return np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)]) / 255


@pytest.mark.parametrize(("one", "other", "expected"), PUBLISHED)
def test_the_published_pairs(one: tuple, other: tuple, expected: float) -> None:
    assert lab_difference(one, other) == pytest.approx(expected, abs=0.00005)
    assert deltaE_ciede2000(one, other) == pytest.approx(expected, abs=0.00005)


def test_there_are_all_34_of_them() -> None:
    assert len(PUBLISHED) == 34


@given(colours, colours)
def test_two_colours_differ_as_an_independent_library_says(one: str, other: str) -> None:
    reference = deltaE_ciede2000(rgb2lab(as_rgb(one)), rgb2lab(as_rgb(other)))
    # The library's matrix and white point have four decimals and the formula has steep places.
    assert difference(one, other) == pytest.approx(float(reference), abs=0.05)


@given(colours)
def test_a_colour_in_lab_is_that_of_an_independent_library(colour: str) -> None:
    assert lab_of(colour) == pytest.approx(tuple(rgb2lab(as_rgb(colour))), abs=0.02)


@pytest.mark.parametrize(
    ("colour", "expected"),
    # L* = 116 f(Y) - 16 of CIE 15, with Y of sRGB by IEC 61966-2-1: a grey of 119 has Y = 0.184475.
    [("#000000", 0.0), ("#ffffff", 100.0), ("#777777", 116 * 0.184475 ** (1 / 3) - 16)],
)
def test_lightness_of_greys_in_closed_form(colour: str, expected: float) -> None:
    assert lightness(colour) == pytest.approx(expected, abs=0.001)


def test_black_and_white_lie_100_apart_and_a_colour_none_from_itself() -> None:
    assert difference("#000000", "#ffffff") == pytest.approx(100, abs=0.001)
    assert difference("#2f6f8f", "#2f6f8f") == 0


def test_what_is_no_colour_is_refused() -> None:
    with pytest.raises(ValueError, match="is no colour"):
        lightness("#12")
