"""`applique proof` as a user meets it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from PIL import Image

from applique.cli.main import main

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
    'width="100mm" height="100mm" viewBox="0 0 100 100">'
    '<rect id="sea" fill="#2f6f8f" x="10" y="10" width="40" height="30"/>'
    '<circle id="rock" fill="#7d7f80" cx="70" cy="60" r="12" ap:edge="blanket" '
    "/></svg>"
)


@pytest.fixture
def layered(tmp_path: Path) -> Path:
    path = tmp_path / "block.svg"
    path.write_text(DRAWING)
    assert run("layers", path, "-o", path) == 0
    return path


def run(*words: object) -> int:
    try:
        return main([str(word) for word in words])
    except SystemExit as ended:  # argparse ends by itself on wrong usage
        return int(ended.code or 0)


def test_a_table_and_the_totals_are_printed(layered: Path, capsys) -> None:
    capsys.readouterr()
    assert run("proof", layered) == 0
    out = capsys.readouterr().out
    heading, sea, rock = out.splitlines()[:3]
    assert heading.split()[:3] == ["piece", "edge", "cover"]
    assert re.match(r"1 +satin +(100\.00|99\.9\d) +0\.00 +\d .* of \d+$", sea)
    assert re.match(r"2 +blanket +- +- ", rock)
    assert len({len(line) for line in (heading, sea, rock)}) == 1
    assert re.search(r"^#2f6f8f +\d+\.\d +\d+\.\d$", out, re.M)
    assert "have 10 to 15 % more of each" in out
    assert re.search(r"time: \d+ minutes of the machine, \d+ stops?, \d+ trims?", out)
    assert re.search(r"layers of thread: \d\.\d at the densest place \(near ", out)


def test_json_holds_every_figure_and_the_findings(layered: Path, capsys) -> None:
    texts = []
    for _ in range(2):
        capsys.readouterr()
        assert run("proof", layered, "--json") == 0
        texts.append(capsys.readouterr().out)
    assert texts[0] == texts[1]
    told = json.loads(texts[0])
    assert [piece["piece"] for piece in told["pieces"]] == ["1", "2"]
    assert told["pieces"][0]["cover"]["covered_percent"] > 99.9
    assert told["pieces"][1]["blanket"]["bites"] > 20
    assert sum(told["lengths"]["histogram_mm"].values()) == told["lengths"]["stitches"]
    assert told["time"]["stops"] >= 2
    assert isinstance(told["findings"], list)


def test_a_picture_is_written_whole_or_in_part(layered: Path, tmp_path: Path, capsys) -> None:
    whole, part = tmp_path / "whole.png", tmp_path / "new" / "part.PNG"
    assert run("proof", layered, "--picture", whole) == 0
    assert f"{whole}: the picture" in capsys.readouterr().out
    assert run("proof", layered, "--picture", part, "--area", "5,5,20,20", "--json") == 0
    json.loads(capsys.readouterr().out)
    with Image.open(whole) as image:
        assert image.format == "PNG"
    assert whole.read_bytes() != part.read_bytes()
    again = tmp_path / "again.png"
    assert run("proof", layered, "--picture", again) == 0
    assert again.read_bytes() == whole.read_bytes()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--area", "1,2,3,4"], "--area: is for a picture; give --picture"),
        (["--picture", "x.jpg"], "a picture is written as .png; give it that ending"),
        (["--picture", "x.png", "--area", "1,2,3"], "is not of the form X,Y,WIDTH,HEIGHT"),
        (["--picture", "x.png", "--area", "1,2,0,4"], "must be above 0 mm"),
        (["--picture", "x.png", "--area", "1,2,inf,4"], "must be above 0 mm"),
    ],
)
def test_wrong_words_are_refused(layered: Path, words: list[str], said: str, capsys) -> None:
    assert run("proof", layered, *words) == 2
    assert said in capsys.readouterr().err
    assert not Path("x.png").exists()


def test_a_drawing_without_layers_is_refused(tmp_path: Path, capsys) -> None:
    path = tmp_path / "block.svg"
    path.write_text(DRAWING)
    assert run("proof", path) == 1
    assert "use 'applique layers' first" in capsys.readouterr().err
    assert run("proof", path, "--json") == 1
    assert json.loads(capsys.readouterr().out)["findings"][0]["severity"] == "error"


def test_an_error_ends_with_1_and_is_told_with_the_figures(layered: Path, capsys) -> None:
    text = layered.read_text()
    place = text.index(' d="', text.index('ap:step="edge"'))
    end = text.index('"', place + 4)
    layered.write_text(f"{text[:end]} L 95,95{text[end:]}")
    capsys.readouterr()
    assert run("proof", layered) == 1
    told = capsys.readouterr()
    assert "error: 1 edge: a stitch of" in told.err
    assert "stitches:" in told.out


def test_a_file_that_can_t_be_replaced_is_told(layered: Path, tmp_path: Path, capsys) -> None:
    folder = tmp_path / "folder.png"
    folder.mkdir()
    assert run("proof", layered, "--picture", folder) == 1
    assert "is a folder" in capsys.readouterr().err
