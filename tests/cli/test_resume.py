"""`applique stitch --from-stop` and `--only` as a user meets them."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from lxml import etree

from applique.cli.main import main
from applique.export.machine import as_filed, machine_file
from applique.export.reading import read_machine
from applique.model import Plan, Thread, ThreadBlock
from applique.pipeline import read_plan
from tests.conftest import TESTS

LAYERED = TESTS / "golden" / "gull-layers.svg"


def run(*words: object) -> int:
    try:
        return main([str(word) for word in words])
    except SystemExit as ended:  # argparse ends by itself on wrong usage
        return int(ended.code or 0)


def whole() -> Plan:
    plan, _ = read_plan(etree.parse(str(LAYERED)).getroot())
    return plan


def blocks_of(path: Path) -> list[list[list[float]]]:
    """All needle points of a file, block by block."""
    plan = read_machine(path.read_bytes(), path.suffix[1:]).plan
    return [np.vstack(block.runs).round(1).tolist() for block in plan.blocks]


def filed(plan: Plan) -> list[list[list[float]]]:
    return [np.vstack(block.runs).round(1).tolist() for block in as_filed(plan).blocks]


def test_a_file_from_a_stop_holds_what_comes_after_it_in_its_place(tmp_path: Path) -> None:
    path = tmp_path / "rest.pes"
    assert run("stitch", LAYERED, "-o", path, "--from-stop", "3") == 0
    assert blocks_of(path) == filed(whole())[3:]


def test_it_goes_on_from_a_machine_file_just_as_well(tmp_path: Path) -> None:
    run("stitch", LAYERED, "-o", tmp_path / "whole.dst")
    assert run("stitch", tmp_path / "whole.dst", "-o", tmp_path / "r.dst", "--from-stop", "3") == 0
    assert blocks_of(tmp_path / "r.dst") == filed(whole())[3:]


def test_what_lies_there_the_thread_and_the_offset_are_told(tmp_path: Path, capsys) -> None:
    assert run("stitch", LAYERED, "-o", tmp_path / "rest.pes", "--from-stop", "3") == 0
    told = capsys.readouterr().out
    plan = whole()
    assert "begins with what is sewn after stop 3; what was laid stays, lay nothing twice" in told
    laid = [(k, block.pause) for k, block in enumerate(plan.blocks[:3], start=1) if block.pause]
    assert laid
    assert all(f"  done at stop {number}: {pause}" in told for number, pause in laid)
    assert "stop 1 of this file is stop 4 of the whole" in told
    assert f"first thread: {plan.blocks[3].thread.colour}" in told
    assert "the origin of the whole file. A machine that keeps a file's origin" in told


def test_a_piece_alone_is_sewn_in_its_place(tmp_path: Path, capsys) -> None:
    path = tmp_path / "piece.dst"
    assert run("stitch", LAYERED, "-o", path, "--only", "2") == 0
    told = capsys.readouterr().out
    assert "sews only 1 piece: 2; first unpick what is spoiled" in told
    assert "over the line of 2." in told
    everything = {tuple(point) for block in filed(whole()) for point in block}
    points = {tuple(point) for block in blocks_of(path) for point in block}
    assert points
    assert points < everything


def test_moves_without_a_trim_are_cut_and_told(tmp_path: Path, capsys) -> None:
    """Files of other makers carry the thread across: here by EXP jumps written by hand."""
    jump, stop = bytes((0x80, 0x04, 100, 0)), bytes((0x80, 0x01, 0, 0))
    data = bytes((0, 0, 30, 0)) + 2 * jump + bytes((30, 0)) + stop + bytes((0, 30, 0, 30))
    (tmp_path / "other.exp").write_bytes(data)
    assert run("stitch", tmp_path / "other.exp", "-o", tmp_path / "ours.dst") == 0
    assert "1 move longer than any stitch became trims" in capsys.readouterr().err
    assert sum(map(len, blocks_of(tmp_path / "ours.dst"))) == 5


@pytest.mark.parametrize(
    ("words", "code", "sentence"),
    [
        (["{svg}", "--from-stop", "99"], 2, "there is no stop 99; the stops are 1 to "),
        (["{svg}", "--from-stop", "0"], 2, "'0' is no stop; they are numbered from 1"),
        (["{svg}", "--from-stop", "x"], 2, "'x' is no stop"),
        (["{svg}", "--only", "99"], 2, "nothing is sewn of 99; the pieces are 1, 2"),
        (
            ["{svg}", "--only", "2", "--from-stop", "3"],
            2,
            "--from-stop: can't be given together with --only",
        ),
        (["{svg}", "--from-stop", "3", "--centre", "marks"], 2, "--centre marks: would sew across"),
        (["{svg}", "--only", "2", "--centre", "box"], 2, "--centre box: would sew across"),
        (
            ["{dst}", "--only", "2"],
            2,
            "--only: a machine file knows no pieces; give the layered block",
        ),
        (["{dst}", "--from-stop", "1"], 2, "there is no stop to go on from"),
        (["gone.dst"], 1, "gone.dst: can't be opened"),
        (["{xyz}"], 2, "no machine file ends in '.xyz'"),
    ],
)
def test_refusals(tmp_path: Path, capsys, words: list[str], code: int, sentence: str) -> None:
    (tmp_path / "out.dst").write_text("precious")
    one = Plan("", (0.0, 0.0), (ThreadBlock(Thread("#112233"), (np.array([(0.0, 0), (3, 0)]),)),))
    (tmp_path / "one.dst").write_bytes(machine_file(one, "dst").data)
    (tmp_path / "one.xyz").write_bytes(b"x")
    files = {"dst": tmp_path / "one.dst", "xyz": tmp_path / "one.xyz", "svg": LAYERED}
    given = [word.format(**files) for word in words]
    assert run("stitch", *given, "-o", tmp_path / "out.dst") == code
    told = capsys.readouterr().err
    assert sentence in told
    assert "Traceback" not in told
    assert (tmp_path / "out.dst").read_text() == "precious"


def test_a_file_never_takes_the_place_of_what_it_was_read_from(tmp_path: Path, capsys) -> None:
    shutil.copy(LAYERED, tmp_path / "a.svg")
    run("stitch", tmp_path / "a.svg", "-o", tmp_path / "a.dst")
    before = (tmp_path / "a.dst").read_bytes()
    words = ("stitch", tmp_path / "a.dst", "-o", tmp_path / "a.dst", "--from-stop", "3")
    assert run(*words) == 1
    assert "is what is read; give another name" in capsys.readouterr().err
    assert (tmp_path / "a.dst").read_bytes() == before
