"""`applique inspect` as a user meets it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from applique.cli.main import main
from applique.export.machine import machine_file
from applique.model import Plan, Thread, ThreadBlock

BLUE, RED = Thread("#2f6f8f"), Thread("#b2392f")


def line(x: float, y: float) -> np.ndarray:
    return np.array([(x, y), (x + 3, y), (x + 6, y + 3)])


BOAT = Plan(
    "Boat",
    (0.0, 0.0),
    (ThreadBlock(BLUE, (line(-20, 0), line(20, 5))), ThreadBlock(RED, (line(0, 30),))),
)


@pytest.fixture
def filed(tmp_path: Path):
    def write(name: str) -> Path:
        path = tmp_path / name
        path.write_bytes(machine_file(BOAT, path.suffix[1:]).data)
        return path

    return write


def run(*words: object) -> int:
    try:
        return main([str(word) for word in words])
    except SystemExit as ended:  # argparse ends by itself on wrong usage
        return int(ended.code or 0)


def test_everything_about_a_file_is_told(filed, capsys) -> None:
    path = filed("boat.pes")
    assert run("inspect", path) == 0
    out = capsys.readouterr().out
    assert out.startswith("PES stitch file 'Boat'\nsize: 46.0 x 33.0 mm (1.8 x 1.3 in)\n")
    assert "from the origin: 20.0 mm left, 26.0 right, 0.0 up, 33.0 down" in out
    assert "the middle of the stitches lies 3.0 mm right and 16.5 mm below the origin" in out
    assert "9 stitches, 1 stop, 3 trims" in out
    assert "2      #b2392f               3" in out
    assert "have 10 to 15 % more of each" in out
    assert "hoop fields: fits 100x100 mm (4x4 in); also 130x180" in out


def test_made_up_colours_are_told(filed, capsys) -> None:
    path = filed("boat.dst")
    assert run("inspect", path) == 0
    told = capsys.readouterr()
    assert "colour 2" in told.out
    assert f"note: {path}: the file stores no colours; those shown here are made up" in told.err


def test_a_script_gets_json(filed, capsys) -> None:
    assert run("inspect", filed("boat.vp3"), "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["stitches"], told["stops"], told["jumps"]) == (9, 1, None)
    assert told["findings"] == []


def test_a_script_gets_json_whatever_stands_in_the_way(tmp_path: Path, capsys) -> None:
    (tmp_path / "a.dst").write_bytes(b"")
    assert run("inspect", tmp_path / "a.dst", "--json") == 1
    (found,) = json.loads(capsys.readouterr().out)["findings"]
    assert found["message"].endswith("a.dst: is empty; copy it anew")


def test_a_picture_shows_the_threads_on_a_plain_ground(filed, tmp_path: Path, capsys) -> None:
    picture = tmp_path / "boat.png"
    assert run("inspect", filed("boat.pes"), "--picture", picture) == 0
    with Image.open(picture) as image:
        colours = {colour for _, colour in image.convert("RGB").getcolors(10**7)}
        assert image.width == 2400
    assert {(0x2F, 0x6F, 0x8F), (0xB2, 0x39, 0x2F), (0xE9, 0xEC, 0xEF)} <= colours
    assert f"{picture}: the picture" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("name", "code", "sentence"),
    [
        ("gone.dst", 1, "gone.dst: can't be opened; check its name"),
        ("block.svg", 2, "block.svg: is no machine file by its suffix; a layered block is looked"),
        ("boat.xyz", 2, "no machine file ends in '.xyz'; those that can be read are dst, pes"),
        ("cut.pes", 1, "cut.pes: is no PES file, or is damaged"),
        ("folder.dst", 1, "folder.dst: is a folder"),
    ],
)
def test_refusals(tmp_path: Path, capsys, name: str, code: int, sentence: str) -> None:
    (tmp_path / "boat.xyz").write_bytes(b"x")
    (tmp_path / "cut.pes").write_bytes(b"#PES0060\x10")
    (tmp_path / "folder.dst").mkdir()
    assert run("inspect", tmp_path / name) == code
    told = capsys.readouterr().err
    assert sentence in told
    assert "Traceback" not in told


def test_a_picture_never_takes_the_place_of_what_is_read(filed, tmp_path: Path, capsys) -> None:
    path = filed("boat.dst")
    assert run("inspect", path, "--picture", tmp_path / "boat.jpg") == 2
    (tmp_path / "boat.png").symlink_to(path)
    before = path.read_bytes()
    assert run("inspect", path, "--picture", tmp_path / "boat.png") == 1
    assert path.read_bytes() == before
