"""Numbers as they are drawn."""

import numpy as np
import pytest

from applique.geometry.curves import flatten
from applique.paper.drawing import INK, Path, Text
from applique.paper.inside import Placed
from applique.paper.tags import WHITE, dot, drawn_numbers, letters_on, words_size

WORDS = {"17": (("17", 4.0, True), ("P3", 2.0, False))}


@pytest.mark.parametrize(
    ("colour", "letters"),
    [
        ("#000000", WHITE),
        ("#1d4e6b", WHITE),
        ("#b2392f", WHITE),
        ("#f6dc7e", INK),
        ("#ffffff", INK),
    ],
)
def test_letters_stand_out(colour: str, letters: str) -> None:
    assert letters_on(colour) == letters


def test_a_number_in_its_piece_is_only_letters() -> None:
    placed = Placed("17", (50.0, 20.0), words_size(WORDS["17"]))
    items = drawn_numbers((placed,), WORDS, {"17": "#ffffff"})
    label, pause = (item for item in items if isinstance(item, Text))
    assert len(items) == 2
    assert (label.text, label.size_mm, pause.text, pause.size_mm) == ("17", 4.0, "P3", 2.0)
    assert label.place_mm[0] == pause.place_mm[0] == 50.0
    assert 17.0 < label.place_mm[1] < pause.place_mm[1] < 23.0


def test_a_number_beside_its_piece_has_a_box_and_a_line() -> None:
    placed = Placed("17", (50.0, 20.0), (8.0, 6.0), 0.5, (46.0, 20.0), (30.0, 20.0))
    items = drawn_numbers((placed,), WORDS, {"17": "#000000"})
    texts = [item for item in items if isinstance(item, Text)]
    assert [(text.size_mm, text.colour) for text in texts] == [(2.0, INK), (1.0, INK)]
    box = flatten(items[-3].curves[0])
    assert isinstance(items[-3], Path)
    assert (box.min(axis=0).tolist(), box.max(axis=0).tolist()) == ([46.0, 17.0], [54.0, 23.0])


def test_a_dot_is_round() -> None:
    points = flatten(dot((3.0, 4.0), 2.0, INK).curves[0])
    assert np.hypot(*(points - [3.0, 4.0]).T) == pytest.approx(2.0, abs=0.001)
