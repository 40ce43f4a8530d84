"""`applique compare` as a user meets it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from applique.cli.main import main

DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    '<rect id="sea" fill="#2f6f8f" x="30" y="30" width="40" height="40"/></svg>'
)


def run(*words: object) -> int:
    try:
        return main([str(word) for word in words])
    except SystemExit as ended:  # argparse ends by itself on wrong usage
        return int(ended.code or 0)


@pytest.fixture
def sewn(tmp_path: Path, capsys) -> Path:
    """A folder with a layered block and two files of it, and a file of the block moved."""
    drawing = tmp_path / "drawing.svg"
    drawing.write_text(DRAWING)
    assert run("layers", drawing, "-o", tmp_path / "sea.svg") == 0
    for suffix in ("dst", "pes"):
        assert run("stitch", tmp_path / "sea.svg", "-o", tmp_path / f"sea.{suffix}") == 0
    drawing.write_text(DRAWING.replace('x="30"', 'x="32"'))
    run("layers", drawing, "-o", tmp_path / "moved.svg")
    run("stitch", tmp_path / "moved.svg", "-o", tmp_path / "moved.pes")
    capsys.readouterr()
    return tmp_path


@pytest.mark.parametrize(
    ("first", "second"),
    [("sea.dst", "sea.pes"), ("sea.svg", "sea.dst"), ("sea.pes", "sea.svg")],
)
def test_what_sews_the_same_is_told_equal(sewn: Path, capsys, first: str, second: str) -> None:
    assert run("compare", sewn / first, sewn / second) == 0
    assert capsys.readouterr().out.startswith("both sew the same: ")


def test_a_moved_block_is_told_by_how_much(sewn: Path, capsys) -> None:
    assert run("compare", sewn / "sea.svg", sewn / "moved.pes") == 1
    told = capsys.readouterr().out
    assert told.startswith("they differ:\n  first at stitch 1, before the first stop: (")
    assert "2.00 mm at most, 2.00 mm on average" in told
    assert "the second is the first moved by 2.00 mm right and 0.00 mm down" in told


def test_a_wider_tolerance_forgives(sewn: Path) -> None:
    assert run("compare", sewn / "sea.pes", sewn / "moved.pes", "--tolerance", "2.01") == 0


def test_a_part_is_told_from_the_whole(sewn: Path, capsys) -> None:
    run("stitch", sewn / "sea.svg", "-o", sewn / "part.dst", "--from-stop", "1")
    capsys.readouterr()
    assert run("compare", sewn / "sea.dst", sewn / "part.dst") == 1
    told = capsys.readouterr().out
    assert "  stops: 1 and 0" in told
    assert "  stitches: " in told


def test_a_script_gets_json(sewn: Path, capsys) -> None:
    assert run("compare", sewn / "sea.dst", sewn / "moved.pes", "--json") == 1
    told = json.loads(capsys.readouterr().out)
    assert told["equal"] is False
    assert told["offset_mm"] == [2, 0]
    assert told["first"]["number"] == 1
    assert run("compare", sewn / "sea.dst", sewn / "gone.dst", "--json") == 1
    assert "can't be opened" in json.loads(capsys.readouterr().out)["findings"][0]["message"]


@pytest.mark.parametrize(
    ("second", "code", "sentence"),
    [
        ("gone.svg", 1, "gone.svg: can't be opened"),
        ("drawing.svg", 1, "there are no stitches; use 'applique layers' first"),
        ("sea.jpg", 2, "no machine file ends in '.jpg'"),
    ],
)
def test_refusals(sewn: Path, capsys, second: str, code: int, sentence: str) -> None:
    (sewn / "sea.jpg").write_bytes(b"x")
    assert run("compare", sewn / "sea.dst", sewn / second) == code
    assert sentence in capsys.readouterr().err
    assert run("compare", sewn / "sea.dst", sewn / "sea.pes", "--tolerance", "-1") == 2
