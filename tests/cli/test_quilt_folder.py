"""The folder a quilt is built into: whatever else lies there stays as it is."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from applique.building import folder as build_folder
from applique.building import lock
from applique.errors import OutputError
from tests.building.quilts import contents, edit, put
from tests.building.test_quilt import leads_to
from tests.cli.quilt_dots import GOOD, Dots, block, drawing, piece

MINE = "not a build's"

FOREIGN = (
    "index.html",
    "blocks/dot/dot-layers.svg",
    "blocks/dot/dot-run-sheet.html",
    "blocks/dot/hoopings/dot.dst",
    "cutting/leaf/nesting.json",
    ".underlap/steps/dot",
)


@pytest.fixture(autouse=True)
def written(dots: Dots) -> None:
    dots.write()


@pytest.mark.parametrize("name", FOREIGN)
def test_a_file_of_somebody_else_is_never_written_over(name: str, dots: Dots) -> None:
    put(dots.out / name, MINE)
    told = dots.build()
    assert told.code == 1
    assert any(name in each and "move it away" in each for each in told.errors), told.errors
    assert (dots.out / name).read_text() == MINE
    (dots.out / name).unlink()
    assert dots.build().code == 0
    assert (dots.out / name).read_bytes() != MINE.encode()


def test_what_lies_there_besides_stays(dots: Dots) -> None:
    mine = ("notes.txt", "blocks/dot/notes.txt", "blocks/mine/a.svg", "cutting/old/old-1.svg")
    for name in mine:
        put(dots.out / name, MINE)
    assert dots.build().code == 0
    edit(dots.path, 'name = "Dot"', 'name = "Spot"')
    assert dots.build().code == 0
    assert not (dots.out / "blocks/dot/dot-layers.svg").exists()
    assert {(dots.out / name).read_text() for name in mine} == {MINE}


def test_what_was_in_the_way_is_not_taken_for_what_it_should_have_been(
    dots: Dots, tmp_path: Path
) -> None:
    """Someone puts an older layered block in the place of the new one, and takes it away later."""
    assert dots.build().code == 0
    layers = dots.out / "blocks/dot/dot-layers.svg"
    older = layers.read_bytes()
    edit(dots.path.parent / "dot.svg", "V30 H10", "V28 H10")
    assert dots.build().code == 0
    edit(dots.path.parent / "dot.svg", "V28 H10", "V25 H10")
    layers.write_bytes(older)
    assert dots.build().code == 1
    layers.unlink()
    assert dots.build().code == 0
    afresh = Dots(tmp_path / "afresh", dots.capsys)
    afresh.write(files={"dot.svg": dots.path.with_name("dot.svg").read_bytes()})
    assert afresh.build().code == 0
    stitches = "blocks/dot/hoopings/dot.dst"
    assert (dots.out / stitches).read_bytes() == (afresh.out / stitches).read_bytes()


def test_a_file_can_not_be_the_folder(dots: Dots) -> None:
    dots.out.write_text(MINE)
    told = dots.build()
    assert told.code == 1
    assert told.errors == [f"{dots.out}: is a file; give the name of a folder"]
    assert dots.out.read_text() == MINE


@pytest.mark.parametrize("name", [".underlap", "blocks", "cutting"])
def test_a_file_in_the_place_of_a_folder_is_told(name: str, dots: Dots) -> None:
    put(dots.out / name, MINE)
    told = dots.build()
    assert told.code == 1
    assert name in told.errors[0]
    assert (dots.out / name).read_text() == MINE


def test_a_name_too_long_for_any_folder_is_told(dots: Dots) -> None:
    told = Dots(dots.folder, dots.capsys).build("-o", str(dots.folder / ("a" * 300)))
    assert told.code == 1
    assert len(told.errors) == 1


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right of their own there")
@pytest.mark.parametrize(
    "name",
    [
        "blocks",
        "blocks/dot",
        "cutting",
        ".underlap",
        ".underlap/tasks",
    ],
)
def test_nothing_is_written_through_a_link_that_leads_out(name: str, dots: Dots) -> None:
    away = dots.folder / "away"
    away.mkdir()
    link = dots.out / name
    link.parent.mkdir(parents=True)
    link.symlink_to(away, target_is_directory=True)
    told = dots.build()
    assert told.code == 1
    assert told.errors
    assert list(away.iterdir()) == []


@pytest.mark.skipif(sys.platform == "win32", reason="links need a right of their own there")
def test_links_in_a_circle_are_told(dots: Dots) -> None:
    dots.out.mkdir()
    (dots.out / "blocks").symlink_to("blocks")
    told = dots.build()
    assert told.code == 1
    assert told.errors


def test_a_folder_that_may_not_be_written_to_is_told(
    dots: Dots, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As the system refuses it to anybody but root."""
    dots.out.mkdir()

    def refused(*words: object) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(lock.os, "open", refused)
    told = dots.build()
    assert told.code == 1
    assert "can't be written" in told.errors[0]


@pytest.mark.parametrize(
    "name",
    [
        "dot-layers.svg",
        "dot.dst",
        "leaf-1.svg",
        "index.html",
        "hoopings.json",
    ],
)
def test_a_full_disk_is_told_and_the_next_run_goes_on(
    name: str, dots: Dots, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    plain = build_folder.put_all_in_place

    def full(results: dict[Path, bytes]) -> None:
        if any(path.name == name for path in results):
            raise OutputError(f"{name}: can't be written; No space left on device")
        plain(results)

    monkeypatch.setattr(build_folder, "put_all_in_place", full)
    told = dots.build()
    assert told.code == 1
    assert any("No space left on device" in each for each in told.errors)
    index = dots.out / "index.html"
    if index.exists():
        assert [link for link in leads_to(index) if not link.is_file()] == []
    monkeypatch.setattr(build_folder, "put_all_in_place", plain)
    assert dots.build().code == 0
    afresh = Dots(tmp_path / "afresh", dots.capsys)
    afresh.write()
    assert afresh.build().code == 0
    assert contents(dots.out) == contents(afresh.out)


@pytest.mark.parametrize(
    "record",
    [
        "",
        "[]",
        '{"format": 1, "key": "", "files": {"a\\u0000b": "5"}, "before": {}, "facts": {}, '
        '"findings": []}',
        '{"format": 1, "key": "", "files": {"../in/dot.svg": "5"}, "before": {}, "facts": {}, '
        '"findings": []}',
    ],
)
def test_a_damaged_record_is_no_record(record: str, dots: Dots) -> None:
    put(dots.out / ".underlap/tasks/cutting/odd.json", record)
    assert dots.build().code == 0
    assert dots.has_built()
    assert dots.path.with_name("dot.svg").is_file()


def test_a_folder_in_the_place_of_a_record_stops_nothing(dots: Dots) -> None:
    put(dots.out / ".underlap/tasks/odd.json/notes.txt", MINE)
    dots.build()
    assert dots.has_built()


def test_a_week_built_again_leaves_no_sheets_of_fabrics_that_are_gone(dots: Dots) -> None:
    two = drawing(piece(), piece("M12 12 H20 V20 H12 Z", "moss", 2))
    dots.write(
        GOOD + block('"Two"', "two.svg") + "week = 2\n",
        {"two.svg": two},
        'name = "Dots"\n[fabrics]\n"leaf" = "#5d7a45"\n"moss" = "#335522"\n',
    )
    assert dots.build("--week", "2").code == 0
    assert (dots.out / "cutting-week-2/moss").is_dir()
    edit(dots.path.with_name("two.svg"), 'fabric="moss"', 'fabric="leaf"')
    assert dots.build("--week", "2").code == 0
    assert not (dots.out / "cutting-week-2/moss").exists()
