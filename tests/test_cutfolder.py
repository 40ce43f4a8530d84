"""What an earlier run has left in a folder of cut sheets."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from applique.cutfolder import check_folder, kept_nestings, leftovers_of
from applique.cutsheets.files import RECORD
from applique.errors import OutputError


def test_sheets_of_another_run_are_told(tmp_path: Path) -> None:
    for name in ("sea-blue-1.svg", "sea-blue-2.svg", "sea-blue-2.dxf", "notes.txt", "maps.pdf"):
        (tmp_path / name).touch()
    [told] = leftovers_of(tmp_path, ["sea-blue-1.svg", "maps.pdf"])
    assert told.message == (
        "sheets of another run lie there too: sea-blue-2.dxf, sea-blue-2.svg; remove what is "
        "outdated"
    )


AGAIN = ["again-sea-blue-1.svg", "again-maps.pdf", "pictures/again-sea-blue-1.png"]


def test_a_full_run_and_spoiled_pieces_do_not_call_each_other_outdated(tmp_path: Path) -> None:
    """Spoiled pieces of an earlier time are outdated by those of this, sheets by sheets."""
    for name in ("sea-blue-2.svg", "again-sea-blue-2.svg", "maps.pdf", "again-maps.pdf"):
        (tmp_path / name).touch()
    [told] = leftovers_of(tmp_path, ["sea-blue-1.svg", "maps.pdf", "nesting.json"])
    assert "too: sea-blue-2.svg; remove" in told.message
    [told] = leftovers_of(tmp_path, AGAIN)
    assert "too: again-sea-blue-2.svg; remove" in told.message


def test_a_fabric_that_is_called_again_is_of_a_full_run(tmp_path: Path) -> None:
    (tmp_path / "sand-1.svg").touch()
    [told] = leftovers_of(tmp_path, ["again-blue-1.svg", "maps.pdf"])
    assert "too: sand-1.svg; remove" in told.message


def test_nothing_is_told_where_nothing_was_written(tmp_path: Path) -> None:
    (tmp_path / "sea-blue-1.svg").touch()
    assert leftovers_of(tmp_path, []) == []


@pytest.mark.parametrize("record", [b"", b"[1]", b"{", b"\xff", b"[" * 100_000])
def test_a_damaged_record_is_none(tmp_path: Path, record: bytes) -> None:
    (tmp_path / RECORD).write_bytes(record)
    assert kept_nestings(tmp_path) == {}


@pytest.mark.skipif(sys.platform == "win32", reason="there are no pipes in folders there")
def test_a_pipe_is_no_record(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / RECORD)
    assert kept_nestings(tmp_path) == {}


def test_a_record_without_end_is_none(tmp_path: Path) -> None:
    with (tmp_path / RECORD).open("wb") as stream:
        stream.truncate(10**12)
    assert kept_nestings(tmp_path) == {}


def test_a_record_is_read(tmp_path: Path) -> None:
    (tmp_path / RECORD).write_text('{"sea blue": {"digest": "0"}}')
    assert kept_nestings(tmp_path) == {"sea blue": {"digest": "0"}}


def test_a_file_is_no_folder(tmp_path: Path) -> None:
    check_folder(tmp_path / "new")
    (tmp_path / "file").touch()
    with pytest.raises(OutputError, match="is a file; give the name of a folder"):
        check_folder(tmp_path / "file")
