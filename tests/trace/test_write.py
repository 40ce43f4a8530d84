"""Traced pages as one SVG: what the editor and the rest of the program find in it."""

from __future__ import annotations

import base64
import io
from typing import Any

import numpy as np
import pytest
import shapely
from lxml import etree
from PIL import Image

from applique.files import svg_bytes
from applique.geometry.curves import flatten
from applique.svg import vocabulary as v
from applique.svg.paths import parse_path
from applique.svg.read import read_block, survey_block
from applique.svg.transforms import page_size_mm
from applique.trace.page import Page as ScannedPage
from applique.trace.pages import trace_page
from applique.trace.write import NumberedPage, pieces_document
from tests import shapes
from tests.trace.drawn import Page, Scanner, Traced, number, scanned

DPI = 150


def circle(radius_mm: float, x: float, y: float) -> np.ndarray:
    return shapely.get_coordinates(shapes.circle(radius_mm, x, y))[:-1]


def numbered(name: str, labels: tuple[str, ...], *drawn: Any) -> NumberedPage:
    grey = scanned(Page((60.0, 50.0), drawn), Scanner(DPI))
    page = ScannedPage(name, grey, 25.4 / DPI)
    return NumberedPage(page, trace_page(page), labels)


def both_pages() -> list[NumberedPage]:
    """A page with a circle and its number, and one with two circles, of which one has a gap."""
    first = (Traced(circle(15, 30, 25)), *number("7", (28, 22)))
    gapped = Traced(circle(9, 45, 25), gap_mm=1.5, gap_at=(45.0, 10.0))
    second = (Traced(circle(9, 15, 25)), gapped)
    return [numbered("a.png", ("7",), *first), numbered("b.png", ("A 1", "é&2"), *second)]


@pytest.fixture(scope="module")
def pages() -> list[NumberedPage]:
    return both_pages()


@pytest.fixture
def root(pages) -> etree._Element:
    return pieces_document(pages).getroot()


def layers(parent: etree._Element) -> list[tuple[str, str]]:
    groups = parent.findall(v.svg("g"))
    return [(group.get("id"), group.get(v.inkscape("label"))) for group in groups]


def pieces(root: etree._Element) -> dict[str, etree._Element]:
    found = [path for path in root.iter(v.svg("path")) if path.get(v.PIECE) is not None]
    return {path.get(v.PIECE): path for path in found}


def by_id(root: etree._Element, name: str) -> etree._Element:
    (element,) = (e for e in root.iter() if e.get("id") == name)
    return element


def test_pages_stand_beside_each_other(root, pages):
    # Two pages of 60 mm to the pixel, 10 mm apart.
    wide = pages[0].page.width_mm
    assert wide == pytest.approx(60, abs=0.1)
    assert page_size_mm(root) == pytest.approx((2 * wide + 10, pages[0].page.height_mm), abs=0.001)
    left, right = root.iter(v.svg("image"))
    assert float(left.get("x")) == 0
    assert float(right.get("x")) == pytest.approx(wide + 10, abs=0.001)


def test_a_unit_is_a_millimetre_and_nothing_is_transformed(root):
    width, height = (float(root.get(name).removesuffix("mm")) for name in ("width", "height"))
    assert [float(part) for part in root.get("viewBox").split()] == [0, 0, width, height]
    assert [element for element in root.iter() if element.get("transform")] == []


def test_outlines_lie_in_their_place(root, pages):
    for label, (x, y, radius) in {
        "7": (30, 25, 15),
        "A 1": (15 + pages[0].page.width_mm + 10, 25, 9),
    }.items():
        (curve,) = parse_path(pieces(root)[label].get("d"))
        outline = shapely.Polygon(flatten(curve, 0.002))
        assert outline.centroid.coords[0] == pytest.approx((x, y), abs=0.03)
        assert np.sqrt(outline.area / np.pi) == pytest.approx(radius, abs=0.03)


def test_each_page_is_a_layer_of_layers(root):
    assert layers(root) == [("page-1", "a.png"), ("page-2", "b.png")]
    assert layers(by_id(root, "page-2")) == [
        ("page-2-scan", "scan"),
        ("page-2-left-out", "left out"),
        ("page-2-outlines", "outlines"),
        ("page-2-remarks", "numbers and remarks"),
    ]
    for group in root.iter(v.svg("g")):
        assert group.get(v.inkscape("groupmode")) == "layer"


def test_what_is_not_for_sewing_is_locked_and_the_rest_hidden(root):
    locked = {
        group.get("id")
        for group in root.iter(v.svg("g"))
        if group.get(f"{{{v.SODIPODI}}}insensitive") == "true"
    }
    assert locked == {f"page-{n}-{k}" for n in (1, 2) for k in ("scan", "left-out", "remarks")}
    hidden = [g.get("id") for g in root.iter(v.svg("g")) if "display:none" in g.get("style", "")]
    assert hidden == ["page-1-left-out", "page-2-left-out"]


def test_outlines_bear_their_labels(root):
    found = pieces(root)
    assert list(found) == ["7", "A 1", "é&2"]
    assert [path.get(v.inkscape("label")) for path in found.values()] == list(found)
    ids = [path.get("id") for path in found.values()]
    assert ids == ["page-1-piece-7", "page-2-piece-A-1", "page-2-piece-é-2"]
    everything = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(set(everything)) == len(everything)


def test_a_doubt_is_told_at_its_outline_and_ringed(root):
    title = pieces(root)["é&2"].find(v.svg("title"))
    assert title is not None
    assert "a gap of" in title.text
    assert pieces(root)["A 1"].find(v.svg("title")) is None
    (ring,) = root.iter(v.svg("circle"))
    # The gap is 10 mm above the middle of the pen's line.
    assert float(ring.get("cy")) == pytest.approx(25 - 9.5, abs=0.5)


def test_the_number_on_the_page_is_left_out_and_its_scan_is_there(root, pages):
    kinds = [path.get(v.inkscape("label")) for path in by_id(root, "page-1-left-out")]
    assert set(kinds) == {"number"}
    image = next(root.iter(v.svg("image")))
    head, _, body = image.get(f"{{{v.XLINK}}}href").partition(",")
    assert head == "data:image/jpeg;base64"
    shown = np.asarray(Image.open(io.BytesIO(base64.b64decode(body))))
    assert np.abs(shown.astype(int) - pages[0].page.grey).mean() < 3


def test_same_pages_give_the_same_bytes(pages):
    assert svg_bytes(pieces_document(both_pages())) == svg_bytes(pieces_document(pages))


def test_every_outline_reads_back_as_a_piece(root):
    read = etree.fromstring(svg_bytes(root.getroottree()))
    assert [piece.label for piece in read_block(read).block.pieces] == ["7", "A 1", "é&2"]
    reading = survey_block(read)
    assert [f for f in reading.findings if f.severity == "error"] == []
    assert reading.block.details == ()
    areas = [piece.outline.shape.area for piece in reading.block.pieces]
    assert areas == pytest.approx([np.pi * r * r for r in (15, 9, 9)], rel=0.01)
