"""`applique cut` where the solver fails or is not there, and where the search is ended."""

from __future__ import annotations

import signal
import subprocess
from pathlib import Path
from typing import Any

import pytest

from applique.cutsheets import cutting
from applique.nesting import solver
from tests.cli.cut_blocks import WHALE, block, contents, cut, line, names, read_sheet, square


@pytest.fixture
def whale(tmp_path: Path) -> Path:
    return block(tmp_path / "whale.svg", *WHALE)


@pytest.fixture
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the solver, which these tests don't need."""
    monkeypatch.setattr(solver, "is_there", lambda: False)


@pytest.mark.parametrize(
    "worker",
    ["import sys; sys.exit(3)", "import os; os.abort()", "raise BaseException('panicked')"],
    ids=["it ends", "it aborts", "it panics"],
)
def test_when_the_solver_fails_the_plain_packers_sheets_are_written(
    tmp_path: Path,
    capfd: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    worker: str,
) -> None:
    """Three squares of 100 mm lie on two sheets of 150 x 250 mm, as two are too long for one."""
    started: list[Any] = []
    popen = subprocess.Popen

    def failing(words: list[str], **given: Any) -> Any:
        started.append(words)
        return popen([*words[:-1], "-c", worker], **given)

    monkeypatch.setattr(subprocess, "Popen", failing)
    drawing = block(tmp_path / "b.svg", *(line(n, square(100.0)) for n in (1, 2, 3)))
    assert cut(drawing, "-o", tmp_path / "out", "--sheet", "150x250") == 0
    assert started
    assert capfd.readouterr().err == (
        "note: sea blue: the solver failed; the plain packer laid everything, which may take more "
        "sheets\n"
    )
    sheets = [read_sheet(path) for path in sorted((tmp_path / "out").glob("*.svg"))]
    assert sorted(label for sheet in sheets for label in sheet.labels) == ["1", "2", "3"]
    assert len(sheets) == 2


@pytest.mark.usefixtures("plainly")
def test_without_the_solver_it_is_told(whale: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cut(whale, "-o", whale.parent / "out") == 0
    told = capsys.readouterr().err
    assert told.startswith("note: the solver is not installed here; the plain packer laid")


def test_interrupted_it_writes_the_best_so_far(
    whale: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """What is not reached any more is laid plainly; what to buy of it is not told."""
    before = signal.getsignal(signal.SIGINT)
    nest = cutting.nest
    count: list[int] = []

    def interrupted(*given: Any) -> Any:
        count.append(1)
        if len(count) == 1:
            signal.raise_signal(signal.SIGINT)
        return nest(*given)

    monkeypatch.setattr(cutting, "nest", interrupted)
    folder = whale.parent / "out"
    assert cut(whale, "-o", folder) == 0
    assert sorted(read_sheet(folder / "sea-blue-1.svg").labels) == ["1", "17"]
    assert read_sheet(folder / "sand-1.svg").labels == ["2"]
    told = capsys.readouterr()
    assert "the time ended before it was known how much to buy of sea blue, sand\n" in told.err
    assert "to buy" not in told.out and "fabric-needed.txt" not in names(folder)
    assert signal.getsignal(signal.SIGINT) is before


def test_interrupted_twice_it_writes_nothing(
    whale: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(*given: Any) -> Any:
        signal.raise_signal(signal.SIGINT)
        signal.raise_signal(signal.SIGINT)

    monkeypatch.setattr(cutting, "nest", interrupted)
    assert cut(whale, "-o", whale.parent / "out") == 130
    assert "stopped; every file is whole" in capsys.readouterr().err
    assert contents(whale.parent) == {"whale.svg": whale.read_bytes()}
