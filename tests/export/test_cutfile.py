"""A cut file, read with nothing but an XML parser and svgelements."""

import numpy as np
import pytest
import shapely
import svgelements
from lxml import etree

from applique.cutting.nested import Stock
from applique.cutting.sheet import Sheet
from applique.export.cutfile import cut_file
from applique.geometry.curves import flatten
from applique.svg import vocabulary as v
from tests.cutting.pieces import cut_piece, sheet

TRIANGLE = "M0 0 L50 0 L0 20 Z"
RINGS = "M0 0 C0 10 10 20 20 20 L20 0 Z M10 5 L15 5 L15 10 Z"
PIECES = [
    cut_piece(TRIANGLE, "17", has_grain=True),
    cut_piece(RINGS, "3", kind="allowance"),
    cut_piece(RINGS, "3", kind="template"),
]
PLACES = [(10.0, 10.0), (100.0, 10.0, 30.0), (200.0, 10.0)]
SHEET = sheet(PIECES, PLACES)


def parsed(made: Sheet = SHEET) -> etree._Element:
    return etree.fromstring(cut_file(made))


def groups(root: etree._Element) -> dict[str, etree._Element]:
    return {group.get("id"): group for group in root.iter(v.svg("g"))}


def test_true_size_in_millimetres() -> None:
    root = parsed()
    assert (root.get("width"), root.get("height")) == ("305mm", "305mm")
    assert root.get("viewBox") == "0 0 305 305"
    assert (root.get(v.SHEET), root.get(v.FACE)) == ("sea blue", "wrong")
    assert root.findtext(v.svg("title")) == (
        "sea blue, sheet 2 of 3, wrong side up, mirrored, true size"
    )


def test_one_untransformed_path_a_piece_with_all_its_rings() -> None:
    root = parsed()
    marked = [element for element in root.iter("*") if element.get(v.PIECE) is not None]
    assert sorted((e.get(v.PIECE), e.get(v.CUT)) for e in marked) == [
        ("17", "outline"),
        ("3", "allowance"),
        ("3", "template"),
    ]
    assert all(element.get("transform") is None for element in root.iter("*"))
    assert [e.get("d").count("M") for e in marked if e.get(v.CUT) == "allowance"] == [2]
    assert all(e.get(v.ROOT_BLOCK) is None for e in marked)


def test_of_several_blocks_every_piece_names_its_own() -> None:
    pieces = [cut_piece(TRIANGLE, "17", block="whale"), cut_piece(TRIANGLE, "17", block="gull")]
    paths = groups(parsed(sheet(pieces, PLACES[:2])))["cut"]
    assert sorted(path.get(v.ROOT_BLOCK) for path in paths) == ["gull", "whale"]


def test_marks_stand_in_groups_of_their_own() -> None:
    found = groups(parsed())
    assert list(found) == ["cut", "templates", "drawing", "test-square"]
    assert [path.get(v.CUT) for path in found["templates"]] == ["template"]
    for name in ("drawing", "test-square"):
        assert all(path.get(v.PIECE) is None for path in found[name])
    assert len(found["drawing"]) == len(SHEET.drawing)


def test_cut_lines_are_hairlines() -> None:
    style = groups(parsed())["cut"].get("style")
    assert "fill:none" in style and "stroke-width:0.1" in style


def test_an_independent_reader_finds_every_piece_in_its_place() -> None:
    """Areas and boxes of the paths, by svgelements, against those of the placed shapes."""
    root = parsed()
    for cut in SHEET.cuts:
        (element,) = [
            e
            for e in root.iter("*")
            if (e.get(v.PIECE), e.get(v.CUT)) == (cut.piece.label, cut.piece.kind)
        ]
        path = svgelements.Path(element.get("d"))
        assert path.bbox() == pytest.approx(cut.shape.bounds, abs=0.02)
        rings = [_sampled(part) for part in path.as_subpaths()]
        area = max(r.area for r in rings) - sum(sorted(r.area for r in rings)[:-1])
        assert area == pytest.approx(cut.piece.shape.area, rel=1e-3)


def _sampled(part: svgelements.Path) -> shapely.Polygon:
    segments = [s for s in part if not isinstance(s, svgelements.Move)]
    points = [s.point(t) for s in segments for t in np.linspace(0, 1, 200, endpoint=False)]
    return shapely.Polygon([(p.x, p.y) for p in points])


def test_curves_stay_curves_and_nodes_are_those_of_the_source() -> None:
    """The outer ring of three nodes has one curve and two straight sides, the last closed by Z."""
    (path,) = (e for e in groups(parsed())["cut"] if e.get(v.CUT) == "allowance")
    inner, outer = (part for part in path.get("d").split("M") if part)
    assert (outer.count("C"), outer.count("L"), outer.count("Z")) in [(1, 1, 1), (1, 2, 1)]
    assert (inner.count("C"), inner.count("L"), inner.count("Z")) == (0, 2, 1)


def test_the_written_curve_is_the_placed_one() -> None:
    (path,) = (e for e in groups(parsed())["cut"] if e.get(v.PIECE) == "17")
    points = np.array([(p.x, p.y) for p in svgelements.Path(path.get("d")).as_points()])
    (cut,) = (cut for cut in SHEET.cuts if cut.piece.label == "17")
    corners = flatten(cut.curves[0])
    assert np.abs(points[:, None] - corners[None]).sum(axis=2).min(axis=0).max() < 1e-4


def test_the_test_square_is_one_inch() -> None:
    (square,) = groups(parsed())["test-square"]
    box = svgelements.Path(square.get("d")).bbox()
    assert (box[2] - box[0], box[3] - box[1]) == pytest.approx((25.4, 25.4))


def test_a_scrap_is_outlined_so_that_it_can_be_laid() -> None:
    shape = shapely.Polygon([(0, 0), (200, 30), (180, 200)], [[(120, 60), (140, 60), (140, 90)]])
    made = sheet([cut_piece("M0 0 H20 V20 H0 Z")], [(150, 110)], stock=Stock("scrap", shape))
    (outline,) = groups(parsed(made))["scrap"]
    assert outline.get("d").count("M") == 2
    assert svgelements.Path(outline.get("d")).bbox() == pytest.approx(shape.bounds)
    assert "scrap" not in groups(parsed())


def test_the_same_sheet_gives_the_same_bytes() -> None:
    assert cut_file(SHEET) == cut_file(sheet(PIECES, PLACES))
