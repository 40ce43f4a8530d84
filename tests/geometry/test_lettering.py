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
