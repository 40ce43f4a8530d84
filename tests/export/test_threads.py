import pytest

from applique.export.formats import FORMATS
from applique.export.threads import block_colours, nearest, with_thread_kept
from applique.model import Thread, ThreadBlock

PALETTE = [(0, 0, 0), (255, 255, 255), (200, 30, 30), (30, 30, 200), (40, 40, 210)]


def blocks(*colours: str) -> list[ThreadBlock]:
    return [ThreadBlock(Thread(colour), ()) for colour in colours]


def test_exact_formats_keep_the_true_colour_and_shift_repeats() -> None:
    found = block_colours(blocks("#b2392f", "#b2392f", "#b2392f", "#000000"), FORMATS["pes"], [])
    assert found[0] == found[2] == (0xB2, 0x39, 0x2F)
    assert found[1] != found[0]
    assert found[3] == (0, 0, 0)


def test_palette_formats_take_the_nearest_and_never_twice_in_a_row() -> None:
    found = block_colours(blocks("#1e1ec8", "#1f1fc9", "#ffffff"), FORMATS["jef"], PALETTE)
    assert found == ((30, 30, 200), (40, 40, 210), (255, 255, 255))


def test_the_thread_is_kept_where_it_is_the_same_whatever_the_file_shows() -> None:
    # The second dark blue is shown in another colour, but it is another thread; of three blocks of
    # one red the last shows the true colour again.
    assert with_thread_kept(blocks("#1e1ec8", "#1f1fc9", "#b00", "#b00", "#b00")) == (4, 5)


@pytest.mark.parametrize("colour", ["#000000", "#ffffff", "#808080", "#ffee99"])
def test_a_stand_in_is_plainly_another_colour(colour: str) -> None:
    first, second = block_colours(blocks(colour, colour), FORMATS["vp3"], [])
    assert max(abs(a - b) for a, b in zip(first, second, strict=True)) > 40


def test_the_nearest_of_a_palette() -> None:
    assert nearest((250, 250, 250), PALETTE) == (255, 255, 255)
    assert nearest((180, 40, 40), PALETTE) == (200, 30, 30)


# 45 % of the way to white or black, rounded; a colour whose channels sum to less than 384 is dark.
@pytest.mark.parametrize(
    ("colour", "stand_in"),
    [
        ("#000000", (115, 115, 115)),
        ("#ffffff", (140, 140, 140)),
        ("#808080", (70, 70, 70)),
        ("#7f8080", (185, 185, 185)),
        ("#640a00", (170, 120, 115)),
    ],
)
def test_a_dark_colour_is_lightened_and_a_light_one_darkened(colour: str, stand_in: tuple) -> None:
    second = block_colours(blocks(colour, colour), FORMATS["pes"], [])[1]
    assert second == pytest.approx(stand_in, abs=0.51)
