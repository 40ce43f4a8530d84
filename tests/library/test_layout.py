"""Layouts read, and everything wrong with one told at once."""

from __future__ import annotations

import pytest

from applique.errors import InputError
from applique.library.layout import read_layout
from applique.model import Fabric

HEAD = 'block = "Quay"\nfinished = "200x150"\nlibrary = "harbour.svg"\n'
ROW = '[[piece]]\npiece = "17"\nfabric = "sea blue"\nx = 20\ny = 30\n'


def wrong(text: str) -> list[str]:
    with pytest.raises(InputError) as refusal:
        read_layout(text)
    return [finding.sentence() for finding in refusal.value.findings]


def test_what_a_layout_says() -> None:
    layout = read_layout(
        HEAD
        + 'background = "sky"\n[fabrics]\nsky = "#cfe3ea"\n'
        + '"sea blue" = { colour = "#2f6f8f", turn = "half", grain = 0 }\n'
        + '[defaults]\norder = "fewest"\n'
        + ROW
        + 'turn = 15.5\nmirror = true\nscale = 0.5\nedge = "blanket"\nversion = 2\n'
    )
    assert (layout.block, layout.finished_mm, layout.libraries) == (
        "Quay",
        (200.0, 150.0),
        ("harbour.svg",),
    )
    assert layout.fabrics == (Fabric("sky", "#cfe3ea"), Fabric("sea blue", "#2f6f8f", "half", 0.0))
    assert layout.defaults == {"order": "fewest"}
    (row,) = layout.rows
    assert (row.x_mm, row.y_mm, row.turn_degrees, row.mirrored, row.scale, row.version) == (
        (20.0, 30.0, 15.5, True, 0.5, 2)
    )
    assert row.settings == {"edge": "blanket"}


def test_a_row_needs_little() -> None:
    (row,) = read_layout(HEAD + ROW).rows
    assert (row.turn_degrees, row.mirrored, row.scale, row.version, row.label) == (
        (0.0, False, 1.0, None, "")
    )


def test_a_number_may_stand_without_quotes() -> None:
    (row,) = read_layout(HEAD + ROW.replace('"17"', "17")).rows
    assert row.piece == "17"


def test_every_fault_is_told_with_its_line() -> None:
    told = wrong(HEAD + ROW + ROW.replace("x = 20", 'x = "left"').replace("y = 30", "colour = 3"))
    assert told == [
        "17 (line 9): 'colour' is nothing that a layout has; remove it",
        "17 (line 9): x must be a number, not 'left'",
        "17 (line 9): has no y; write y = 0 for none",
    ]


def test_a_word_misspelt_gets_a_hint() -> None:
    assert wrong(HEAD + ROW + "mirrored = true\n") == [
        "17 (line 4): 'mirrored' is nothing that a layout has; did you mean mirror?"
    ]


@pytest.mark.parametrize(
    ("text", "word"),
    [
        (HEAD, "names no pieces"),
        (HEAD.replace("200x150", "200") + ROW, "is not a size"),
        (HEAD + ROW + "scale = 0\n", "scale must lie between"),
        (HEAD + ROW + "x_ = 1\n", "'x_' is nothing"),
        (HEAD + ROW + 'edge = "zig"\n', "edge must be one of"),
        (HEAD + ROW + 'order = "fewest"\n', "holds for the whole block"),
        (HEAD + '[fabrics]\nsky = "blueish"\n' + ROW, "is no colour"),
        (HEAD + "[fabrics]\nsky = 3\n" + ROW, "must be a colour"),
        (HEAD + '[defaults]\nhue = "x"\n' + ROW, "is no setting"),
        (HEAD + ROW + "turn = nan\n", "turn must lie between"),
    ],
)
def test_a_layout_that_can_not_be_used_says_why(text: str, word: str) -> None:
    assert any(word in sentence for sentence in wrong(text))


def test_a_label_is_given_to_one_piece_only() -> None:
    row = ROW + 'label = "bow"\n'
    assert wrong(HEAD + row + row) == [
        "bow (line 10): the label is given in line 4 already; give this piece another"
    ]


def test_text_that_is_no_layout_is_refused_with_its_line() -> None:
    with pytest.raises(InputError, match="line 1"):
        read_layout("block = = 3")


def test_a_number_that_is_far_too_long_is_a_sentence() -> None:
    # Python itself reads no number of so many digits.
    with pytest.raises(InputError, match="a number in it is far too long"):
        read_layout("a = " + "9" * 5000)
