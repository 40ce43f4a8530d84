"""Hostile pictures, machine files, quilts and layouts; and names that lead to no file at all."""

from __future__ import annotations

import pytest

from tests.hostile.drawings_xml import drawing
from tests.hostile.machine_files import MACHINE_FILES
from tests.hostile.pictures import PDFS, PICTURES
from tests.hostile.places import PLACES
from tests.hostile.quilts import LAYOUTS, QUILTS
from tests.hostile.running import COMMANDS, Runner

SUFFIXES = {"trace": "png", "quilt": "toml", "compose": "toml", "inspect": "dst", "compare": "dst"}
"""Of the inputs that are no drawings."""


@pytest.mark.parametrize("name", PICTURES)
def test_pictures_keep_their_bounds(name: str, runner: Runner) -> None:
    assert runner.run("IN.png", PICTURES[name](), "trace").faults() == []


@pytest.mark.parametrize("name", PDFS)
def test_scans_in_pdf_keep_their_bounds(name: str, runner: Runner) -> None:
    assert runner.run("IN.pdf", PDFS[name](), "trace").faults() == []


@pytest.mark.parametrize("name", MACHINE_FILES)
def test_machine_files_keep_their_bounds(name: str, runner: Runner) -> None:
    suffix, make = MACHINE_FILES[name]
    told = runner.run(f"IN.{suffix}", make(), "inspect")
    assert told.faults() == []


@pytest.mark.parametrize("name", QUILTS)
def test_quilts_keep_their_bounds(name: str, runner: Runner) -> None:
    assert runner.run("IN.toml", QUILTS[name](), "quilt", good=drawing()).faults() == []


@pytest.mark.parametrize("name", LAYOUTS)
def test_layouts_keep_their_bounds(name: str, runner: Runner) -> None:
    assert runner.run("IN.toml", LAYOUTS[name](), "compose", good=drawing()).faults() == []


@pytest.mark.parametrize("command", ["layers", "trace", "inspect", "quilt", "compose"])
@pytest.mark.parametrize("name", PLACES)
def test_what_is_no_plain_file_is_not_read(name: str, command: str, runner: Runner) -> None:
    folder = runner.folder()
    file = f"IN.{SUFFIXES.get(command, 'svg')}"
    PLACES[name](folder / file)
    told = runner.run_in(folder, [file if word == "IN" else word for word in COMMANDS[command]])
    assert told.faults() == []
    assert told.code == 1
    assert len(told.told.splitlines()) == 1
