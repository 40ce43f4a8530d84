"""Cut Sheets: what it writes, what it draws, and one run by a real Inkscape on a virtual screen."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from lxml import etree

from applique.checks import check_document
from applique.cli.main import main
from applique.editor.cut import cut_into
from applique.editor.inx import LAUNCHER
from applique.editor.named import DOCUMENT_VARIABLE, as_named
from applique.errors import InputError, OutputError, UsageError
from applique.files import parse_svg, read_svg
from applique.pipeline import make_layers
from applique.svg import vocabulary as v
from applique.svg.cutlayer import read_cut_lines
from tests.editor.asked import asked
from tests.editor.real import Editor


def contents(folder: Path) -> dict[str, bytes]:
    files = [path for path in folder.rglob("*") if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in files}


def sheets_in(root: etree._Element) -> list[tuple[str | None, str | None]]:
    layers = [child for child in root if child.get(v.ROLE) == v.ROLE_SHEETS]
    return [(sheet.get(v.SHEET), sheet.get(v.SHEET_NUMBER)) for sheet in layers[0]]


def all_but_sheets(root: etree._Element) -> list[bytes]:
    """Everything in a document, in order, but the layer of sheets."""
    parts = [child for child in root if child.get(v.ROLE) != v.ROLE_SHEETS]
    return [etree.tostring(part, method="c14n") for part in parts]


def parsed(data: bytes) -> etree._Element:
    return parse_svg(io.BytesIO(data), "the block").getroot()


def test_it_writes_what_the_command_writes(saved: Path, capsys: pytest.CaptureFixture) -> None:
    folder = saved.with_name("harbour-cut")
    assert main(["cut", str(saved), "-o", str(folder)]) == 0
    by_command = contents(folder)
    # The record of the nesting is taken up, so that both lay the pieces alike.
    told = cut_into(read_svg(saved).getroot(), asked("cut"))
    assert told[0] == f"2 sheets in {folder}: sea blue 1, sun yellow 1"
    assert {"sea-blue-1.svg", "sea-blue-1.dxf", "pictures/sun-yellow-1.png"} <= set(by_command)
    assert contents(folder) == by_command


def test_what_is_asked_is_done(saved: Path) -> None:
    root = read_svg(saved).getroot()
    options = asked(
        "cut", sheets="90x90=2, 200x100", face="right", copies=2, tool="scissors", gap=5
    )
    told = cut_into(root, options)
    assert told[-1].startswith("Print the patterns at 100 %")
    files = contents(saved.with_name("harbour-cut"))
    assert "sea-blue-1.pdf" in files and "sea-blue-1.dxf" not in files
    sheet = etree.fromstring(files["sun-yellow-1.svg"])
    assert sheet.get(v.FACE) == "right"
    assert sheet.get("viewBox") in ("0 0 90 90", "0 0 200 100")


def test_the_sheets_are_nobodys_pieces(saved: Path) -> None:
    with_sheets, without = (read_svg(saved).getroot() for _ in range(2))
    cut_into(with_sheets, asked("cut"))
    assert check_document(with_sheets) == check_document(without)
    assert len(read_cut_lines(with_sheets)) == len(read_cut_lines(without)) == 2
    for root in (with_sheets, without):
        make_layers(root)
    assert sheets_in(with_sheets) == [("sea blue", "1"), ("sun yellow", "1")]
    assert all_but_sheets(with_sheets) == all_but_sheets(without)


def test_a_fabric_that_can_not_be_cut_stops_no_other(saved: Path) -> None:
    root = read_svg(saved).getroot()
    told = cut_into(root, asked("cut", sheets="55x55"))
    assert sheets_in(root) == [("sun yellow", "1")]
    assert told[0].endswith("sun yellow 1")
    assert told[1].startswith("1 (needs 46.8 x 76.8 mm, margin included): fits on no sheet")
    assert "sea-blue-1.svg" not in contents(saved.with_name("harbour-cut"))


@pytest.mark.parametrize(
    ("changed", "refused", "sentence"),
    [
        ({"sheets": "30x30"}, InputError, "fits on no sheet"),
        ({"sheets": "305"}, UsageError, "'305' is not a size"),
        ({"sheets": "305x305=many"}, UsageError, "is no number of sheets"),
        ({"margin": 60, "sheets": "100x100"}, UsageError, "leaves nothing of the sheet"),
        ({"copies": 0}, UsageError, "copies lie between"),
        ({"folder": "harbour.svg"}, OutputError, "is a file; give the name of a folder"),
    ],
)
def test_a_refusal_is_a_sentence_and_leaves_all_alone(
    saved: Path, changed: dict[str, object], refused: type[Exception], sentence: str
) -> None:
    root = read_svg(saved).getroot()
    before = etree.tostring(root)
    with pytest.raises(refused, match=sentence):
        cut_into(root, asked("cut", **changed))
    assert etree.tostring(root) == before
    assert list(saved.parent.iterdir()) == [saved]


def test_a_drawing_that_was_never_saved_needs_a_folder(
    layered: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(DOCUMENT_VARIABLE, "")
    for folder in ("", "sheets"):
        with pytest.raises(UsageError, match="never saved; save it first, or name a folder"):
            cut_into(parsed(layered), asked("cut", folder=folder))
    cut_into(parsed(layered), asked("cut", folder=tmp_path / "sheets"))
    assert "sea-blue-1.svg" in contents(tmp_path / "sheets")


def test_a_name_that_the_editor_puts_into_our_extensions_is_as_it_was_typed(tmp_path: Path) -> None:
    (tmp_path / LAUNCHER).touch()
    assert as_named(str(tmp_path / "sheets" / "whale")) == Path("sheets/whale")
    assert as_named("sheets") == Path("sheets")
    assert as_named(str(tmp_path.parent / "sheets")) == tmp_path.parent / "sheets"


def test_the_real_editor_draws_the_sheets_and_writes_the_files(
    real_editor: Editor, layered: bytes, tmp_path: Path
) -> None:
    drawing = tmp_path / "harbour.svg"
    drawing.write_bytes(layered)
    # A folder named without a place lies beside the drawing.
    real_editor.prefer("cut", folder="to cut/mats", sheets="200x150", copies=2)
    root = real_editor.run_effect("cut", drawing, tmp_path / "out.svg")
    folder = tmp_path / "to cut" / "mats"
    assert f"2 sheets in {folder}: sea blue 1, sun yellow 1" in real_editor.told()
    assert "sun-yellow-1.svg" in contents(folder)
    assert sheets_in(root) == [("sea blue", "1"), ("sun yellow", "1")]
    [layer] = [child for child in root if child.get(v.ROLE) == v.ROLE_SHEETS]
    assert layer.get(v.sodipodi("insensitive")) == "true"
    assert len(read_cut_lines(root)) == 2
