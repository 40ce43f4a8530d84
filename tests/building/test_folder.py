"""What a build puts into its folder is its own; what anybody else put there stays."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from applique.building.folder import BuildFolder
from applique.building.record import FACTS, Record, read_record, record_bytes
from applique.building.task import Made
from applique.errors import OutputError
from applique.report import note, warning


def made(**files: bytes) -> Made:
    return Made({name.replace("_", "."): data for name, data in files.items()})


def test_files_are_put_and_remembered(tmp_path: Path) -> None:
    folder = BuildFolder(tmp_path / "out")
    assert folder.put("gull/layers", "k1", Made({"blocks/gull/a.svg": b"one"})) == []
    assert (tmp_path / "out/blocks/gull/a.svg").read_bytes() == b"one"
    again = BuildFolder(tmp_path / "out")
    record = again.record("gull/layers")
    assert record is not None
    assert again.is_done(record, "k1")
    assert not again.is_done(record, "k2")


def test_a_file_that_is_gone_or_changed_makes_the_task_undone(tmp_path: Path) -> None:
    folder = BuildFolder(tmp_path)
    folder.put("t", "k", made(a_svg=b"one"))
    record = folder.record("t")
    assert record is not None
    (tmp_path / "a.svg").write_bytes(b"other")
    assert not folder.is_done(record, "k")
    (tmp_path / "a.svg").unlink()
    assert not folder.is_done(record, "k")


def test_our_own_file_is_written_over(tmp_path: Path) -> None:
    folder = BuildFolder(tmp_path)
    folder.put("t", "k1", made(a_svg=b"one"))
    assert folder.put("t", "k2", made(a_svg=b"two")) == []
    assert (tmp_path / "a.svg").read_bytes() == b"two"


def test_a_file_of_somebody_else_is_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "a.svg").write_bytes(b"hers")
    [told] = BuildFolder(tmp_path).put("t", "k", made(a_svg=b"one", b_svg=b"two"))
    assert (told.severity, told.code) == ("error", "in-the-way")
    assert (tmp_path / "a.svg").read_bytes() == b"hers"
    assert (tmp_path / "b.svg").read_bytes() == b"two"


def test_a_file_changed_since_is_left_as_it_is_until_it_is_moved_away(tmp_path: Path) -> None:
    folder = BuildFolder(tmp_path)
    folder.put("t", "k1", made(a_svg=b"one"))
    (tmp_path / "a.svg").write_bytes(b"one, edited by hand")
    for _ in range(2):
        assert [it.code for it in folder.put("t", "k2", made(a_svg=b"two"))] == ["in-the-way"]
        assert (tmp_path / "a.svg").read_bytes() == b"one, edited by hand"
    (tmp_path / "a.svg").unlink()
    assert folder.put("t", "k2", made(a_svg=b"two")) == []


def test_a_folder_in_the_way_is_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "a.svg").mkdir()
    assert [it.code for it in BuildFolder(tmp_path).put("t", "k", made(a_svg=b"1"))] == [
        "in-the-way"
    ]


@pytest.mark.skipif(sys.platform == "win32", reason="there are no pipes in folders there")
def test_a_pipe_in_the_way_is_left_as_it_is_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "a.svg")
    assert [it.code for it in BuildFolder(tmp_path).put("t", "k", made(a_svg=b"1"))] == [
        "in-the-way"
    ]


def test_what_is_no_longer_made_is_removed_with_its_folder(tmp_path: Path) -> None:
    folder = BuildFolder(tmp_path)
    folder.put("t", "k1", Made({"h/1.dst": b"1", "h/2.dst": b"2"}))
    folder.put("t", "k2", Made({"h/1.dst": b"1"}))
    assert [path.name for path in (tmp_path / "h").iterdir()] == ["1.dst"]
    folder.put("t", "k3", Made({"other": b""}))
    assert not (tmp_path / "h").exists()


def test_what_is_no_longer_made_but_was_changed_stays_and_is_told(tmp_path: Path) -> None:
    folder = BuildFolder(tmp_path)
    folder.put("t", "k1", Made({"1.dst": b"1", "2.dst": b"2"}))
    (tmp_path / "2.dst").write_bytes(b"hers")
    [told] = folder.put("t", "k2", Made({"1.dst": b"1"}))
    assert (told.severity, told.code) == ("warning", "leftover")
    assert (tmp_path / "2.dst").read_bytes() == b"hers"


def test_a_task_that_is_gone_takes_its_files_with_it_and_no_others(tmp_path: Path) -> None:
    folder = BuildFolder(tmp_path)
    folder.put("gull/layers", "k", Made({"gull/a": b"a"}))
    (tmp_path / "gull/mine.txt").write_bytes(b"hers")
    folder.drop("gull/layers")
    assert [path.name for path in (tmp_path / "gull").iterdir()] == ["mine.txt"]
    assert BuildFolder(tmp_path).tasks == []


def test_a_file_that_another_task_makes_now_is_not_removed(tmp_path: Path) -> None:
    folder = BuildFolder(tmp_path)
    folder.put("old", "k", made(a_svg=b"one"))
    folder.put("new", "k", made(a_svg=b"two"))
    folder.drop("old")
    assert (tmp_path / "a.svg").read_bytes() == b"two"


@pytest.mark.parametrize("reached", ["nothing", "one file", "all files"])
def test_a_run_killed_while_it_puts_files_in_place_can_go_on(tmp_path: Path, reached: str) -> None:
    folder = BuildFolder(tmp_path)
    folder.put("t", "k1", Made({"a": b"1", "b": b"1", "gone": b"1"}))
    before = folder.record("t")
    assert before is not None
    # What `put` writes down ahead of the files, and as many files as it had come to.
    folder.put("t", "k2", Made({"a": b"2", "b": b"2"}))
    during = folder.record("t")
    assert during is not None
    killed = Record("", during.files, before={name: (d,) for name, d in before.files.items()})
    (tmp_path / ".underlap/tasks/t.json").write_bytes(record_bytes(killed))
    for name in {"nothing": "ab", "one file": "b", "all files": ""}[reached]:
        (tmp_path / name).write_bytes(b"1")
    (tmp_path / "gone").write_bytes(b"1")
    # Meanwhile the quilt has changed once more.
    assert BuildFolder(tmp_path).put("t", "k3", Made({"a": b"3", "b": b"3"})) == []
    assert (tmp_path / "a").read_bytes() == (tmp_path / "b").read_bytes() == b"3"
    assert not (tmp_path / "gone").exists()


def test_half_written_files_of_a_killed_run_are_cleared_away(tmp_path: Path) -> None:
    folder = BuildFolder(tmp_path)
    folder.put("t", "k", Made({"blocks/a": b"1"}))
    part = tmp_path / "blocks/.applique-abc.part"
    part.write_bytes(b"half")
    folder.clear_parts()
    assert not part.exists()


def test_nothing_is_written_through_a_link_that_leads_out(tmp_path: Path) -> None:
    outside = tmp_path / "outside"
    outside.mkdir()
    out = tmp_path / "out"
    out.mkdir()
    (out / "blocks").symlink_to(outside)
    [told] = BuildFolder(out).put("t", "k", Made({"blocks/a": b"1"}))
    assert told.code == "in-the-way"
    assert list(outside.iterdir()) == []


def test_a_record_that_names_files_outside_is_no_record(tmp_path: Path) -> None:
    tasks = tmp_path / ".underlap/tasks"
    tasks.mkdir(parents=True)
    for number, name in enumerate(("../a", "/a", "b/../../a", "..\\a")):
        (tasks / f"{number}.json").write_bytes(record_bytes(Record("k", {name: "d"})))
    assert BuildFolder(tmp_path).tasks == []


def test_a_file_can_not_be_the_folder(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(OutputError, match="is a file; give the name of a folder"):
        BuildFolder(tmp_path / "out")


def test_records_are_read_back_as_they_were() -> None:
    findings = (warning("w", "sail", "is thin", (1.0, 2.5)), note("n", "", "all is well"))
    record = Record("k", {"a": "d"}, {"n": [1, "x"]}, findings, {"b": ("d1", "d2")})
    back = read_record(record_bytes(record))
    assert back is not None
    assert (back.key, back.files, back.facts, back.findings, back.before) == (
        record.key,
        record.files,
        record.facts,
        record.findings,
        record.before,
    )


def test_a_record_whose_facts_were_changed_by_hand_is_none() -> None:
    assert read_record(record_bytes(Record("k", {}, {FACTS: {"name": 7}}))) is None


@pytest.mark.parametrize("data", [b"", b"{}", b"[]", b"\xff", b'{"format": 0}', b'{"format": 1}'])
def test_a_damaged_record_is_none(data: bytes) -> None:
    assert read_record(data) is None
