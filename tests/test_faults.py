"""A fault of our own is one sentence and a file; the file has what is needed to mend it."""

from __future__ import annotations

import argparse
import io
import tempfile
from pathlib import Path

import pytest

from applique import __version__, faults
from applique.cli import check
from applique.cli.main import main
from applique.editor import effects


def stumble(*given: object) -> int:
    raise ZeroDivisionError("no field is 0 mm wide")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where fault files go, as users have it."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.delenv("UNDERLAP_TRACEBACK")
    return tmp_path


def test_at_the_command_line(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(check, "run", stumble)
    for _ in range(2):
        assert main(["check", "gull.svg"]) == 3
    [file] = folder.iterdir()  # The same fault again has no file of its own.
    assert file.name.startswith("underlap-fault-")
    told = "this is a fault of Underlap, not of your work; every file is whole"
    assert capsys.readouterr().err == f"error: {told}; send {file} with what you did\n" * 2
    report = file.read_text(encoding="utf-8")
    assert report.startswith(f"Underlap {__version__}\nPython 3")
    assert "\nshapely 2" in report
    assert "\nwords: ['check', 'gull.svg']\n" in report
    assert report.endswith("\nZeroDivisionError: no field is 0 mm wide\n")


def test_in_the_editor(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    messages = folder / "messages"
    monkeypatch.setenv("UNDERLAP_MESSAGES", str(messages))
    monkeypatch.setattr(effects, "_extension", stumble)
    output = io.BytesIO()
    assert effects.run_extension(["--effect=check", "gull.svg"], output) == 1
    assert output.getvalue() == b""
    [file] = folder.glob("underlap-fault-*.txt")
    assert messages.read_text(encoding="utf-8") == (
        "this is a fault of Underlap, not of your work; every file is whole; "
        f"send {file} with what you did\n"
    )


def test_where_no_file_can_be_written_the_fault_itself_is_told(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(folder / "gone"))
    assert faults.sentence_of(ZeroDivisionError("no field"), ["check"]) == (
        "this is a fault of Underlap, not of your work; every file is whole; "
        "send this with what you did: ZeroDivisionError: no field"
    )


def test_a_disk_that_fills_up_leaves_no_part_of_the_file(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    class FullDisk(io.BytesIO):
        def write(self, data: object) -> int:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(faults.os, "fdopen", lambda handle, mode: FullDisk())
    assert "send this with what you did" in faults.sentence_of(KeyError("a"), ["check"])
    assert list(folder.iterdir()) == []


def test_a_want_of_memory_is_no_fault_of_ours(
    folder: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def too_much(arguments: argparse.Namespace) -> int:
        raise MemoryError

    monkeypatch.setattr(check, "run", too_much)
    assert main(["check", "gull.svg"]) == 1
    assert capsys.readouterr().err == (
        "error: the computer's memory is not enough for this; close other programs, or do less "
        "at once\n"
    )
    assert list(folder.iterdir()) == []


def test_another_file_of_that_name_is_left_alone(folder: Path) -> None:
    told = faults.sentence_of(KeyError("a"), ["check"])
    [file] = folder.iterdir()
    file.write_text("precious", encoding="utf-8")
    assert faults.sentence_of(KeyError("a"), ["check"]) != told
    assert file.read_text(encoding="utf-8") == "precious"
    assert len(list(folder.iterdir())) == 2


def test_whoever_works_on_the_project_sees_the_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("UNDERLAP_TRACEBACK", "1")
    monkeypatch.setattr(check, "run", stumble)
    monkeypatch.setattr(effects, "_extension", stumble)
    with pytest.raises(ZeroDivisionError):
        main(["check", "gull.svg"])
    with pytest.raises(ZeroDivisionError):
        effects.run_extension(["--effect=check"])
