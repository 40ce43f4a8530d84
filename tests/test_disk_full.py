"""Every command on a full disk: one sentence, and every file is as it was."""

from __future__ import annotations

import errno
import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from applique.cli.main import main
from tests import every_command
from tests.building import quilts
from tests.building.quilts import contents


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("prepared")
    every_command.write_inputs(folder)
    every_command.write_sheets(folder)
    return folder


@pytest.fixture
def inputs(prepared: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(prepared, tmp_path / "inputs"))


@pytest.fixture
def full(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """From when it is asked for, nothing more gets to the disk."""

    def refuse(handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", refuse)
    yield
    monkeypatch.undo()


def everything(folder: Path) -> dict[str, bytes | None]:
    """Every file of a folder, and every folder in it."""
    folders = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_dir()}
    return dict.fromkeys(folders) | contents(folder)


KNOWS_ITS_OWN = {"compose"}
"""What writes over nothing that it has not made itself."""


@pytest.mark.parametrize("name", every_command.calls(Path(), Path()))
def test_on_a_full_disk_every_file_is_as_it_was(
    name: str, inputs: Path, full: None, capsys: pytest.CaptureFixture[str]
) -> None:
    """Files that a command names as its result are there already; those in folders are new."""
    out = inputs.parent / "out"
    words = every_command.calls(inputs, out)[name]
    out.mkdir()
    there = [word for word in words if isinstance(word, Path) and word.parent == out]
    for path in there:
        if path.suffix not in ("", ".json") and name not in KNOWS_ITS_OWN:
            shutil.copyfile(inputs / "house-layers.svg", path)
    before = everything(inputs.parent)
    capsys.readouterr()
    assert every_command.run(words) == 1
    errors = [line for line in capsys.readouterr().err.splitlines() if line.startswith("error")]
    assert len(errors) == 1
    assert errors[0].endswith(
        "can't be written (No space left on device); make room there and run it again"
    )
    assert everything(inputs.parent) == before


def test_a_quilt_on_a_full_disk_stays_as_it_was_built(
    tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    project = quilts.write_quilt(tmp_path / "in")
    words = ["quilt", str(project), "-o", str(tmp_path / "out"), "--jobs", "1", "--block", "Tree"]
    assert main(words) == 0
    quilts.edit(tmp_path / "in/layouts/tree.toml", "x = 50", "x = 45")
    before = everything(tmp_path)
    request.getfixturevalue("full")
    assert main(words) == 1
    assert everything(tmp_path) == before


@pytest.mark.skipif(os.name == "nt", reason="the stand-in is a Unix script")
def test_the_extensions_on_a_full_disk_are_not_installed_in_part(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, full: None
) -> None:
    program = tmp_path / "editor"
    program.write_text(f"#!{sys.executable}\nprint({str(tmp_path / 'data')!r})\n")
    program.chmod(0o755)
    monkeypatch.setenv("UNDERLAP_EDITOR", str(program))
    assert main(["editor", "install"]) == 1
    assert everything(tmp_path) == {"editor": program.read_bytes()}
