"""Installing, with a stand-in for the editor that only says where its folders are."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

from applique.cli.main import main
from applique.editor import asking
from applique.editor.finding import Surroundings
from applique.editor.inx import LAUNCHER
from applique.errors import EditorError
from tests.editor.stand_in import needs_scripts, write_stand_in

LAUNCH = Path(__file__).resolve().parents[2] / "extensions" / LAUNCHER


@pytest.fixture
def stand_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A program that answers as the editor does; returns the folder it names."""
    folder = tmp_path / "Zoë's data folder"
    program = write_stand_in(tmp_path / "editor", folder)
    monkeypatch.setenv("UNDERLAP_EDITOR", str(program))
    return folder


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
    folder = stand_in / "extensions" / "underlap"
    for name in ("mine.inx", "underlap_mine.inx"):
        (folder / name).write_text("<id>org.quilter.mine</id>")
    main(["editor", "install"])
    main(["editor", "remove"])
    assert sorted(path.name for path in folder.iterdir()) == ["mine.inx", "underlap_mine.inx"]


@needs_scripts
def test_what_an_older_version_had_goes_when_this_one_comes(stand_in: Path, capsys) -> None:
    main(["editor", "install"])
    folder = stand_in / "extensions" / "underlap"
    old = folder / "underlap_applique.inx"
    old.write_text("<inkscape-extension><id>org.underlap.applique</id></inkscape-extension>")
    assert main(["editor", "status"]) == 1
    assert "not up to date (underlap_applique.inx)" in capsys.readouterr().out
    assert main(["editor", "install"]) == 0
    assert not old.exists()
    assert main(["editor", "status"]) == 0
    old.write_text("<inkscape-extension><id>org.underlap.applique</id></inkscape-extension>")
    assert main(["editor", "remove"]) == 0
    assert not folder.exists()


@needs_scripts
def test_another_name_of_the_same_python_is_up_to_date(stand_in: Path, monkeypatch) -> None:
    main(["editor", "install"])
    monkeypatch.setattr(sys, "executable", str(Path(sys.executable).with_name("python3")))
    assert main(["editor", "status"]) == 0
    monkeypatch.setattr(sys, "executable", "/elsewhere/bin/python3")
    assert main(["editor", "status"]) == 1


@needs_scripts
@pytest.mark.parametrize("there", [".", "extensions", "extensions/underlap"])
def test_a_folder_that_can_not_be_written_is_one_sentence(
    there: str, stand_in: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    shut = stand_in / there
    shut.mkdir(parents=True)
    monkeypatch.setattr(os, "access", lambda path, mode: path != shut)
    assert main(["editor", "install"]) == 1
    told = capsys.readouterr().err
    assert told == (
        f"error: {shut}: can't be written, but the extensions belong there; see that you may write "
        "to that folder\n"
    )
    assert not any(shut.iterdir())


@needs_scripts
def test_files_that_can_not_be_removed_are_one_sentence(
    stand_in: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    def refused(path: Path) -> None:
        raise PermissionError(13, "Permission denied")

    main(["editor", "install"])
    monkeypatch.setattr(Path, "unlink", refused)
    assert main(["editor", "remove"]) == 1
    assert "the extensions can't be removed (Permission denied)" in capsys.readouterr().err


@needs_scripts
@pytest.mark.parametrize(
    ("link_to", "word"), [("/usr/bin/snap", "snap"), ("/var/lib/flatpak/exports/it", "flatpak")]
)
def test_into_a_sandbox_nothing_is_installed(
    link_to: str, word: str, stand_in: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    machine = replace(asking.this_machine(), resolved=lambda path: link_to)
    monkeypatch.setattr(asking, "this_machine", lambda: machine)
    assert main(["editor", "install"]) == 1
    told = capsys.readouterr().err
    assert f"this Inkscape is a {word}, whose extensions can't start" in told
    assert "AppImage" in told
    assert not stand_in.exists()


def test_an_editor_that_is_not_there_is_one_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    monkeypatch.setenv("UNDERLAP_EDITOR", str(tmp_path / "gone"))
    assert main(["editor", "status"]) == 1
    assert "did not say where its own files belong" in capsys.readouterr().err
    nothing = Surroundings("linux", {}, "/home", lambda name: None, lambda path: False, str)
    monkeypatch.setattr(asking, "this_machine", lambda: nothing)
    with pytest.raises(EditorError, match="Inkscape was not found"):
        asking.editor_program()


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


@pytest.mark.parametrize(
    ("variables", "sentence"),
    [
        ({"SNAP_NAME": "inkscape"}, "This Inkscape is shut in by a snap or a flatpak"),
        ({"FLATPAK_ID": "org.inkscape.Inkscape"}, "This Inkscape is shut in"),
        ({"SNAP_NAME": "terminal"}, "Underlap's Python is not where it was"),
    ],
)
def test_the_launcher_in_a_sandbox_says_so(
    variables: dict[str, str], sentence: str, tmp_path: Path
) -> None:
    call = launch(tmp_path, "--effect=check", **variables)
    assert call.returncode == 1
    (line,) = call.stderr.decode().splitlines()
    assert line.startswith(sentence)


def test_a_python_that_is_no_program_any_more_is_one_sentence(tmp_path: Path) -> None:
    broken = tmp_path / "python"
    broken.write_bytes(b"\0")
    (tmp_path / "underlap_python.txt").write_text(str(broken), encoding="utf-8")
    call = launch(tmp_path, "--effect=check")
    assert call.returncode == 1
    assert call.stderr.decode().splitlines() == [
        "Underlap's Python is not where it was; run 'applique editor install' again."
    ]


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
