"""Installing, with a stand-in for the editor that only says where its folders are."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from applique.cli.main import main
from applique.editor import install
from applique.editor.inx import LAUNCHER
from applique.errors import EditorError

LAUNCH = Path(__file__).resolve().parents[2] / "extensions" / LAUNCHER


@pytest.fixture
def stand_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A program that answers as the editor does; returns the folder it names."""
    folder = tmp_path / "data folder"
    program = tmp_path / "editor"
    program.write_text(f"#!{sys.executable}\nprint({str(folder)!r})\n")
    program.chmod(0o755)
    monkeypatch.setenv("UNDERLAP_EDITOR", str(program))
    return folder


needs_scripts = pytest.mark.skipif(os.name == "nt", reason="the stand-in is a Unix script")


@needs_scripts
def test_install_status_remove(stand_in: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["editor", "status"]) == 1
    assert main(["editor", "install"]) == 0
    folder = stand_in / "extensions" / "underlap"
    assert (folder / LAUNCHER).read_bytes() == LAUNCH.read_bytes()
    assert (folder / "underlap_python.txt").read_text().strip() == sys.executable
    assert main(["editor", "status"]) == 0
    assert "installed and up to date" in capsys.readouterr().out
    assert main(["editor", "remove"]) == 0
    assert not folder.exists()
    assert main(["editor", "remove"]) == 0
    assert "nothing was installed" in capsys.readouterr().out


@needs_scripts
def test_an_old_installation_is_noticed(stand_in: Path, capsys) -> None:
    main(["editor", "install"])
    (stand_in / "extensions" / "underlap" / "underlap_check.inx").write_text("old")
    assert main(["editor", "status"]) == 1
    assert "not up to date (underlap_check.inx)" in capsys.readouterr().out


@needs_scripts
def test_other_peoples_files_stay(stand_in: Path) -> None:
    main(["editor", "install"])
    foreign = stand_in / "extensions" / "underlap" / "mine.inx"
    foreign.write_text("mine")
    main(["editor", "remove"])
    assert foreign.read_text() == "mine"


def test_an_editor_that_is_not_there_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    monkeypatch.setenv("UNDERLAP_EDITOR", str(tmp_path / "gone"))
    assert main(["editor", "status"]) == 1
    assert "did not say where its own files belong" in capsys.readouterr().err
    monkeypatch.delenv("UNDERLAP_EDITOR")
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(EditorError, match="Inkscape was not found"):
        install.editor_program()


# The launcher: standard library only, run as the editor runs it.


def launch(folder: Path, *words: str, **environment: str) -> subprocess.CompletedProcess[bytes]:
    launcher = folder / LAUNCHER
    launcher.write_bytes(LAUNCH.read_bytes())
    return subprocess.run(
        [sys.executable, str(launcher), *words],
        env={**os.environ, "UNDERLAP_PYTHON": "", **environment},
        capture_output=True,
        check=False,
    )


def test_the_launcher_without_its_python_says_so(tmp_path: Path) -> None:
    call = launch(tmp_path, "--effect=check")
    assert call.returncode == 1
    assert call.stderr.decode().splitlines() == [
        "Underlap's Python is not where it was; run 'applique editor install' again."
    ]


def test_the_launcher_hands_on_and_keeps_the_editors_python_out(tmp_path: Path) -> None:
    drawing = tmp_path / "x.svg"
    drawing.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="0 0 50 50">'
        '<rect id="a" width="20" height="20"/></svg>'
    )
    trap = tmp_path / "trap"
    (trap / "inkex").mkdir(parents=True)
    (trap / "inkex" / "__init__.py").write_text("raise SystemExit('the editor got in the way')")
    (tmp_path / "underlap_python.txt").write_text(sys.executable + "\n")
    call = launch(tmp_path, "--effect=layers", str(drawing), PYTHONPATH=str(trap))
    assert call.stderr == b""
    assert call.returncode == 0
    assert b"ap:step" in call.stdout


def test_an_unknown_effect_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "underlap_python.txt").write_text(sys.executable)
    call = launch(tmp_path, "--effect=fly", "x.svg")
    assert call.returncode == 1
    assert call.stderr.decode() == "there is no effect 'fly'; install the extensions anew\n"


def test_a_broken_drawing_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "underlap_python.txt").write_text(sys.executable)
    (tmp_path / "x.svg").write_text("<svg")
    call = launch(tmp_path, "--effect=layers", str(tmp_path / "x.svg"))
    assert call.returncode == 1
    assert call.stderr.decode().startswith("the drawing: is no readable SVG")
