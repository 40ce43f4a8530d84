"""The harbour quilt as it ships, held against the blocks and templates that it names."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from lxml import etree
from PIL import Image

from applique.cli.library_files import open_library
from applique.export.formats import FORMATS
from applique.files import read_svg, read_text
from applique.hoops.fields import read_fields
from applique.library.compose import compose_block
from applique.library.layout import Layout, read_layout
from applique.model import Block
from applique.quilt.project import BlockEntry, Project
from applique.quilt.reading import read_project
from applique.resources import hoop_fields_text
from applique.svg.read import read_block
from tests.quilt.make_swatches import SIZE_MM, SWATCHES

SAMPLES = Path(__file__).resolve().parents[2] / "samples"

LARGEST_SWATCH_BYTES = 60_000


@cache
def project() -> Project:
    text = read_text(SAMPLES / "harbour-quilt.toml")
    return read_project(text, tuple(FORMATS), read_fields(hoop_fields_text()))


def layout_of(entry: BlockEntry) -> Layout:
    return read_layout(read_text(SAMPLES / entry.file))


def drawn(entry: BlockEntry) -> etree._Element:
    path = SAMPLES / entry.file
    if not entry.is_layout:
        return read_svg(path).getroot()
    layout = layout_of(entry)
    libraries = [open_library(path.parent / file) for file in layout.libraries]
    return compose_block(layout, libraries, {}).tree.getroot()


@cache
def blocks() -> dict[str, Block]:
    return {entry.name: read_block(drawn(entry)).block for entry in project().blocks}


def test_nine_blocks_stand_in_three_rows_of_three() -> None:
    rows = project().assembly.rows
    assert [len(row) for row in rows] == [3, 3, 3]
    assert sorted(name for row in rows for name in row) == sorted(blocks())


def test_all_blocks_have_one_finished_size() -> None:
    frames = [block.frame for block in blocks().values()]
    assert {(frame.width, frame.height) for frame in frames if frame} == {(254, 254)}
    assert None not in frames


def test_all_forty_templates_are_in_the_quilt() -> None:
    layouts = [layout_of(entry) for entry in project().blocks if entry.is_layout]
    used = {f"HB{row.piece.removeprefix('HB')}" for layout in layouts for row in layout.rows}
    library = open_library(SAMPLES / "library" / "harbour-templates.svg")
    assert used == {entry.name for entry in library.entries}
    assert len(used) == 40


def test_the_quilt_has_every_fabric_of_its_blocks_and_no_other() -> None:
    used = {block.background for block in blocks().values()}
    used |= {piece.fabric for block in blocks().values() for piece in block.pieces}
    assert used == set(project().fabrics)


@pytest.mark.parametrize("entry", project().blocks, ids=lambda entry: entry.name)
def test_a_fabric_of_a_block_is_turned_as_the_quilt_says(entry: BlockEntry) -> None:
    """Colours may be told anew by the quilt; a print that has a top keeps it."""
    for fabric in blocks()[entry.name].fabrics:
        ours = project().fabrics[fabric.name].fabric
        assert (ours.turn, ours.grain_degrees) == (fabric.turn, fabric.grain_degrees), fabric.name


def test_five_weeks_of_one_or_two_blocks() -> None:
    weeks = [entry.week for entry in project().blocks]
    assert weeks == sorted(weeks)
    assert [weeks.count(week) for week in range(1, 6)] == [2, 2, 2, 2, 1]


def test_two_fabrics_have_swatches_of_true_size() -> None:
    swatches = [one.swatch for one in project().fabrics.values() if one.swatch]
    assert {Path(swatch.file).stem for swatch in swatches} == set(SWATCHES)
    for swatch in swatches:
        assert (swatch.width_mm, swatch.height_mm) == (SIZE_MM, SIZE_MM)
        assert (SAMPLES / swatch.file).stat().st_size <= LARGEST_SWATCH_BYTES


@pytest.mark.parametrize("name", SWATCHES)
def test_a_swatch_is_made_the_same_again(name: str) -> None:
    with Image.open(SAMPLES / "swatches" / f"{name}.png") as kept:
        assert np.array_equal(np.asarray(kept.convert("RGB")), np.asarray(SWATCHES[name]()))


@pytest.mark.parametrize("name", SWATCHES)
def test_a_swatch_goes_on_without_a_seam(name: str) -> None:
    """Across the seam of two repeats colours change no more than they do inside one."""
    pixels = np.asarray(SWATCHES[name](), dtype=float)
    for axis in (0, 1):
        steps = np.abs(np.diff(pixels, axis=axis)).mean(axis=(1 - axis, 2))
        seam = np.abs(pixels.take(0, axis) - pixels.take(-1, axis)).mean()
        assert seam <= steps.max() + 1
