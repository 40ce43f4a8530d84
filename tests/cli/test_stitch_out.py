"""`applique stitch-out`: what is written and said, what is refused in one sentence."""

from __future__ import annotations

from pathlib import Path

import pytest

from applique.cli.main import main
from applique.files import read_svg, svg_bytes
from applique.pipeline import make_layers
from tests.conftest import SAMPLES


@pytest.fixture(scope="module")
def gull(tmp_path_factory: pytest.TempPathFactory) -> Path:
    tree = read_svg(SAMPLES / "gull.svg")
    make_layers(tree.getroot())
    path = tmp_path_factory.mktemp("layers") / "gull.svg"
    path.write_bytes(svg_bytes(tree))
    return path


def run(*words: object) -> int:
    return main([str(word) for word in ("stitch-out", *words)])


def test_a_layered_block_is_played(
    gull: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "gull.html"
    assert run(gull, "-o", page) == 0
    assert "stitches" in capsys.readouterr().out
    text = page.read_text(encoding="utf-8")
    assert "<h1>Stitch-out: " in text
    assert "over the line of" in text


def test_formats_play_alike(gull: Path, tmp_path: Path) -> None:
    """The stitches are the same in every format; only what the screen shows differs."""
    moves = set()
    for suffix in ("dst", "pes", "vp3"):
        page = tmp_path / f"{suffix}.html"
        assert run(gull, "-o", page, "--format", suffix) == 0
        moves.add(page.read_text(encoding="utf-8").split('"moves":')[1])
    assert len(moves) == 1


def test_hoopings_are_played_one_after_the_other(gull: Path, tmp_path: Path) -> None:
    page = tmp_path / "gull.html"
    assert run(gull, "-o", page, "--field", "130x180", "--turn") == 0
    text = page.read_text(encoding="utf-8")
    assert "<h3>Hooping 1</h3>" in text
    assert "<h3>Hooping 2</h3>" in text


def test_a_machine_file_is_played_by_itself(
    gull: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file, page = tmp_path / "gull.pes", tmp_path / "gull.html"
    assert main(["stitch", str(gull), "-o", str(file)]) == 0
    assert run(file, "-o", page) == 0
    assert "Stop 1" in page.read_text(encoding="utf-8")
    capsys.readouterr()
    assert run(file, "-o", page, "--field", "130x180") == 2
    assert "leave --field out" in capsys.readouterr().err


def test_refusals(gull: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tight = ("--field", "20x20", "--margin", "10")
    cases = (
        ((gull, "-o", tmp_path / "page.txt"), 2, "give it that ending"),
        ((SAMPLES / "gull.svg", "-o", tmp_path / "page.html"), 1, "use 'applique layers' first"),
        ((tmp_path / "none.dst", "-o", tmp_path / "page.html"), 1, "can't be opened"),
        ((gull, "-o", tmp_path / "page.html", *tight), 2, "smaller margin"),
    )
    for words, code, sentence in cases:
        assert run(*words) == code, sentence
        assert sentence in capsys.readouterr().err
        assert not (tmp_path / "page.html").exists()
