"""The files that quilt.toml names: how much of them is read."""

from __future__ import annotations

from pathlib import Path

import pytest

from applique.building.sources import source_of, spools_of
from applique.errors import InputError
from applique.quilt.reading import read_project

LAYOUT = 'name = "Two"\n[[block]]\nname = "Dot"\nlayout = "dot.toml"\n'
THREADS = 'name = "Two"\n[threads]\ntable = "mine.toml"\n[[block]]\nname = "a"\nfile = "a.svg"\n'
COMMENTS = "# nothing\n" * 200_001


def test_a_layout_of_more_than_2_mb_is_refused(tmp_path: Path) -> None:
    (tmp_path / "dot.toml").write_text(COMMENTS)
    with pytest.raises(InputError, match=r"^dot\.toml: is too large for a file of a quilt"):
        source_of(read_project(LAYOUT, ["dst"], ()).blocks[0], tmp_path)


def test_a_table_of_threads_of_more_than_2_mb_is_refused(tmp_path: Path) -> None:
    (tmp_path / "mine.toml").write_text(COMMENTS)
    with pytest.raises(InputError, match=r"^mine\.toml: is too large for a file of a quilt"):
        spools_of(read_project(THREADS, ["dst"], ()), tmp_path)


def test_a_library_named_again_and_again_is_not_read_without_end(tmp_path: Path) -> None:
    (tmp_path / "dot.toml").write_text(f"library = {['set.svg'] * 21}\n")
    (tmp_path / "set.svg").write_bytes(bytes(10_000_000))
    with pytest.raises(InputError, match=r"^dot\.toml: its libraries have more than 200 MB"):
        source_of(read_project(LAYOUT, ["dst"], ()).blocks[0], tmp_path)
