"""Cut sheets as a cutter reads them: areas, gaps, margins and nodes by svgelements and shapely."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest
import shapely
import svgelements
from lxml import etree

from applique.nesting import solver
from tests.cli.cut_blocks import (
    AP,
    DUNE,
    LEAF,
    RING,
    SVG,
    ReadSheet,
    block,
    cut,
    enclosed,
    line,
    nodes,
    read_sheet,
)
from tests.conftest import TESTS

GULL = TESTS / "golden" / "gull-layers.svg"

COG = "M0 20 C0 5 10 0 25 0 L28 12 L40 15 C40 30 30 42 15 40 L18 26 Z"

CHECK_MM = 0.001
"""What a gap may lack; beside it the chords of a curve lie within 0.0001 mm of it."""


@pytest.fixture(scope="module")
def crowd(tmp_path_factory: pytest.TempPathFactory) -> list[ReadSheet]:
    """Forty shapes that the solver has put close together."""
    folder = tmp_path_factory.mktemp("crowd")
    lines = [line(n, d) for n, d in enumerate((LEAF, DUNE, RING, COG))]
    drawing = block(folder / "crowd.svg", *lines)
    words = ("--copies", "10", "--sheet", "200x150", "--sheet", "90x90=1", "--seconds", "4")
    assert cut(drawing, "-o", folder, *words) == 0
    return [read_sheet(path) for path in sorted(folder.glob("sea-blue-*.svg"))]


@pytest.fixture(scope="module")
def gull(tmp_path_factory: pytest.TempPathFactory) -> list[ReadSheet]:
    """The gull's sheets, laid by the plain packer to save time."""
    folder = tmp_path_factory.mktemp("gull")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(solver, "is_there", lambda: False)
        assert cut(GULL, "-o", folder) == 0
    return [read_sheet(path) for path in sorted(folder.glob("*.svg"))]


def cut_lines(path: Path) -> list[tuple[str, svgelements.Path]]:
    """The pieces and their lines in a block's cutting layer."""
    root = etree.parse(str(path)).getroot()
    [layer] = [each for each in root if each.get(f"{AP}role") == "cutting"]
    return [(each.get(f"{AP}piece"), svgelements.Path(each.get("d"))) for each in layer]


def test_every_piece_lies_on_the_sheets_once_and_is_as_large_as_its_line(
    gull: list[ReadSheet],
) -> None:
    found = sorted(
        (label, shape.area, shape.length)
        for sheet in gull
        for label, shape in zip(sheet.labels, sheet.shapes(), strict=True)
    )
    lines = [(label, enclosed(path)) for label, path in cut_lines(GULL)]
    wanted = sorted((label, shape.area, shape.length) for label, shape in lines)
    assert [label for label, _, _ in found] == [label for label, _, _ in wanted]
    for (_, *sizes), (_, *true) in zip(found, wanted, strict=True):
        assert sizes == pytest.approx(true, rel=1e-5)


def test_copies_are_all_there_and_as_large_as_their_lines(crowd: list[ReadSheet]) -> None:
    labels = Counter(label for sheet in crowd for label in sheet.labels)
    assert labels == dict.fromkeys("0123", 10)
    areas = dict(zip("0123", (_area(d) for d in (LEAF, DUNE, RING, COG)), strict=True))
    for sheet in crowd:
        for label, shape in zip(sheet.labels, sheet.shapes(), strict=True):
            assert shape.area == pytest.approx(areas[label], rel=1e-5)


def _area(d: str) -> float:
    return float(enclosed(svgelements.Path(d)).area)


@pytest.mark.parametrize("which", ["crowd", "gull"])
def test_gaps_and_margins_are_kept(which: str, request: pytest.FixtureRequest) -> None:
    closest = 1000.0
    for sheet in request.getfixturevalue(which):
        shapes = sheet.shapes()
        assert all(shape.is_valid and shape.area > 0 for shape in shapes)
        border = shapely.box(0.0, 0.0, *sheet.size_mm)
        assert all(border.covers(shape) for shape in shapes)
        assert min(shape.distance(border.boundary) for shape in shapes) >= 6 - CHECK_MM
        for k, shape in enumerate(shapes):
            gaps = shapely.distance(shape, shapes[:k])
            closest = min(closest, *gaps) if k else closest
    assert closest >= 3 - CHECK_MM
    if which == "crowd":
        assert closest <= 3.2  # They are as close as they may be, so that the check is one.


def test_a_cut_outline_has_the_nodes_of_the_drawn_one(gull: list[ReadSheet]) -> None:
    """Of the gull's pieces that nothing hides: the rope, a wing's tip and the beak."""
    root = etree.parse(str(GULL)).getroot()
    drawn = {
        each.get("id"): svgelements.Path(each.get("d"))
        for each in root.iter(f"{SVG}path")
        if each.get("id") in ("rope", "wing-tip", "beak")
    }
    cut = {label: path for sheet in gull for _, label, path in sheet.pieces}
    for label, name in (("6", "rope"), ("12", "wing-tip"), ("13", "beak")):
        assert nodes(cut[label]) == nodes(drawn[name])
        assert enclosed(cut[label]).area == pytest.approx(enclosed(drawn[name]).area, rel=1e-4)


def test_every_line_has_the_nodes_it_has_in_the_cutting_layer(gull: list[ReadSheet]) -> None:
    found = sorted((label, nodes(path)) for sheet in gull for _, label, path in sheet.pieces)
    assert found == sorted((label, nodes(path)) for label, path in cut_lines(GULL))


def test_inner_rings_are_cut_before_the_one_round_them(crowd: list[ReadSheet]) -> None:
    rings = [path for sheet in crowd for _, label, path in sheet.pieces if label == "2"]
    for path in rings:
        areas = [enclosed(svgelements.Path(ring)).area for ring in path.as_subpaths()]
        assert len(areas) == 2 and areas[0] < areas[1]
