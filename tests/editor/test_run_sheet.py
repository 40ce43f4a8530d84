"""Run Sheet: what it writes and where, and one run by a real Inkscape on a virtual screen."""

from __future__ import annotations

from pathlib import Path

import pytest
from lxml import etree, html

from applique.cli.main import main
from applique.editor.inx import LAUNCHER
from applique.editor.named import DOCUMENT_VARIABLE
from applique.editor.run_sheet import write_run_sheet
from applique.errors import AppliqueError, InputError, OutputError, UsageError
from applique.files import read_svg
from tests.editor.asked import BLOCK, asked
from tests.editor.real import Editor


def headings(path: Path) -> list[str]:
    return [each.text_content() for each in html.fromstring(path.read_bytes()).iter("h2")]


def test_it_writes_what_the_command_writes_and_leaves_the_drawing_alone(
    saved: Path, tmp_path: Path
) -> None:
    for ending in ("html", "pdf"):
        by_command, by_editor = tmp_path / f"command.{ending}", tmp_path / f"editor.{ending}"
        flags = ("--format", "pes", "--needles", "4", "--speed", "500", "--needle", "75/11")
        words = (*flags, "--stabiliser", "one layer", "--paper", "letter")
        assert main(["run-sheet", str(saved), "-o", str(by_command), *words]) == 0
        root = read_svg(saved).getroot()
        before = etree.tostring(root)
        options = {"format": "pes", "needles": 4, "speed": 500, "needle": " 75/11 "}
        options |= {"stabiliser": "one layer", "paper": "letter", "file": by_editor.name}
        [told] = write_run_sheet(root, asked("run-sheet", **options))
        assert told.startswith(f"{by_editor}: 1 hooping, ")
        assert by_editor.read_bytes() == by_command.read_bytes()
        assert etree.tostring(root) == before


def test_a_sheet_without_a_name_lies_beside_the_drawing(saved: Path) -> None:
    [told] = write_run_sheet(read_svg(saved).getroot(), asked("run-sheet"))
    path = saved.with_name("harbour-run-sheet.html")
    assert told.startswith(f"{path}: 1 hooping, ")
    assert "All in one hooping: harbour.dst" in headings(path)


def test_with_fields_every_hooping_has_its_stops(saved: Path, tmp_path: Path) -> None:
    by_command = tmp_path / "command.html"
    flags = ("--field", "72x48", "--turn", "--margin", "1.5")
    assert main(["run-sheet", str(saved), "-o", str(by_command), *flags]) == 0
    options = asked("run-sheet", fields="72x48", turn="true", margin=1.5)
    told = write_run_sheet(read_svg(saved).getroot(), options)
    path = saved.with_name("harbour-run-sheet.html")
    assert told[0].startswith(f"{path}: 2 hoopings, ")
    assert "Hooping 2 of 2: block-hooping-2.dst" in headings(path)
    assert path.read_bytes() == by_command.read_bytes()


@pytest.mark.parametrize(
    ("changed", "refused", "sentence"),
    [
        ({"file": "sheet.txt"}, UsageError, "written as .html or .pdf"),
        ({"file": "harbour.svg"}, UsageError, "written as .html or .pdf"),
        ({"fields": "130"}, UsageError, "'130' is not a size"),
        ({"fields": "20x20"}, InputError, "no piece fits any of the fields"),
        ({"file": "folder.html"}, OutputError, "is a folder"),
    ],
)
def test_a_refusal_is_a_sentence_and_writes_nothing(
    saved: Path, changed: dict[str, object], refused: type[AppliqueError], sentence: str
) -> None:
    saved.with_name("folder.html").mkdir()
    before = sorted(saved.parent.rglob("*"))
    with pytest.raises(refused, match=sentence):
        write_run_sheet(read_svg(saved).getroot(), asked("run-sheet", **changed))
    assert sorted(saved.parent.rglob("*")) == before


def test_a_drawing_without_layers_is_told_to_have_them_made(saved: Path) -> None:
    with pytest.raises(InputError, match="use Make Layers first"):
        write_run_sheet(etree.fromstring(BLOCK), asked("run-sheet"))


def test_a_drawing_that_was_never_saved_needs_a_folder(
    layered: bytes, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(DOCUMENT_VARIABLE, "")
    root = etree.fromstring(layered)
    for name in ("", "sheet.html"):
        with pytest.raises(
            UsageError, match="never saved; save it first, or name the file with its"
        ):
            write_run_sheet(root, asked("run-sheet", file=name))
    write_run_sheet(root, asked("run-sheet", file=tmp_path / "sheet.html"))
    assert (tmp_path / "sheet.html").is_file()


def test_nothing_is_written_into_the_folder_of_the_extensions(saved: Path, tmp_path: Path) -> None:
    # The editor puts a name that was typed without a folder there.
    extensions = tmp_path / "extensions"
    extensions.mkdir()
    (extensions / LAUNCHER).touch()
    options = asked("run-sheet", file=extensions / "sheet.html")
    write_run_sheet(read_svg(saved).getroot(), options)
    assert saved.with_name("sheet.html").is_file()
    assert [path.name for path in extensions.iterdir()] == [LAUNCHER]


def test_the_real_editor_writes_the_sheet_beside_the_drawing(
    real_editor: Editor, layered: bytes, tmp_path: Path
) -> None:
    drawing = tmp_path / "harbour.svg"
    drawing.write_bytes(layered)
    real_editor.prefer(
        "run-sheet", file="to sew/sheet.html", needles=6, format="pes", needle="75/11"
    )
    real_editor.run_effect("run-sheet", drawing, tmp_path / "out.svg")
    path = tmp_path / "to sew" / "sheet.html"
    assert f"{path}: 1 hooping, " in real_editor.told()
    assert "All in one hooping: harbour.pes" in headings(path)
    assert "Needles" in headings(path)
    assert "75/11" in path.read_text(encoding="utf-8")
