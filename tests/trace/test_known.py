"""An object of known size among the outlines tells how far the pen stood off, and the scale."""

from __future__ import annotations

import io
from functools import cache

import numpy as np
import pytest
import shapely
from PIL import Image

from applique.errors import InputError, UsageError
from applique.geometry.curves import flatten
from applique.trace.known import KnownSize, calibrated, known_size
from applique.trace.page import Page as ScannedPage
from applique.trace.pages import trace_page
from applique.trace.scale import Asked
from applique.trace.template import Template
from applique.tracing import TraceRequest, Tracing, trace_pictures
from tests import shapes
from tests.trace.drawn import Page, Scanner, Traced, scanned

DPI, COARSE_DPI = 200, 120
PAGE_MM = (280.0, 44.0)


def outline(shape: shapely.Geometry, off_mm: float) -> np.ndarray:
    """A template's outline, held off by a pen that leans."""
    moved = shape.buffer(off_mm, join_style="mitre")
    return shapely.get_coordinates(moved)[:-1]


@cache
def picture(off_mm: float, dpi: float) -> np.ndarray:
    """A ruler of 150 x 20 mm, a disc of 24.5 mm and a square of 30 mm, traced with one pen."""
    drawn = (
        shapely.box(15, 10, 165, 30),
        shapes.circle(12.25, 195, 21),
        shapely.box(225, 7, 255, 37),
    )
    page = Page(PAGE_MM, tuple(Traced(outline(shape, off_mm)) for shape in drawn))
    return scanned(page, Scanner(dpi))


def trace(known: str, off_mm: float = 0.1, dpi: float | None = DPI) -> Tracing:
    buffer = io.BytesIO()
    Image.fromarray(picture(off_mm, dpi or COARSE_DPI)).save(buffer, "PNG")
    request = TraceRequest(Asked(dpi), known_size=known_size(known))
    return trace_pictures([("page.png", buffer.getvalue())], request)


def sides(tracing: Tracing, number: int) -> tuple[float, float]:
    """Width and height of an outline, across its middle: away from its corners."""
    template = tracing.pages[0].traced.templates[number - 1]
    shape = shapely.Polygon(flatten(template.curve, 0.002))
    x, y = shape.centroid.coords[0]
    across, down = shapely.box(-99, y - 3, 999, y + 3), shapely.box(x - 3, -99, x + 3, 999)
    return (shape & across).area / 6, (shape & down).area / 6


def told(tracing: Tracing) -> str:
    (finding,) = (f for f in tracing.findings if f.code == "known-size")
    return finding.sentence()


def test_ruler_tells_how_far_the_pen_stood_off():
    tracing = trace("1=150x20")
    assert sides(tracing, 1) == pytest.approx((150, 20), abs=0.02)
    assert sides(tracing, 3) == pytest.approx((30, 30), abs=0.03)
    assert told(tracing) == (
        "1: its known size says that the pen stood off by 0.10 mm; every outline was made smaller "
        "by that on each side"
    )


def test_pen_that_did_not_stand_off():
    tracing = trace("1=150x20", off_mm=0.0)
    assert sides(tracing, 1) == pytest.approx((150, 20), abs=0.03)
    assert sides(tracing, 3) == pytest.approx((30, 30), abs=0.03)


def test_ruler_tells_the_scale_and_the_pen():
    tracing = trace("1=150x20", dpi=None)
    assert tracing.pages[0].page.mm_per_px == pytest.approx(25.4 / COARSE_DPI, rel=0.0005)
    assert sides(tracing, 3) == pytest.approx((30, 30), abs=0.04)
    assert "and the scale was set by it" in told(tracing)


def test_disc_tells_the_scale():
    tracing = trace("2=24.5", off_mm=0.0, dpi=None)
    assert tracing.pages[0].page.mm_per_px == pytest.approx(25.4 / COARSE_DPI, rel=0.002)
    assert sides(tracing, 1) == pytest.approx((150, 20), rel=0.003)


@pytest.fixture(scope="module")
def ruler() -> Template:
    """The ruler alone, coarsely."""
    drawn = (Traced(outline(shapely.box(10, 10, 160, 30), 0.1)),)
    grey = scanned(Page((170.0, 40.0), drawn), Scanner(100))
    (template,) = trace_page(ScannedPage("page", grey, 0.254)).templates
    return template


def test_size_that_is_too_far_off(ruler):
    with pytest.raises(
        InputError, match=r"1: measures 150\.\d\d x 20\.\d\d mm, too far from 150 x"
    ):
        calibrated(ruler, KnownSize("1", (150, 30)), True)


def test_pen_that_can_not_have_stood_off_so_far(ruler):
    with pytest.raises(InputError, match="check --dpi, --paper and which outline is 1"):
        calibrated(ruler, KnownSize("1", (148, 18)), True)


def test_proportions_that_can_not_be(ruler):
    with pytest.raises(InputError, match=r"1: 150 x 30 mm can't be its size; its sides are in the"):
        calibrated(ruler, KnownSize("1", (150, 30)), False)


def test_outline_that_is_not_there():
    with pytest.raises(
        UsageError, match="there is no outline 7, whose size is given; check --known-size"
    ):
        trace("7=150x20", dpi=COARSE_DPI)


@pytest.mark.parametrize(
    ("text", "known"),
    [
        ("17=150x30", KnownSize("17", (150, 30))),
        ("A1 = 30x150", KnownSize("A1", (150, 30))),
        ("2=24.5", KnownSize("2", (24.5, 24.5))),
    ],
)
def test_words_for_a_known_size(text, known):
    assert known_size(text) == known


@pytest.mark.parametrize("text", ["", "17", "=20", "17=", "17=axb", "17=1x2x3"])
def test_no_known_size(text):
    with pytest.raises(ValueError, match="is not of the form NUMBER=WIDTHxHEIGHT"):
        known_size(text)


@pytest.mark.parametrize("text", ["1=7.9", "1=150x5", "1=1001", "1=-20", "1=nan", "1=inf"])
def test_impossible_known_size(text):
    with pytest.raises(ValueError, match="a known size lies between 8 and 1000 mm"):
        known_size(text)
