"""`applique cut`: what is cut, written and told."""

from __future__ import annotations

import re
from pathlib import Path

import ezdxf.recover
import pdfplumber
import pytest

from applique.nesting import solver
from tests.cli.cut_blocks import (
    AP,
    LEAF,
    RING,
    WHALE,
    block,
    contents,
    cut,
    line,
    names,
    read_sheet,
    square,
)

MM_PER_POINT = 25.4 / 72


@pytest.fixture(scope="module")
def whale(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return block(tmp_path_factory.mktemp("blocks") / "whale.svg", *WHALE)


@pytest.fixture(scope="module")
def sheets(whale: Path) -> Path:
    """What is written of the whale; nothing changes it."""
    folder = whale.parent / "sheets"
    assert cut(whale, "-o", folder) == 0
    return folder


@pytest.fixture
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the solver, which most of these tests don't need."""
    monkeypatch.setattr(solver, "is_there", lambda: False)


def table(told: str) -> list[list[str]]:
    """The cells of what is told in columns."""
    return [re.split(r"\s{2,}", text) for text in told.splitlines()]


# What is written


def test_every_sheet_has_its_files(sheets: Path) -> None:
    stems = ("sea-blue-1", "sand-1")
    assert set(contents(sheets)) == {
        *(f"{stem}.{suffix}" for stem in stems for suffix in ("svg", "dxf")),
        *(f"pictures/{stem}.png" for stem in stems),
        "maps.pdf",
        "fabric-needed.txt",
        "nesting.json",
    }
    assert sorted(read_sheet(sheets / "sea-blue-1.svg").labels) == ["1", "17"]
    assert read_sheet(sheets / "sand-1.svg").labels == ["2"]


def test_what_was_found_is_told(
    whale: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cut(whale, "-o", tmp_path) == 0
    told = capsys.readouterr()
    assert told.err == ""
    assert [row[:4] for row in table(told.out)[:3]] == [
        ["cut from", "pieces", "sheets", "at least"],
        ["sea blue", "2", "1", "1"],
        ["sand", "1", "1", "1"],
    ]
    assert f"  {tmp_path / 'sea-blue-1.dxf'}\n" in told.out
    assert "Keep fingers away from the blade" in told.out


@pytest.mark.usefixtures("plainly")
def test_what_to_buy_is_reckoned_from_a_layout(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A square of 100 mm takes 100 mm of the width of 1016: within 1/8 yd (114.3 mm), and 0.1 m
    just so; of that length nine tenths are waste. On web of 17 in, 431.8 mm, three quarters are."""
    drawing = block(tmp_path / "b.svg", line("1", square(100.0), turn="half"))
    assert cut(drawing, "-o", tmp_path / "out") == 0
    wanted = [
        "sea blue: 1/8 yd or 0.1 m at 40 in usable width, or 1 fat quarter; "
        "1 piece of 100 cm2, 90 % waste",
        "fusible web: 1/8 yd or 0.1 m at 17 in usable width; 1 piece of 100 cm2, 77 % waste",
    ]
    text = (tmp_path / "out" / "fabric-needed.txt").read_text(encoding="utf-8")
    assert text.splitlines() == wanted
    told = table(capsys.readouterr().out)
    assert ["sea blue", "40 in", "1/8", "0.1", "1", "90 %"] in told
    assert ["fusible web", "17 in", "1/8", "0.1", "77 %"] in told


@pytest.mark.usefixtures("plainly")
def test_patches_and_turned_pieces_take_no_web(tmp_path: Path) -> None:
    lines = (line("1", square(50.0), cut="patch"), line("2", square(50.0), cut="allowance"))
    assert cut(block(tmp_path / "b.svg", *lines), "-o", tmp_path / "out") == 0
    text = (tmp_path / "out" / "fabric-needed.txt").read_text(encoding="utf-8")
    assert [sentence.split(":")[0] for sentence in text.splitlines()] == ["sea blue"]


def test_the_cutters_other_file_stands_its_own_audit(sheets: Path) -> None:
    for name in ("sea-blue-1.dxf", "sand-1.dxf"):
        document, auditor = ezdxf.recover.readfile(sheets / name)
        assert not auditor.errors and not auditor.fixes
        assert document.header["$INSUNITS"] == 4  # Millimetres (DXF reference).
        layers = [each.dxf.layer for each in document.modelspace()]
        assert layers.count("CUT") == {"sea-blue-1.dxf": 3, "sand-1.dxf": 1}[name]


@pytest.mark.usefixtures("plainly")
def test_templates_are_cut_from_card_and_in_layers_of_their_own(tmp_path: Path) -> None:
    lines = (line("1", square(50.0), cut="allowance"), line("1", square(40.0), cut="template"))
    assert cut(block(tmp_path / "b.svg", *lines), "-o", tmp_path / "out", "--face", "right") == 0
    assert read_sheet(tmp_path / "out" / "sea-blue-1.svg").labels == ["1"]
    card = read_sheet(tmp_path / "out" / "card-1.svg")
    assert card.labels == ["1"] and card.drawn() > 0
    document, _ = ezdxf.recover.readfile(tmp_path / "out" / "card-1.dxf")
    assert "TEMPLATE" in {each.dxf.layer for each in document.modelspace()}


@pytest.mark.usefixtures("plainly")
def test_for_scissors_there_are_patterns_at_true_size(whale: Path, tmp_path: Path) -> None:
    """Measured by an independent reader of PDF: the check bars, and the dune of 80 x 20 mm."""
    assert cut(whale, "-o", tmp_path, "--for", "scissors", "--paper", "letter") == 0
    assert {"sea-blue-1.pdf", "sand-1.pdf"} <= names(tmp_path)
    assert not list(tmp_path.glob("*.dxf"))
    with pdfplumber.open(tmp_path / "sand-1.pdf") as document:
        [page] = document.pages
        words = page.extract_text()
        marks = (*page.rects, *page.curves, *page.lines)
        size = (page.width * MM_PER_POINT, page.height * MM_PER_POINT)
        sizes = [sorted(s * MM_PER_POINT for s in (it["width"], it["height"])) for it in marks]
    assert sorted(size) == pytest.approx([215.9, 279.4], abs=0.1)
    for bar_mm in (50.0, 25.4):
        assert any(longer == pytest.approx(bar_mm, abs=0.1) for _, longer in sizes)
    assert any(both == pytest.approx([20.0, 80.0], abs=0.1) for both in sizes)
    assert "50 mm" in words and "1 inch" in words
    assert "lay it on the wrong side of the fabric" in words


@pytest.mark.usefixtures("plainly")
def test_pieces_for_scissors_lie_half_an_inch_apart(whale: Path, tmp_path: Path) -> None:
    assert cut(whale, "-o", tmp_path, "--for", "scissors") == 0
    one, other = read_sheet(tmp_path / "sea-blue-1.svg").shapes()
    assert one.distance(other) >= 12.7 - 0.001


@pytest.mark.usefixtures("plainly")
def test_nothing_is_drawn_on_the_right_side_of_fabric(whale: Path, tmp_path: Path) -> None:
    assert cut(whale, "-o", tmp_path, "--face", "right") == 0
    sheet = read_sheet(tmp_path / "sand-1.svg")
    assert sheet.root.get(f"{AP}face") == "right"
    assert sheet.drawn() == 0
    with pdfplumber.open(tmp_path / "maps.pdf") as document:
        words = document.pages[0].extract_text()
    assert "No piece bears a number: keep this map with them." in words
    assert "17" in words.split()


# What is cut


@pytest.mark.usefixtures("plainly")
def test_everything_may_be_cut_several_times(whale: Path, tmp_path: Path) -> None:
    assert cut(whale, "-o", tmp_path, "--copies", "3", "--sheet", "400x300") == 0
    assert sorted(read_sheet(tmp_path / "sea-blue-1.svg").labels) == [*["1"] * 3, *["17"] * 3]
    assert read_sheet(tmp_path / "sand-1.svg").labels == ["2"] * 3
    assert "sea blue: 1/8 yd" in (tmp_path / "fabric-needed.txt").read_text(encoding="utf-8")


@pytest.mark.usefixtures("plainly")
def test_two_blocks_of_one_name_are_told_apart(whale: Path, tmp_path: Path) -> None:
    other = block(tmp_path / "other.svg", line("1", LEAF), line("17", RING))
    assert cut(whale, other, "-o", tmp_path / "out") == 0
    sheet = read_sheet(tmp_path / "out" / "sea-blue-1.svg")
    pieces = sorted((whose, label) for whose, label, _ in sheet.pieces)
    assert pieces == [("whale", "1"), ("whale", "17"), ("whale 2", "1"), ("whale 2", "17")]
    with pdfplumber.open(tmp_path / "out" / "maps.pdf") as document:
        words = document.pages[0].extract_text()
    assert "Blocks: A whale, B whale 2." in words
    assert {"A-1", "A-17", "B-1", "B-17"} <= set(words.split())


@pytest.mark.usefixtures("plainly")
@pytest.mark.parametrize(
    ("only", "wanted"),
    [
        (("17",), [("whale", "17"), ("whale 2", "17")]),
        (("B-17",), [("", "17")]),
        (("A-1", "B-17"), [("whale", "1"), ("whale 2", "17")]),
    ],
)
def test_one_spoiled_piece_is_cut_again(
    whale: Path, tmp_path: Path, only: tuple[str, ...], wanted: list[tuple[str, str]]
) -> None:
    asked = [word for piece in only for word in ("--only", piece)]
    assert cut(whale, whale, "-o", tmp_path, *asked) == 0
    assert set(contents(tmp_path)) == {
        "again-sea-blue-1.svg",
        "again-sea-blue-1.dxf",
        "again-maps.pdf",
        "pictures/again-sea-blue-1.png",
    }
    pieces = read_sheet(tmp_path / "again-sea-blue-1.svg").pieces
    assert sorted((whose, label) for whose, label, _ in pieces) == wanted


@pytest.mark.usefixtures("plainly")
@pytest.mark.parametrize("shared", [(), ("--mixed",)], ids=["alone", "mixed"])
def test_for_a_spoiled_piece_there_is_nothing_to_buy(
    whale: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], shared: tuple[str, ...]
) -> None:
    assert cut(whale, "-o", tmp_path, "--only", "17", *shared) == 0
    assert "to buy" not in capsys.readouterr().out
