"""`applique cut` in trouble: a sentence each, other fabrics still cut, nothing half written."""

from __future__ import annotations

from pathlib import Path

import pytest

from applique.cutsheets import cutting
from applique.nesting import solver
from tests.cli.cut_blocks import (
    CROSSING,
    RING,
    WHALE,
    block,
    cut,
    line,
    names,
    read_sheet,
    refused,
    square,
)

SEA = line("1", RING)


@pytest.fixture
def whale(tmp_path: Path) -> Path:
    return block(tmp_path / "whale.svg", *WHALE)


@pytest.fixture
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the solver, which these tests don't need."""
    monkeypatch.setattr(solver, "is_there", lambda: False)


# What can't be cut


@pytest.mark.usefixtures("plainly")
def test_a_piece_larger_than_every_sheet_is_named_with_the_size_it_needs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """280 x 40 mm and a margin of 6 mm all round."""
    beam = line("2", "M0 0 H280 V40 H0 Z", "sand", turn="half")
    drawing = block(tmp_path / "b.svg", SEA, beam)
    asked = (drawing, "-o", tmp_path / "out", "--sheet", "120x120", "--sheet", "200x100")
    [told] = refused(capsys, 1, *asked)
    assert "2 (needs 292.0 x 52.0 mm, margin included): fits on no sheet" in told
    assert {"sea-blue-1.svg", "sea-blue-1.dxf", "nesting.json"} <= names(tmp_path / "out")
    assert "sand-1.svg" not in names(tmp_path / "out")


@pytest.mark.usefixtures("plainly")
def test_a_piece_larger_than_every_mat_is_told_where_fabrics_share_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = block(tmp_path / "b.svg", SEA, line("2", square(150.0), "sand", turn="half"))
    told = refused(capsys, 1, drawing, "-o", tmp_path / "out", "--sheet", "120x120", "--mixed")
    assert "2 (needs 162" in told[0] and "fits on no sheet" in told[0]
    assert read_sheet(tmp_path / "out" / "mixed-1.svg").labels == ["1"]


@pytest.mark.usefixtures("plainly")
def test_lines_that_cross_themselves_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = block(tmp_path / "b.svg", SEA, line("2", CROSSING, "sand"))
    told = refused(capsys, 1, drawing, "-o", tmp_path / "out")
    assert told == [
        "2: it has a cut line that crosses or touches itself in its middle; draw it apart there",
        "sand: some of its cut lines can't be cut",
    ]
    assert "sea-blue-1.svg" in names(tmp_path / "out")


def test_where_nothing_can_be_cut_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = block(tmp_path / "b.svg", line("2", CROSSING))
    assert len(refused(capsys, 1, drawing, "-o", tmp_path / "out")) == 2
    assert not (tmp_path / "out").exists()


@pytest.mark.usefixtures("plainly")
def test_of_limited_sheets_no_more_are_used_than_there_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of squares of 60 mm one fits on a sheet of 120 mm less its margins, two on 150 x 80."""
    drawing = block(tmp_path / "b.svg", *(line(n, square(60.0), turn="half") for n in range(1, 5)))
    stock = ("--sheet", "120x120=2", "--sheet", "150x80=1")
    assert cut(drawing, "-o", tmp_path / "enough", *stock) == 0
    sizes = [read_sheet(path).size_mm for path in (tmp_path / "enough").glob("*.svg")]
    assert sorted(sizes) == [(120.0, 120.0), (120.0, 120.0), (150.0, 80.0)]
    capsys.readouterr()
    [told] = refused(capsys, 1, drawing, "-o", tmp_path / "short", *stock[:2])
    assert "find no room on what there is" in told
    assert not (tmp_path / "short").exists()


def test_small_and_thin_pieces_are_cut_and_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    dumbbell = "M0 0 H30 V14 H50 V0 H80 V30 H50 V16 H30 V30 H0 Z"
    drawing = block(tmp_path / "b.svg", line("1", dumbbell), line("2", square(5.0)))
    assert cut(drawing, "-o", tmp_path / "out") == 0
    told = capsys.readouterr().err.splitlines()
    assert told[0].startswith("warning: 1: it hangs together by only 2.0 mm in its middle")
    assert told[1].startswith("warning: 2: it is only 5.0 mm across")
    assert len(told) == 2


@pytest.mark.usefixtures("plainly")
def test_too_narrow_a_web_loses_only_the_web(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawing = block(tmp_path / "b.svg", line("1", square(60.0), turn="half"))
    [told] = refused(capsys, 1, drawing, "-o", tmp_path / "out", "--web-width", "50mm")
    assert told.startswith("fusible web for sea blue: 1 (needs 60.0 mm): wider than")
    assert {"sea-blue-1.svg", "nesting.json"} <= names(tmp_path / "out")
    text = (tmp_path / "out" / "fabric-needed.txt").read_text(encoding="utf-8")
    assert [sentence.split(":")[0] for sentence in text.splitlines()] == ["sea blue"]


# What can't be asked


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (("--copies", "0"), "--copies: must lie between 1 and 1000, not 0"),
        (("--copies", "many"), "--copies: must lie between"),
        (("--margin", "60", "--sheet", "120x120"), "leaves nothing of the sheet 120x120"),
        (("--margin", "500"), "the margin lies between 0 and 100 mm"),
        (("--gap", "-1"), "is no length in mm"),
        (("--sheet", "305"), "is not a size"),
        (("--sheet", "0x100"), "larger than 0"),
        (("--sheet", "305x305=0"), "is no number of sheets"),
        (("--turn", "sand=up"), "FABRIC=RULE (any, half, none)"),
        (("--turn", "sea bleu=half"), "no piece is of the fabric sea bleu; there are sand, sea"),
        (("--scrap", "=left.svg"), "is not of the form FABRIC=FILE or FILE"),
        (("--usable-width", "0in"), "is no length above 0"),
        (("--paper", "60x60"), "has no room for the check bars"),
        (("--seconds", "0"), "is no time"),
    ],
)
def test_words_that_make_no_sense_are_refused(
    whale: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
    complaint: str,
) -> None:
    [told] = refused(capsys, 2, whale, "-o", tmp_path / "out", *words)
    assert complaint in told
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        (("--only", "99"), "there is no piece 99 among the cut lines"),
        (("--only", "17", "--only", "99"), "there is no piece 99 among the cut lines"),
        (("--scrap", "nowhere.svg"), "can't be opened; check its name"),
    ],
)
def test_what_is_not_there_is_told(
    whale: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
    complaint: str,
) -> None:
    [told] = refused(capsys, 1, whale, "-o", tmp_path / "out", *words)
    assert complaint in told
    assert not (tmp_path / "out").exists()


def test_the_block_without_layers_is_named(
    whale: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bare = block(tmp_path / "gull.svg")
    [told] = refused(capsys, 1, whale, bare, "-o", tmp_path / "out")
    assert told == "gull: there are no cut lines; use 'applique layers' first"


# Nothing half written


def test_a_folder_in_a_files_place_stops_everything(
    whale: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "out"
    (folder / "sand-1.dxf").mkdir(parents=True)
    [told] = refused(capsys, 1, whale, "-o", folder)
    assert told.endswith("sand-1.dxf: is a folder; give the name of a file in it")
    assert names(folder) == {"sand-1.dxf"}


def test_a_file_in_the_folders_place_is_told_before_any_search(
    whale: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cutting, "nest", None)
    before = whale.read_bytes()
    [told] = refused(capsys, 1, whale, "-o", whale)
    assert told.endswith("is a file; give the name of a folder")
    assert whale.read_bytes() == before
