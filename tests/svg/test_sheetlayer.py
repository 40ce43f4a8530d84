"""The layer of cut sheets: locked, at true size beside the page, drawn anew as a whole."""

from __future__ import annotations

import numpy as np
import pytest
from lxml import etree
from shapely import box
from svgelements import SVG, Path

from applique.geometry.curves import polyline
from applique.geometry.rings import rings_of
from applique.svg import vocabulary as v
from applique.svg.sheetlayer import AROUND_MM, AWAY_MM, DrawnPiece, DrawnSheet, write_sheets
from applique.svg.tree import drawn

PAGE_MM = 200.0
UNITS = ["0 0 200 220", "0 0 755.905512 831.496063", "-50 0 100 110"]


def sheet(number: int = 1, width: float = 305.0, height: float = 305.0) -> DrawnSheet:
    """A sheet with a piece of 40 x 20 mm at (6, 6), and a line on it."""
    border, piece = (
        tuple(polyline(ring, closed=True) for ring in rings_of(shape))
        for shape in (box(0, 0, width, height), box(6, 6, 46, 26))
    )
    return DrawnSheet(
        fabric="sea blue",
        number=number,
        titles=(f"sea blue, sheet {number} of 9", "wrong side up, mirrored"),
        size_mm=(width, height),
        border=border,
        pieces=(DrawnPiece("17", "#2f6f8f", piece),),
        lines=(np.array([[20.0, 10.0], [30.0, 10.0]]), np.array([[25.0, 10.0], [25.0, 20.0]])),
    )


def document(view_box: str = UNITS[0]) -> etree._Element:
    text = f'<svg xmlns="{v.SVG}" width="{PAGE_MM:g}mm" height="220mm" viewBox="{view_box}"/>'
    return etree.fromstring(text)


def layer_of(root: etree._Element) -> etree._Element:
    [layer] = [child for child in root if child.get(v.ROLE) == v.ROLE_SHEETS]
    return layer


def boxes_mm(root: etree._Element, folder) -> np.ndarray:
    """The boxes of all paths of each sheet, (sheets, paths, 4), by svgelements, an independent
    reader, which gives px at 96 to the inch."""
    path = folder / "drawn.svg"
    path.write_bytes(etree.tostring(root))
    read = [shape for shape in SVG.parse(str(path), ppi=96).elements() if isinstance(shape, Path)]
    boxes = np.array([shape.bbox(with_stroke=False) for shape in read]) * 25.4 / 96
    return boxes.reshape(len(layer_of(root)), -1, 4)


@pytest.mark.parametrize("view_box", UNITS)
def test_a_sheet_stands_to_the_right_of_the_page_at_true_size(view_box: str, tmp_path) -> None:
    root = document(view_box)
    write_sheets(root, [sheet()])
    [boxes] = boxes_mm(root, tmp_path)
    border, piece = boxes[:2]
    assert border[0] == pytest.approx(PAGE_MM + AWAY_MM, abs=0.002)
    assert border[2:] - border[:2] == pytest.approx([305, 305], abs=0.002)
    assert piece - np.tile(border[:2], 2) == pytest.approx([6, 6, 46, 26], abs=0.002)


def test_its_titles_stand_above_it_and_no_wider_than_it(tmp_path) -> None:
    root = document()
    write_sheets(root, [sheet(width=60.0, height=60.0)])
    [boxes] = boxes_mm(root, tmp_path)
    border, titles = boxes[0], boxes[-1]
    assert titles[1] == pytest.approx(0, abs=0.01)
    assert titles[3] <= border[1] - AROUND_MM
    assert titles[2] <= border[2] + 0.01


def test_sheets_stand_apart_from_one_another_in_rows(tmp_path) -> None:
    root = document()
    sizes = [(305, 305), (305, 610), (150, 100), (305, 305), (100, 50)]
    write_sheets(root, [sheet(k, *size) for k, size in enumerate(sizes, start=1)])
    boxes = boxes_mm(root, tmp_path)
    assert [tuple(np.round(b[0, 2:] - b[0, :2])) for b in boxes] == sizes
    whole = [box(*each[:, :2].min(axis=0), *each[:, 2:].max(axis=0)) for each in boxes]
    apart = [one.distance(other) for k, one in enumerate(whole) for other in whole[:k]]
    assert min(apart) >= AWAY_MM - 0.01
    lefts = np.round([each[0, 0] for each in boxes])
    assert lefts[3] == lefts[0] == PAGE_MM + AWAY_MM


def test_a_hole_is_left_open() -> None:
    root = document()
    scrap = sheet()
    holed = box(0, 0, 100, 100).difference(box(20, 20, 60, 60))
    border = tuple(polyline(ring, closed=True) for ring in rings_of(holed))
    write_sheets(root, [DrawnSheet(**{**vars(scrap), "border": border})])
    first = layer_of(root)[0][0]
    assert first.get("d").lower().count("z") == 2
    assert "fill-rule:evenodd" in first.get("style")


def test_it_is_locked_and_no_artwork() -> None:
    root = document()
    write_sheets(root, [sheet()])
    layer = layer_of(root)
    assert layer.get(v.sodipodi("insensitive")) == "true"
    assert (layer.get(v.inkscape("label")), layer.get(v.inkscape("groupmode"))) == (
        "Cut sheets",
        "layer",
    )
    assert list(drawn(root)) == []
    assert not [e for e in layer.iter() if e.get(v.PIECE) or e.get(v.CUT)]


def test_new_sheets_take_the_place_of_the_old_ones() -> None:
    root = document()
    write_sheets(root, [sheet(1), sheet(2), sheet(3)])
    by_hand = etree.SubElement(layer_of(root), v.svg("text"))
    write_sheets(root, [sheet(1), sheet(2)])
    groups = [child for child in layer_of(root) if child is not by_hand]
    assert [group.get(v.SHEET_NUMBER) for group in groups] == ["1", "2"]
    assert {group.get(v.SHEET) for group in groups} == {"sea blue"}
    assert by_hand in layer_of(root)
