"""`applique demo --all` builds a whole quilt beside the rest; what the rest is, others test."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from applique.cli import demo
from applique.cli.main import main
from applique.resources import samples_folder
from tests.conftest import SAMPLES

Demo = Callable[..., int]

SMALL = """
name = "Two gulls"

[[block]]
name = "Gull"
file = "gull.svg"
copies = 2
"""


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Demo:
    """The command with a small quilt in the place of the sample, and a small sample block."""
    shutil.copy(SAMPLES / "gull.svg", tmp_path)
    (tmp_path / "small.toml").write_text(SMALL, encoding="utf-8")
    monkeypatch.setattr(demo, "QUILT", str(tmp_path / "small"))
    monkeypatch.setattr(demo, "SAMPLE", "gull")
    for part in ("_cut", "_hooped"):
        monkeypatch.setattr(demo, part, lambda root, folder: {})
    for part in ("_traced", "_composed"):
        monkeypatch.setattr(demo, part, lambda folder: {})
    return lambda *flags: main(["demo", "-o", str(tmp_path / "demo"), *flags])


def test_the_quilt_that_is_built_is_there() -> None:
    assert (samples_folder() / f"{demo.QUILT}.toml").is_file()


def test_without_all_the_quilt_is_only_told_of(run: Demo, tmp_path: Path, capsys) -> None:
    assert run() == 0
    assert "applique demo --all also builds the whole quilt" in capsys.readouterr().out
    assert (tmp_path / "demo" / "gull.dst").is_file()
    assert not (tmp_path / "demo" / "quilt").exists()


def test_with_all_it_is_built(run: Demo, tmp_path: Path, capsys) -> None:
    assert run("--all") == 0
    told = capsys.readouterr().out
    assert "Two gulls: " in told and "0 failed" in told
    assert "demo --all" not in told
    assert told.count("Before you sew") == 1
    assert (tmp_path / "demo" / "gull.dst").is_file()
    assert (tmp_path / "demo" / "quilt" / "index.html").is_file()


def test_a_block_that_can_not_be_built_is_told_by_the_exit_code(run: Demo, tmp_path: Path) -> None:
    (tmp_path / "gull.svg").unlink()
    assert run("--all") == 1
    assert (tmp_path / "demo" / "gull.dst").is_file()
