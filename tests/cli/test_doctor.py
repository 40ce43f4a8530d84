"""`applique doctor`: every trouble has its remedy, and without one all is well."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from applique.cli.main import main
from applique.editor import asking, health, install
from applique.editor.install import PATH_FILE
from tests.editor.stand_in import needs_scripts, write_stand_in

pytestmark = needs_scripts


@pytest.fixture
def profile(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A stand-in for the editor, into which the extensions are installed; returns its folder."""
    name_editor(tmp_path, monkeypatch)
    assert main(["editor", "install"]) == 0
    return tmp_path / "data"


def name_editor(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, version: str = "1.3.2") -> None:
    program = write_stand_in(tmp_path / "editor", tmp_path / "data", version, tmp_path / "system")
    monkeypatch.setenv("UNDERLAP_EDITOR", str(program))


def told(capsys: pytest.CaptureFixture[str]) -> dict[str, str]:
    """What is told of each thing, by its name; what there is to do by "- NAME:"."""
    capsys.readouterr()
    code = main(["doctor"])
    lines = capsys.readouterr().out.splitlines()
    assert (lines[-1] == "all is well") == (code == 0)
    found = {}
    for line in lines:
        name, _, rest = line.partition(": ") if line.startswith("- ") else line.partition("  ")
        found[name] = rest.strip()
    return found


def test_all_is_well(profile: Path, capsys) -> None:
    found = told(capsys)
    assert "all is well" in found
    assert found["Python"].endswith(sys.executable)
    assert found["Inkscape"].startswith("1.3.2, ")
    assert found["extensions"].endswith("extensions/underlap, up to date")
    assert found["user folder"] == f"{profile}, can be written"
    assert found["pyembroidery"] == "1.5.1 (asked for: ==1.5.1)"


def test_without_an_editor(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    machine = replace(
        asking.this_machine(), variables={}, which=lambda name: None, is_file=lambda path: False
    )
    monkeypatch.setattr(asking, "this_machine", lambda: machine)
    found = told(capsys)
    assert found["- Inkscape"].startswith("Inkscape was not found; install it")
    assert "extensions" not in found


def test_without_the_extensions(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys) -> None:
    name_editor(tmp_path, monkeypatch)
    found = told(capsys)
    assert found["extensions"] == "not installed"
    assert found["- extensions"] == "run 'applique editor install'"


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("underlap_check.inx", "old", "of another version"),
        (PATH_FILE, "/gone/python", "but the Python they start is gone"),
        (PATH_FILE, "/bin/sh", "but they start another installation, /bin/sh"),
    ],
)
def test_extensions_that_need_care(
    name: str, content: str, words: str, profile: Path, capsys
) -> None:
    (profile / "extensions" / "underlap" / name).write_text(content)
    found = told(capsys)
    assert found["extensions"].endswith(words)
    assert found["- extensions"].startswith("run 'applique editor install'")


@pytest.mark.parametrize(
    ("version", "words", "remedy"),
    [
        ("1.1.2", "too old", "install Inkscape 1.2 or newer"),
        ("1.2", "editor", None),
        ("1.4.3", "editor", None),
        ("1.5", "newer than those tried; it may well work", None),
    ],
)
def test_versions_of_the_editor(
    version: str,
    words: str,
    remedy: str | None,
    profile: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys,
) -> None:
    name_editor(tmp_path, monkeypatch, version)
    found = told(capsys)
    assert found["Inkscape"].startswith(f"{version}, ")
    assert found["Inkscape"].endswith(words)
    assert found.get("- Inkscape") == remedy


def test_an_editor_in_a_sandbox(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, profile: Path, capsys
) -> None:
    machine = replace(asking.this_machine(), resolved=lambda path: "/usr/bin/snap")
    monkeypatch.setattr(asking, "this_machine", lambda: machine)
    found = told(capsys)
    assert found["Inkscape"].endswith(", a snap")
    assert "can't start Underlap's Python" in found["- Inkscape"]


def test_the_editors_inkex_where_there_is_no_other(
    profile: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    monkeypatch.setattr(health, "find_spec", lambda name: None)
    found = told(capsys)
    assert found["inkex"] == "missing"
    assert "install Inkscape anew" in found["- inkex"]
    (tmp_path / "system" / "extensions" / "inkex").mkdir(parents=True)
    assert told(capsys)["inkex"] == f"Inkscape's own in {tmp_path / 'system' / 'extensions'}"


@pytest.mark.parametrize(
    ("versions", "line"),
    [
        ({"numpy": ""}, ("numpy", "missing (asked for: >=2.0)")),
        ({"numpy": "1.26.4"}, ("numpy", "1.26.4 (asked for: >=2.0)")),
    ],
)
def test_a_package_that_is_missing_or_too_old(
    versions: dict[str, str],
    line: tuple[str, str],
    profile: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys,
) -> None:
    there = health._version_of
    monkeypatch.setattr(health, "_version_of", lambda name: versions.get(name, there(name)))
    found = told(capsys)
    assert found[line[0]] == line[1]
    assert found["- numpy"] == "install Underlap anew"


def test_without_the_solver_all_is_well(
    profile: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    monkeypatch.setattr(health, "solver_is_there", lambda: False)
    found = told(capsys)
    assert found["spyrrow"] == "not there: the plain packer nests alone, without the solver"
    assert "all is well" in found


def test_folders_that_can_not_be_written(
    profile: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    def refused() -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(install.os, "access", lambda path, mode: False)
    monkeypatch.setattr(health.tempfile, "TemporaryFile", refused)
    found = told(capsys)
    assert found["- user folder"] == f"see that you may write to {profile}/extensions/underlap"
    assert found["temporary files"] == "can't be written (No space left on device)"


def test_a_browser_is_only_a_convenience(
    profile: Path, monkeypatch: pytest.MonkeyPatch, capsys
) -> None:
    def nothing() -> None:
        raise health.webbrowser.Error

    monkeypatch.setattr(health.webbrowser, "get", nothing)
    found = told(capsys)
    assert found["browser"] == "none found: pages have to be opened by hand"
    assert "all is well" in found
