"""`applique card` as a user meets it."""

from __future__ import annotations

import argparse
from pathlib import Path

import pypdfium2
import pytest
from lxml import html

from applique.cli import card
from applique.errors import InputError, UsageError
from applique.paper.card import NoRoom

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
    'width="100mm" height="100mm" viewBox="0 0 100 100" ap:block="Sea" ap:finished="80x80">'
    '<metadata><ap:fabric name="море" colour="#2f6f8f"/></metadata>'
    '<rect fill="#2f6f8f" x="20" y="20" width="40" height="30" ap:fabric="море"/>'
    '<circle fill="#7d7f80" cx="60" cy="60" r="12"/></svg>'
)


@pytest.fixture
def block(tmp_path: Path) -> Path:
    path = tmp_path / "block.svg"
    path.write_text(DRAWING, encoding="utf-8")
    return path


def run(*words: object) -> int:
    parser = argparse.ArgumentParser()
    card.add_parser(parser.add_subparsers())
    arguments = parser.parse_args(["card", *map(str, words)])
    return int(arguments.run(arguments))


def test_a_pdf_is_written_the_same_twice(block: Path, tmp_path: Path, capsys) -> None:
    first, second = tmp_path / "new" / "card.pdf", tmp_path / "again.PDF"
    before = block.read_bytes()
    assert run(block, "-o", first) == run(block, "-o", second) == 0
    assert first.read_bytes() == second.read_bytes()
    assert block.read_bytes() == before
    told = capsys.readouterr()
    assert f"{first}: 3 pages, 2 pieces; print it at 100 %, no fit to page" in told.out
    assert "a PDF's own font lacks letters of море" in told.err
    with pypdfium2.PdfDocument(first) as document:
        assert document[0].get_size() == pytest.approx((595.28, 841.89), abs=0.01)
        assert "Laying order" in document[0].get_textpage().get_text_range()
        assert "Print at 100 %" in document[2].get_textpage().get_text_range()


def test_an_html_page_has_every_letter(block: Path, tmp_path: Path, capsys) -> None:
    path = tmp_path / "card.html"
    assert run(block, "-o", path, "--paper", "letter") == 0
    assert "font lacks" not in capsys.readouterr().err
    sections = html.fromstring(path.read_bytes()).findall(".//section")
    assert [section.find("svg").get("width") for section in sections] == ["215.9mm"] * 3
    assert any("море" in (text.text or "") for text in sections[1].iter("text"))


def test_another_suffix_is_refused(block: Path, tmp_path: Path) -> None:
    with pytest.raises(UsageError, match=r"\.pdf or \.html"):
        run(block, "-o", tmp_path / "card.png")
    assert not (tmp_path / "card.png").exists()


def test_a_drawing_without_pieces_writes_nothing(block: Path, tmp_path: Path) -> None:
    block.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"/>')
    with pytest.raises(InputError):
        run(block, "-o", tmp_path / "card.pdf")
    assert not (tmp_path / "card.pdf").exists()


def test_numbers_without_room_are_told_in_one_sentence() -> None:
    labels = tuple(f"p{k}" for k in range(38))
    (told,) = card._no_room(NoRoom(picture=labels))
    assert "for 38 numbers: p0, p1, p2, p3, p4 and 33 more;" in told.message
    assert card._no_room(NoRoom()) == []
