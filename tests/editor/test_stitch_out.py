"""Stitch-out Page: what it writes and opens, and one run by a real Inkscape on a virtual screen."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from lxml import etree

from applique.cli.main import main
from applique.editor import browser
from applique.editor.stitch_out import write_stitch_out
from applique.errors import AppliqueError, InputError, UsageError
from applique.files import read_svg
from tests.editor.asked import BLOCK, asked
from tests.editor.real import Editor


class Browser:
    """What stands in for the user's; `takes` says whether it opens what it is given."""

    def __init__(self, takes: bool) -> None:
        self.takes = takes
        self.shown: list[Path] = []

    def opened(self, path: Path) -> bool:
        self.shown.append(path)
        return self.takes


def test_the_page_is_that_of_the_command_and_is_opened(
    saved: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    by_command = tmp_path / "command.html"
    assert main(["stitch-out", str(saved), "-o", str(by_command)]) == 0
    shown = Browser(takes=True)
    monkeypatch.setattr(browser, "opened", shown.opened)
    root = read_svg(saved).getroot()
    before = etree.tostring(root)
    # The browser shows what was made: nothing needs to be told.
    assert write_stitch_out(root, asked("stitch-out")) == []
    path = saved.with_name("harbour-stitch-out.html")
    assert shown.shown == [path]
    assert path.read_bytes() == by_command.read_bytes()
    assert etree.tostring(root) == before


def test_where_no_browser_shows_the_page_its_place_is_told(
    saved: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown = Browser(takes=False)
    monkeypatch.setattr(browser, "opened", shown.opened)
    path = saved.with_name("page.html")
    for wanted in ("true", "false"):
        options = asked("stitch-out", file=path.name, open=wanted)
        assert write_stitch_out(read_svg(saved).getroot(), options) == [
            f"{path}: open it in a browser"
        ]
    assert shown.shown == [path]


def test_hoopings_are_played_one_after_the_other(saved: Path) -> None:
    options = asked("stitch-out", fields="72x48", turn="true", margin=1.5, open="false")
    write_stitch_out(read_svg(saved).getroot(), options)
    text = saved.with_name("harbour-stitch-out.html").read_text(encoding="utf-8")
    assert "<h3>Hooping 2</h3>" in text


@pytest.mark.parametrize(
    ("changed", "refused", "sentence"),
    [
        ({"file": "page.pdf"}, UsageError, "give it that ending"),
        ({"fields": "130"}, UsageError, "'130' is not a size"),
        ({"fields": "20x20"}, InputError, "no piece fits any of the fields"),
    ],
)
def test_a_refusal_is_a_sentence_and_writes_nothing(
    saved: Path, changed: dict[str, object], refused: type[AppliqueError], sentence: str
) -> None:
    with pytest.raises(refused, match=sentence):
        write_stitch_out(read_svg(saved).getroot(), asked("stitch-out", **changed))
    assert list(saved.parent.iterdir()) == [saved]


def test_a_drawing_without_layers_is_told_to_have_them_made(saved: Path) -> None:
    with pytest.raises(InputError, match="use Make Layers first"):
        write_stitch_out(etree.fromstring(BLOCK), asked("stitch-out"))


@pytest.mark.skipif(sys.platform == "win32", reason="its browser is not named by a variable")
def test_the_browser_is_asked_in_a_process_of_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    heard = tmp_path / "heard.txt"
    program = tmp_path / "browser"
    program.write_text(f'#!/bin/sh\necho "page $1" | tee "{heard}"\necho noise >&2\n')
    program.chmod(0o755)
    monkeypatch.setenv("BROWSER", f"{program} %s")
    page = tmp_path / "new page.html"
    assert browser.opened(page)
    assert heard.read_text() == f"page {page.as_uri()}\n"
    # What a browser prints must not come among what the editor reads.
    assert capfd.readouterr() == ("", "")
    monkeypatch.setenv(browser.NO_BROWSER_VARIABLE, "1")
    heard.unlink()
    assert not browser.opened(page)
    assert not heard.exists()


def test_the_real_editor_writes_the_page_beside_the_drawing(
    real_editor: Editor, layered: bytes, tmp_path: Path
) -> None:
    drawing = tmp_path / "harbour.svg"
    drawing.write_bytes(layered)
    real_editor.run_effect("stitch-out", drawing, tmp_path / "out.svg")
    path = tmp_path / "harbour-stitch-out.html"
    assert real_editor.told() == f"{path}: open it in a browser\n"
    by_command = tmp_path / "command.html"
    assert main(["stitch-out", str(drawing), "-o", str(by_command)]) == 0
    assert path.read_bytes() == by_command.read_bytes()
