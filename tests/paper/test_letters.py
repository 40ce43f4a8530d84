"""Widths and stand-ins of letters, against the PDF library's own tables."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase.pdfmetrics import stringWidth

from applique.paper.letters import (
    has_stand_in_for_all,
    printable,
    shortened,
    text_width_mm,
    titled,
    wrapped,
)


@pytest.mark.parametrize(("bold", "font"), [(False, "Helvetica"), (True, "Helvetica-Bold")])
def test_plain_letters_are_as_wide_as_the_font_says(bold: bool, font: str) -> None:
    for code in range(32, 127):
        assert text_width_mm(chr(code), 1000.0, bold) == pytest.approx(
            stringWidth(chr(code), font, 1000.0)
        )


@given(st.text(alphabet=st.characters(codec="cp1252", exclude_categories=("Cc",)), max_size=12))
def test_no_letter_of_the_code_page_is_changed(text: str) -> None:
    assert printable(text).replace("\xa0", " ") == printable(printable(text)).replace("\xa0", " ")
    assert has_stand_in_for_all(text)


@pytest.mark.parametrize(
    ("text", "printed"),
    [
        ("Fähre · 3 × 4", "Fähre · 3 × 4"),
        ("Łódź", "Lódz"),
        ("žluťoučký kůň", "žlutoucký kun"),
        ("а\u0301", "?"),
        ("海", "?"),
        ("one\ntwo\tthree", "one two three"),
        ("u\u0308", "ü"),
    ],
)
def test_letters_that_the_font_lacks(text: str, printed: str) -> None:
    assert printable(text) == printed
    assert has_stand_in_for_all(text) == ("?" not in printed)


@given(st.text(max_size=30))
def test_anything_can_be_printed(text: str) -> None:
    printable(text).encode("cp1252")


def test_of_a_text_that_does_not_fit_as_much_is_kept_as_there_is_room_for() -> None:
    assert shortened("mm mm mm", 1000.0, 833.0 * 3 + 1000.0) == "mm m…"
    assert shortened("mm mm mm", 1000.0, 833.0 * 2 + 1000.0) == "mm…"
    assert shortened("mm", 1000.0, 1.0) == "…"


def test_a_name_of_a_million_letters_is_made_to_fit_at_once() -> None:
    assert len(shortened("m" * 1_000_000, 1.0, 83.3 + 1.0)) == 101


def test_texts_are_made_to_fit() -> None:
    text = "a fabric with a name that goes on and on"
    assert text_width_mm(shortened(text, 3.0, 20.0), 3.0) <= 20.0
    assert shortened(text, 3.0, 20.0).endswith("…")
    assert shortened("short", 3.0, 20.0) == "short"
    lines = wrapped(text, 3.0, 20.0)
    assert " ".join(lines) == text
    assert all(text_width_mm(line, 3.0) <= 20.0 for line in lines)
    assert titled(text, ": page 2", 3.0, 30.0).endswith("…: page 2")
