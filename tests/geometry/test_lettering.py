import pytest

from applique.geometry.lettering import lettered, lettering_width


@pytest.mark.parametrize("text", ["SEA BLUE 17", "SUN & SEA 99.9 %"])
def test_letters_stand_between_their_top_and_their_height(text: str) -> None:
    for line in lettered(text, 6.0):
        assert line[:, 1].min() >= 0
        assert line[:, 1].max() <= 6.0


def test_text_is_as_wide_as_it_says() -> None:
    right = max(line[:, 0].max() for line in lettered("17B", 4.0))
    assert right == pytest.approx(lettering_width("17B", 4.0))


def test_accents_fall_away_and_unknown_letters_are_boxes() -> None:
    assert len(lettered("É", 6)) == len(lettered("e", 6))
    (box,) = lettered("海", 6)
    assert box.tolist() == [[0, 0], [4, 0], [4, 6], [0, 6], [0, 0]]


@pytest.mark.parametrize(("text", "units"), [("", 0), ("I", 4), (".", 1.5), ("H.I", 12.5)])
def test_widths_on_the_grid_of_the_letters(text: str, units: float) -> None:
    """A letter takes 5.5 units and a narrow one 3, with 1.5 between it and the next; 6 are high."""
    assert lettering_width(text, 6.0) == units
    assert lettering_width(text, 3.0) == units / 2


def test_a_narrow_letter_and_a_space_move_the_next_one_on() -> None:
    starts = [line[:, 0].min() for line in lettered("I.I I", 6.0)]
    assert starts == pytest.approx([2, 5.5 + 0.4, 8.5 + 2, 19.5 + 2])
