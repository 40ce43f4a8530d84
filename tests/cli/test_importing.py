"""`applique import` on the command line."""

from __future__ import annotations

from pathlib import Path

import pytest

from applique.cli.main import main
from tests.artwork.motifs import HARBOUR, SKY, artwork_text


@pytest.fixture
def art(tmp_path: Path) -> Path:
    path = tmp_path / "harbour.svg"
    path.write_text(artwork_text(SKY + HARBOUR))
    return path


def run(*words: object) -> int:
    return main([str(word) for word in words])


def test_from_artwork_to_layers(art: Path, tmp_path: Path, capsys) -> None:
    block, layered = tmp_path / "block.svg", tmp_path / "layers.svg"
    assert run("import", art, "-o", block, "--width", "200mm") == 0
    said = capsys.readouterr()
    assert said.out == (
        f"{block}: 9 pieces and 0 details of 8 fabrics, on light blue; the artwork is "
        "200 x 150 mm, the finished block 200 x 150 mm\n"
    )
    assert "sky: covers the whole artwork" in said.err
    assert 'ap:block="harbour"' in block.read_text()
    assert run("layers", block, "-o", layered) == 0
    assert run("check", layered) == 0


@pytest.mark.parametrize("width", ["203.2", "203.2mm", "8in", "20.32cm"])
def test_units(art: Path, tmp_path: Path, width: str, capsys) -> None:
    assert run("import", art, "-o", tmp_path / "b.svg", "--width", width) == 0
    assert "the artwork is 203.2 x 152.4 mm" in capsys.readouterr().out


def test_height_and_finished_size(art: Path, tmp_path: Path) -> None:
    block = tmp_path / "b.svg"
    assert run("import", art, "-o", block, "--height", "150", "--finished", "254x254") == 0
    assert 'width="279.4mm" height="279.4mm" viewBox="0 0 279.4 279.4"' in block.read_text()


def test_every_choice_at_once(art: Path, tmp_path: Path, capsys) -> None:
    art.write_text(artwork_text(HARBOUR + '<path id="rope" stroke="#333" d="M20 150h90"/>'))
    words = ("--width", 150, "--strokes", "outline", "--smallest", 3, "--small", "drop")
    assert (
        run("import", art, "-o", tmp_path / "b.svg", *words, "--merge-colours", 0, "--split") == 0
    )
    assert "rope (stroke): is 0.3 mm wide at most" in capsys.readouterr().err


@pytest.mark.parametrize(
    "words",
    [
        (),
        ("--width", "0"),
        ("--width", "-20"),
        ("--width", "9"),
        ("--width", "1km"),
        ("--width", "90000"),
        ("--width", "nan"),
        ("--width", "100", "--height", "100"),
        ("--width", "100", "--merge-colours", "-1"),
        ("--width", "100", "--merge-colours", "much"),
        ("--width", "100", "--smallest", "-1"),
        ("--width", "100", "--finished", "0x9"),
        ("--width", "100", "--small", "keep"),
    ],
)
def test_wrong_words_end_with_2(art: Path, tmp_path: Path, words: tuple[str, ...]) -> None:
    with pytest.raises(SystemExit) as refused:
        run("import", art, "-o", tmp_path / "b.svg", *words)
    assert refused.value.code == 2
    assert not (tmp_path / "b.svg").exists()


def test_a_block_too_long_ends_with_2(art: Path, tmp_path: Path, capsys) -> None:
    art.write_text(artwork_text('<rect width="1" height="300"/>'))
    assert run("import", art, "-o", tmp_path / "b.svg", "--width", "50") == 2
    assert "no page is longer than 10 m" in capsys.readouterr().err


def test_no_shape_ends_with_1_and_writes_nothing(art: Path, tmp_path: Path, capsys) -> None:
    art.write_text(artwork_text('<text id="title">Pier</text><path d="M4 4z" fill="red"/>'))
    assert run("import", art, "-o", tmp_path / "b.svg", "--width", "200") == 1
    said = capsys.readouterr().err
    assert "text was left out" in said
    assert f"error: {art}: no filled shape was found" in said
    assert not (tmp_path / "b.svg").exists()
