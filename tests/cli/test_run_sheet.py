"""`applique run-sheet` as a user meets it."""

from __future__ import annotations

import re
from pathlib import Path

import pypdfium2
import pytest
from lxml import html

from applique.cli.main import main
from tests.cli.test_card import DRAWING


@pytest.fixture(scope="module")
def sea(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A block of two pieces with its layers; one fabric has a name in Cyrillic letters."""
    folder = tmp_path_factory.mktemp("sea")
    (folder / "drawn.svg").write_text(DRAWING, encoding="utf-8")
    assert main(["layers", str(folder / "drawn.svg"), "-o", str(folder / "sea.svg")]) == 0
    return folder / "sea.svg"


def run(*words: object) -> int:
    return main(["run-sheet", *map(str, words)])


def texts(path: Path) -> str:
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(page.get_textpage().get_text_range() for page in document)


def test_a_page_and_a_pdf_are_written_the_same_twice(sea: Path, tmp_path: Path, capsys) -> None:
    for kind in ("html", "pdf"):
        first, second = tmp_path / f"first.{kind}", tmp_path / "new" / f"second.{kind}"
        assert run(sea, "-o", first) == run(sea, "-o", second) == 0
        assert first.read_bytes() == second.read_bytes()
    told = capsys.readouterr()
    assert "first.html: 1 hooping, " in told.out
    assert "a PDF's own font lacks letters of море" in told.err
    assert "write the run sheet as .html" in told.err


def test_what_is_asked_stands_on_the_sheet(sea: Path, tmp_path: Path) -> None:
    path = tmp_path / "sheet.pdf"
    words = ("--needle", "75/11", "--stabiliser", "tear-away", "--note", "Iron first.")
    assert run(sea, "-o", path, *words, "--speed", "400", "--paper", "letter") == 0
    told = texts(path)
    for expected in ("Needle: 75/11", "Stabiliser: tear-away", "Note: Iron first.", "sea.dst"):
        assert expected in told
    assert "at 400 a minute" in told
    with pypdfium2.PdfDocument(path) as document:
        assert document[0].get_size() == pytest.approx((612, 792), abs=0.1)


def test_a_block_without_a_name_is_called_as_its_drawing(sea: Path, tmp_path: Path) -> None:
    nameless = tmp_path / "quay.svg"
    nameless.write_bytes(re.sub(rb' ap:block="[^"]*"', b"", sea.read_bytes()))
    assert run(nameless, "-o", tmp_path / "sheet.pdf") == 0
    assert "quay.dst" in texts(tmp_path / "sheet.pdf")


def test_with_fields_every_hooping_has_its_stops(sea: Path, tmp_path: Path) -> None:
    path = tmp_path / "sheet.html"
    flags = ("--field", "45x45", "--format", "pes", "--needles", "4")
    assert run(sea, "-o", path, *flags) == 0
    headings = [each.text_content() for each in html.fromstring(path.read_bytes()).iter("h2")]
    assert "Hooping 1 of 2: sea-hooping-1.pes" in headings
    assert "Hooping 2 of 2: sea-hooping-2.pes" in headings
    assert "Needles" in headings


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("-o", "sheet.txt"), "a run sheet is written as .html or .pdf"),
        (("-o", "sheet.pdf", "--needles", "none"), "neither single nor a number of needles"),
        (("-o", "sheet.pdf", "--needles", "0"), "neither single nor a number of needles"),
        (("-o", "sheet.pdf", "--speed", "0"), "no number of stitches a minute"),
        (("-o", "sheet.pdf", "--field", "7"), "not a size"),
        (("-o", "sheet.pdf", "--note", "two\nlines"), "can't be written"),
    ],
)
def test_wrong_words_are_refused(sea: Path, words: tuple[str, ...], said: str, capsys) -> None:
    try:
        code = run(sea, *words)
    except SystemExit as stop:
        code = int(str(stop.code))
    assert code == 2
    assert said in capsys.readouterr().err


def test_a_drawing_without_layers_is_refused(sea: Path, tmp_path: Path, capsys) -> None:
    path = tmp_path / "sheet.html"
    assert run(sea.with_name("drawn.svg"), "-o", path) == 1
    assert "use 'applique layers' first" in capsys.readouterr().err
    assert not path.exists()
