"""Details on the command line, from the drawing to machine files."""

from pathlib import Path

import pytest

from applique.cli.main import main

BOAT = (
    '<path id="hull" fill="#9c2f2f" d="M10,30H90L80,70H20Z"/>'
    '<path id="rope" fill="none" stroke="#333333" d="M20,10 Q50,30 80,10"/>'
    '<circle id="berry" fill="#f0b83a" cx="50" cy="50" r="2.5"/>'
    '<path id="letter" fill="#ffffff" d="M25,40h8v2h-3v10h-2v-10h-3z"/>'
)


@pytest.fixture
def block(tmp_path: Path) -> Path:
    path = tmp_path / "block.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" '
        f'viewBox="0 0 100 100">{BOAT}</svg>'
    )
    return path


def run(*words: object) -> int:
    return main([str(word) for word in words])


@pytest.mark.parametrize("suffix", ["pes", "dst"])
@pytest.mark.parametrize("style", ["run", "there-and-back", "line"])
def test_from_drawing_to_machine_file(block, tmp_path: Path, suffix: str, style: str) -> None:
    layered, machine = tmp_path / "layers.svg", tmp_path / f"block.{suffix}"
    assert run("layers", block, "-o", layered) == 0
    assert run("layers", layered, "-o", layered, "--select", "rope", "--detail", style) == 0
    assert run("check", layered) == 0
    assert run("stitch", layered, "-o", machine) == 0
    assert machine.stat().st_size > 1000
    text = layered.read_text()
    assert text.count('ap:step="detail"') == 3
    assert f'ap:detail="{style}"' in text


def test_slivers_are_told_and_tagged(block, tmp_path: Path, capsys) -> None:
    layered = tmp_path / "layers.svg"
    assert run("layers", block, "-o", layered) == 0
    said = capsys.readouterr().err
    assert "sewn as details, filled with satin: 2, 3;" in said
    assert layered.read_text().count('ap:detail="spot"') == 2


def test_a_style_without_a_selection_is_refused(block, tmp_path: Path, capsys) -> None:
    assert run("layers", block, "-o", tmp_path / "x.svg", "--detail", "run") == 1
    assert "select the lines and small shapes" in capsys.readouterr().err
    assert not (tmp_path / "x.svg").exists()
