"""What the editor answers, and what it should not."""

from __future__ import annotations

import locale
import os
from pathlib import Path

import pytest

from applique.editor import asking
from applique.errors import EditorError
from tests.editor.stand_in import needs_scripts, write_stand_in


@needs_scripts
def test_its_folders_and_its_version(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    program = write_stand_in(tmp_path / "editor", Path("/home/Zoë/ink"), "1.4", Path("/usr/ink"))
    monkeypatch.setenv("UNDERLAP_EDITOR", str(program))
    assert asking.user_data() == Path("/home/Zoë/ink")
    assert asking.system_data() == Path("/usr/ink")
    assert asking.editor_version() == (1, 4)


@needs_scripts
@pytest.mark.parametrize(
    ("script", "message"),
    [
        ("exit 0", "did not say what version it is; is it Inkscape?"),
        ("echo Something 1.2", "did not say its version; is it Inkscape?"),
        ("echo Inkscape 1.2; exit 1", "did not say what version it is; name Inkscape's program"),
    ],
)
def test_a_program_that_is_no_editor(
    script: str, message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    program = tmp_path / "program"
    program.write_text(f"#!/bin/sh\n{script}\n")
    program.chmod(0o755)
    monkeypatch.setenv("UNDERLAP_EDITOR", str(program))
    with pytest.raises(EditorError, match="^" + str(program)) as caught:
        asking.editor_version()
    assert message in str(caught.value)


@needs_scripts
@pytest.mark.parametrize("folder", ["ink", "/home/\x1b[2Jink"])
def test_what_is_no_whole_path_is_no_folder_of_its(
    folder: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    program = write_stand_in(tmp_path / "editor", Path(folder), "1.4", Path(folder))
    monkeypatch.setenv("UNDERLAP_EDITOR", str(program))
    with pytest.raises(EditorError, match="did not say where its own files belong; is it"):
        asking.user_data()
    with pytest.raises(EditorError, match="did not say where its own files are; is it"):
        asking.system_data()


def test_an_answer_in_the_code_page_of_a_console(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(locale, "getpreferredencoding", lambda do_setlocale: "cp1252")
    assert asking._text("C:\\Users\\Zoë".encode("cp1252")) == "C:\\Users\\Zoë"
    assert asking._text("C:\\Users\\Zoë".encode()) == "C:\\Users\\Zoë"


def test_this_machine_follows_links(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(tmp_path / "program")
    machine = asking.this_machine()
    assert machine.resolved(str(tmp_path / "link")) == str(tmp_path / "program")
    assert machine.variables is os.environ
