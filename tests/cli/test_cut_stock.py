"""`applique cut`: what it is cut from, scraps and shared mats, and how pieces are turned there."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pdfplumber
import pytest
import shapely
import svgelements
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from applique.nesting import solver
from tests.cli.cut_blocks import (
    AP,
    SVG,
    WHALE,
    ReadSheet,
    block,
    cut,
    enclosed,
    line,
    names,
    read_sheet,
    refused,
    square,
)

KITE = "M0 0 L30 10 L30 30 L5 50 Z"
"""No turn and no mirror makes it lie on itself."""


@pytest.fixture(autouse=True)
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the solver, which these tests don't need."""
    monkeypatch.setattr(solver, "is_there", lambda: False)


def drawing(path: Path, content: str) -> Path:
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:ap="https://underlap.example/svg/1" '
        f'width="300mm" height="300mm" viewBox="0 0 300 300">{content}</svg>',
        encoding="utf-8",
    )
    return path


def in_group(sheet: ReadSheet, name: str) -> list[svgelements.Path]:
    [group] = [each for each in sheet.root.iter(f"{SVG}g") if each.get("id") == name]
    return [svgelements.Path(path.get("d")) for path in group]


def scrap_of(sheet: ReadSheet) -> BaseGeometry:
    """The outline of the scrap that a sheet is cut from."""
    [outline] = in_group(sheet, "scrap")
    return enclosed(outline)


def same(shape: BaseGeometry, other: BaseGeometry) -> bool:
    return bool(shape.symmetric_difference(other).area < 0.01)


def mirrored(shape: BaseGeometry, width_mm: float) -> BaseGeometry:
    return affinity.affine_transform(shape, [-1, 0, 0, 1, width_mm, 0])


# Scraps


def test_drawn_scraps_are_used_first_each_for_its_fabric(tmp_path: Path) -> None:
    whale = block(tmp_path / "whale.svg", *WHALE)
    scraps = drawing(
        tmp_path / "left.svg",
        '<rect x="10" y="10" width="110" height="70" ap:fabric="sea blue"/>'
        '<rect x="10" y="100" width="40" height="100" ap:fabric="sand"/>',
    )
    assert cut(whale, "-o", tmp_path / "out", "--scrap", scraps) == 0
    assert read_sheet(tmp_path / "out" / "sea-blue-1.svg").size_mm == (110.0, 70.0)
    assert read_sheet(tmp_path / "out" / "sand-1.svg").size_mm == (40.0, 100.0)


def test_a_fabric_named_on_the_command_line_is_that_of_all_scraps(tmp_path: Path) -> None:
    whale = block(tmp_path / "whale.svg", *WHALE)
    scraps = drawing(tmp_path / "left.svg", '<rect width="110" height="120" ap:fabric="sea blue"/>')
    assert cut(whale, "-o", tmp_path / "out", "--scrap", f"sand={scraps}") == 0
    assert read_sheet(tmp_path / "out" / "sea-blue-1.svg").size_mm == (305.0, 305.0)
    assert read_sheet(tmp_path / "out" / "sand-1.svg").size_mm == (110.0, 120.0)


def test_pieces_keep_clear_of_a_scraps_used_places(tmp_path: Path) -> None:
    scraps = drawing(
        tmp_path / "left.svg",
        '<path fill-rule="evenodd" d="M5 5 H105 L85 105 H5 Z M40 40 H60 V60 H40 Z"/>',
    )
    leaf = block(tmp_path / "b.svg", *(line(n, square(20.0)) for n in range(5)))
    assert cut(leaf, "-o", tmp_path / "out", "--scrap", scraps) == 0
    sheet = read_sheet(tmp_path / "out" / "sea-blue-1.svg")
    outline = scrap_of(sheet)
    assert same(
        outline,
        shapely.Polygon(
            [(0, 0), (100, 0), (80, 100), (0, 100)], [[(35, 35), (55, 35), (55, 55), (35, 55)]]
        ),
    )
    assert len(sheet.pieces) == 5
    for shape in sheet.shapes():
        assert outline.covers(shape)
        assert shape.distance(outline.boundary) >= 6 - 0.001


@pytest.mark.parametrize("before", ["right", "wrong"])
@pytest.mark.parametrize("now", ["right", "wrong"])
def test_what_is_left_of_an_earlier_sheet_is_turned_over_where_its_other_side_lies_up(
    tmp_path: Path, before: str, now: str
) -> None:
    first = block(tmp_path / "first.svg", line("1", square(100.0), turn="half"))
    assert cut(first, "-o", tmp_path / "1", "--face", before, "--sheet", "200x120") == 0
    earlier = read_sheet(tmp_path / "1" / "sea-blue-1.svg")
    [hole] = earlier.shapes()
    left = shapely.box(0, 0, 200, 120).difference(hole)
    assert not same(left, mirrored(left, 200))

    second = block(tmp_path / "second.svg", line("2", KITE), line("3", square(60.0)))
    scrap = tmp_path / "1" / "sea-blue-1.svg"
    assert cut(second, "-o", tmp_path / "2", "--face", now, "--scrap", scrap) == 0
    sheet = read_sheet(tmp_path / "2" / "sea-blue-1.svg")
    wanted = left if before == now else mirrored(left, 200)
    assert sheet.size_mm == (200.0, 120.0)
    assert same(scrap_of(sheet), wanted)
    for shape in sheet.shapes():
        assert wanted.covers(shape)
        assert shape.distance(wanted.boundary) >= 6 - 0.001


def test_a_sheet_that_fabrics_shared_is_no_scrap(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whale = block(tmp_path / "whale.svg", *WHALE)
    assert cut(whale, "-o", tmp_path / "1", "--mixed") == 0
    capsys.readouterr()
    shared = tmp_path / "1" / "mixed-1.svg"
    [told] = refused(capsys, 1, whale, "-o", tmp_path / "2", "--scrap", shared)
    assert told.startswith(f"{shared}: several fabrics share this sheet")


def test_scraps_are_not_shared_by_fabrics(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whale = block(tmp_path / "whale.svg", *WHALE)
    scraps = drawing(tmp_path / "left.svg", '<rect width="110" height="120"/>')
    [told] = refused(capsys, 2, whale, "-o", tmp_path / "out", "--mixed", "--scrap", scraps)
    assert told == "a scrap is of one fabric and can't be shared; leave --mixed out"
    assert not (tmp_path / "out").exists()


def test_a_scrap_of_no_fabric_serves_one_fabric_and_no_other(tmp_path: Path) -> None:
    """Either fabric would find room on it."""
    whale = block(tmp_path / "whale.svg", *WHALE)
    scraps = drawing(tmp_path / "left.svg", '<rect width="110" height="120"/>')
    for only, fabric in (("1", "sea-blue"), ("2", "sand")):
        folder = tmp_path / only
        assert cut(whale, "-o", folder, "--scrap", scraps, "--only", only) == 0
        assert read_sheet(folder / f"again-{fabric}-1.svg").size_mm == (110.0, 120.0)
    assert cut(whale, "-o", tmp_path / "out", "--scrap", scraps) == 0
    assert read_sheet(tmp_path / "out" / "sea-blue-1.svg").size_mm == (110.0, 120.0)
    assert read_sheet(tmp_path / "out" / "sand-1.svg").size_mm == (305.0, 305.0)


def test_scraps_of_no_fabric_that_is_cut_are_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    whale = block(tmp_path / "whale.svg", *WHALE)
    scraps = drawing(tmp_path / "left.svg", '<rect width="90" height="90" ap:fabric="sea bleu"/>')
    [told] = refused(capsys, 2, whale, "-o", tmp_path / "out", "--scrap", scraps)
    assert told == "no piece is of the fabric sea bleu; there are sand, sea blue"


# Shared mats


def test_fabrics_that_share_a_mat_each_have_a_rectangle_in_quarter_inches(tmp_path: Path) -> None:
    whale = block(tmp_path / "whale.svg", *WHALE)
    assert cut(whale, "-o", tmp_path / "out", "--mixed", "--copies", "3") == 0
    assert {"mixed-1.svg", "mixed-1.dxf", "maps.pdf"} <= names(tmp_path / "out")
    sheet = read_sheet(tmp_path / "out" / "mixed-1.svg")
    assert sheet.root.get(f"{AP}sheet") == "mixed"
    lines = [shapely.LineString(path.as_points()) for path in in_group(sheet, "drawing")]
    closed = shapely.get_parts(shapely.polygonize([shapely.union_all(lines)]))
    # Letters within them are no borders of theirs.
    rooms = [shapely.Polygon(each.exterior) for each in closed if each.area > 1000.0]
    assert len(rooms) == 2
    for room in rooms:
        left, top, right, bottom = room.bounds
        assert room.area == pytest.approx((right - left) * (bottom - top), rel=1e-4)
        quarters = np.array([right - left, bottom - top]) / (25.4 / 4)
        assert quarters == pytest.approx(np.rint(quarters), abs=0.001)
        assert min(left, top, sheet.size_mm[0] - right, sheet.size_mm[1] - bottom) >= 6 - 0.001
    held = [
        {label for label, shape in zip(sheet.labels, sheet.shapes(), strict=True)
         if room.covers(shape)}
        for room in rooms
    ]  # fmt: skip
    assert sorted(map(sorted, held)) == [["1", "17"], ["2"]]
    with pdfplumber.open(tmp_path / "out" / "maps.pdf") as document:
        words = document.pages[0].extract_text()
    assert "sea blue" in words and "sand" in words
    for box in sheet.boxes():  # Beside the rectangles the mat is bare.
        assert any(room.buffer(0.01).covers(shapely.box(*box)) for room in rooms)
    [square] = in_group(sheet, "test-square")
    inch = enclosed(square)
    beside = inch.bounds[0] > sheet.size_mm[0]
    assert inch.area == pytest.approx(25.4**2)
    assert beside or any(room.covers(inch) for room in rooms)


def test_templates_share_no_mat_with_fabric(tmp_path: Path) -> None:
    lines = (line("1", square(50.0), cut="allowance"), line("1", square(40.0), cut="template"))
    drawn = block(tmp_path / "b.svg", *lines, *WHALE[2:])
    assert cut(drawn, "-o", tmp_path / "out", "--mixed") == 0
    assert read_sheet(tmp_path / "out" / "card-1.svg").labels == ["1"]
    assert sorted(read_sheet(tmp_path / "out" / "mixed-1.svg").labels) == ["1", "2"]


# Turning


@pytest.mark.parametrize("face", ["right", "wrong"])
@pytest.mark.parametrize("rule", ["half", "none"])
@pytest.mark.parametrize("grain", ["90", "0"])
def test_prints_lie_as_their_rule_says(tmp_path: Path, face: str, rule: str, grain: str) -> None:
    """With a grain of 90 degrees a piece lies as in its block, with 0 its left-hand side comes up,
    a quarter turn clockwise; seen from the wrong side it is mirrored. A print that looks the same
    upside down may lie upside down as well."""
    lines = [line(n, KITE, turn="any", grain=grain) for n in range(8)]
    drawn = block(tmp_path / "b.svg", *lines)
    asked = ("--face", face, "--turn", f"sea blue={rule}", "--sheet", "130x130")
    assert cut(drawn, "-o", tmp_path / "out", *asked) == 0
    kite: BaseGeometry = shapely.Polygon([(0, 0), (30, 10), (30, 30), (5, 50)])
    if grain == "0":
        kite = affinity.affine_transform(kite, [0, -1, 1, 0, 0, 0])
    if face == "wrong":
        kite = mirrored(kite, 0.0)
    allowed = [kite] if rule == "none" else [kite, affinity.rotate(kite, 180)]
    sheets = [read_sheet(path) for path in (tmp_path / "out").glob("*.svg")]
    shapes = [shape for sheet in sheets for shape in sheet.shapes()]
    assert len(shapes) == 8
    for shape in shapes:
        assert any(same(_cornered(shape), _cornered(way)) for way in allowed)


def _cornered(shape: BaseGeometry) -> BaseGeometry:
    left, top, _, _ = shape.bounds
    return affinity.translate(shape, -left, -top)


def test_different_rules_for_one_fabric_need_a_decision(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    drawn = block(tmp_path / "b.svg", line("1", KITE), line("2", KITE, turn="none"))
    [told] = refused(capsys, 1, drawn, "-o", tmp_path / "out")
    assert "say which holds with --turn" in told
    assert cut(drawn, "-o", tmp_path / "out", "--turn", "sea blue=none") == 0
