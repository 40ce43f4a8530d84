from itertools import pairwise

import pytest

from applique.pictures.colours import HEAT, Colour, heat_colour, heat_words, rgb, thread_shades


def lightness(colour: Colour) -> float:
    """CIE L*, from 0 (black) to 100 (white): IEC 61966-2-1 and CIE 15."""
    red, green, blue = (
        v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4
        for v in (part / 255 for part in colour)
    )
    luminance = 0.2126 * red + 0.7152 * green + 0.0722 * blue
    return 116 * luminance ** (1 / 3) - 16 if luminance > 0.008856 else 903.3 * luminance


def test_every_colour_of_the_scale_is_a_good_deal_darker_than_the_one_before() -> None:
    steps = [lightness(colour) for _, colour in HEAT]
    assert all(before - after >= 5 for before, after in pairwise(steps))


def test_counts_have_the_colour_that_stands_beside_their_words() -> None:
    assert heat_words() == ["1-2", "3", "4", "5", "6", "7-8", "9-12", "13+"]
    assert heat_colour(2) == HEAT[0][1]
    assert heat_colour(6) == HEAT[4][1]
    assert heat_colour(8) == HEAT[5][1]
    assert heat_colour(99) == HEAT[-1][1]


@pytest.mark.parametrize("colour", ["#000000", "#b2392f", "#ffffff"])
def test_a_thread_is_never_darker_in_its_middle_than_at_its_sides(colour: str) -> None:
    sides, body, middle = map(lightness, thread_shades(rgb(colour)))
    assert sides <= body <= middle
    assert sides < middle


@pytest.mark.parametrize("colour", ["red", "#12345", "#12345g", ""])
def test_what_is_no_colour_is_refused(colour: str) -> None:
    with pytest.raises(ValueError):
        rgb(colour)
