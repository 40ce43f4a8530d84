"""The sample library and its layouts: made anew byte for byte, composed and sewn, nothing said."""

from __future__ import annotations

import platform
import sys

import pytest

from applique.checks import check_document
from applique.cli.library_files import open_library
from applique.files import read_text
from applique.layering.cover import SEAM_TOLERANCE_MM
from applique.library.checking import check_library
from applique.library.compose import Composed, compose_block
from applique.library.layout import Layout, read_layout
from applique.library.uses import uses_in
from applique.model import Frame, Piece
from applique.pipeline import make_layers
from applique.report import Finding
from applique.svg.read import read_block
from tests.library.make_samples import LIBRARY, PREFIX, library_bytes

# As with all samples, the bytes are held to where CI runs.
BYTE_EXACT = sys.platform == "linux" and platform.machine() == "x86_64"

LAYOUTS = LIBRARY.parent

PIECES = {
    "evening-harbour": 22,
    "regatta": 22,
    "low-tide": 22,
    "market-quay": 25,
    "night-watch": 24,
    "outward-bound": 20,
}

SAID = {"regatta": {("not-true", "far hull")}}
"""What a layout does on purpose, and is warned of."""

SAID_WHEN_CHECKED = SAID | {"outward-bound": {("narrow", "bow wave")}}
"""And what `applique check` warns of."""


def layout_of(name: str) -> Layout:
    return read_layout(read_text(LAYOUTS / f"{name}.toml"))


def composed(name: str) -> Composed:
    layout = layout_of(name)
    return compose_block(layout, [open_library(LAYOUTS / file) for file in layout.libraries], {})


def worth_saying(findings: tuple[Finding, ...]) -> set[tuple[str, str]]:
    return {(f.code, f.object) for f in findings if f.severity != "note"}


def test_the_library_has_forty_templates_numbered_from_one() -> None:
    library = open_library(LIBRARY)
    assert library.title == "Harbour templates"
    assert [entry.name for entry in library.entries] == [f"{PREFIX}{n}" for n in range(1, 41)]
    assert {entry.version for entry in library.entries} == {1}


def test_templates_can_be_cut_and_sewn() -> None:
    for entry in open_library(LIBRARY).entries:
        assert entry.size_mm is not None
        assert 15 <= max(entry.size_mm) <= 110.01
        assert min(entry.size_mm) >= 12


@pytest.mark.skipif(not BYTE_EXACT, reason="math libraries differ in the last bit")
def test_the_library_is_made_the_same_again() -> None:
    assert library_bytes() == LIBRARY.read_bytes()


def test_no_two_templates_are_alike() -> None:
    assert check_library(open_library(LIBRARY)) == ()


def test_every_layout_is_tested() -> None:
    assert sorted(path.stem for path in LAYOUTS.glob("*.toml")) == sorted(PIECES)


@pytest.mark.parametrize("name", PIECES)
def test_a_layout_makes_a_block_with_nothing_to_complain_of(name: str) -> None:
    block = composed(name)
    assert worth_saying(block.findings) == SAID.get(name, set())
    checked = worth_saying(check_document(block.tree.getroot()))
    assert checked == SAID_WHEN_CHECKED.get(name, set())


@pytest.mark.parametrize("name", PIECES)
def test_a_layout_makes_as_many_pieces_as_it_has_rows(name: str) -> None:
    layout = layout_of(name)
    root = composed(name).tree.getroot()
    block = read_block(root).block
    assert len(block.pieces) == len(layout.rows) == PIECES[name]
    assert len(uses_in(root)) == PIECES[name]
    assert block.frame is not None
    assert (block.frame.width, block.frame.height) == pytest.approx(layout.finished_mm)


@pytest.mark.parametrize("name", PIECES)
def test_pieces_at_the_edge_have_their_seam_allowance(name: str) -> None:
    """What goes beyond the seam line, but not to the raw edge, would be too short for the seam."""
    block = read_block(composed(name).tree.getroot()).block
    assert block.frame is not None
    for piece in block.pieces:
        for beyond in beyond_the_seams(piece, block.frame):
            short = SEAM_TOLERANCE_MM < beyond < block.frame.seam_allowance
            assert not short, f"{piece.label}: {beyond:.2f} mm"


def beyond_the_seams(piece: Piece, frame: Frame) -> list[float]:
    left, top, right, bottom = piece.outline.shape.bounds
    return [frame.left - left, frame.top - top, right - frame.right, bottom - frame.bottom]


def test_layouts_show_what_a_layout_can_do() -> None:
    """Turned, mirrored, scaled, with settings and threads of their own, versions and copies."""
    layouts = [layout_of(name) for name in PIECES]
    rows = [row for layout in layouts for row in layout.rows]
    assert any(row.turn_degrees for row in rows)
    assert any(row.mirrored for row in rows)
    assert sum(row.scale != 1 for row in rows) == 1
    assert any(row.thread for row in rows)
    assert any(row.version for row in rows)
    assert any(not row.label for row in rows)
    assert {name for row in rows for name in row.settings} >= {"edge", "edge-width", "method"}
    assert len({layout.finished_mm for layout in layouts}) == 2
    for layout in layouts:
        assert len({row.piece for row in layout.rows}) < len(layout.rows)


def test_a_layout_is_sewn() -> None:
    root = composed("regatta").tree.getroot()
    layers = make_layers(root)
    assert {step.piece for step in layers.steps} >= {
        piece.label for piece in read_block(root).block.pieces
    }
    assert worth_saying(check_document(root)) == SAID["regatta"]
