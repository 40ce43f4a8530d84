"""The core names menu entries; at the command line they are commands."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from applique.cli.actions import COMMAND_OF, on_the_command_line
from applique.cli.commands import COMMANDS
from applique.cli.main import main
from applique.editor.dialogs import EFFECTS
from tests.sentences import SOURCES, words_in

CORE = [path for path in SOURCES if not {"cli", "editor"} & set(path.parts)]


def test_every_menu_entry_has_its_command() -> None:
    assert COMMAND_OF.keys() == {dialog.title for dialog in EFFECTS.values()}
    named = {word for told in COMMAND_OF.values() for word in re.findall(r"'applique (.*)'", told)}
    assert named <= COMMANDS.keys()


@pytest.mark.parametrize("title", COMMAND_OF)
def test_no_sentence_of_the_core_keeps_a_menu_entry(title: str) -> None:
    if title == "Fabric and Edge":
        return  # Nothing at the command line does the same.
    for path in CORE:
        for words in words_in(path):
            assert title not in on_the_command_line(words), path


def test_a_remedy_names_the_command() -> None:
    told = "the layers are old; use Refresh Layers or Make Layers first"
    assert on_the_command_line(told) == (
        "the layers are old; use 'applique refresh' or 'applique layers' first"
    )


def test_a_piece_may_be_called_as_a_menu_entry_is() -> None:
    assert on_the_command_line("Cut Sheets: is too small") == "Cut Sheets: is too small"


def test_a_refusal_says_which_drawing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    drawing = tmp_path / "gull.svg"
    drawing.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"/>')
    assert main(["refresh", str(drawing), "-o", str(tmp_path / "out.svg")]) == 1
    assert capsys.readouterr().err == (
        f"error: {drawing}: there are no layers to refresh; use 'applique layers' first\n"
    )
    assert main(["check", str(tmp_path / "gone.svg")]) == 1
    assert f"error: {tmp_path / 'gone.svg'}: can't be opened; check" in capsys.readouterr().err
