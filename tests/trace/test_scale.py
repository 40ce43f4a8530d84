"""How large a picture is: what was asked, what the file says, what its paper says."""

from __future__ import annotations

import numpy as np
import pytest

from applique.errors import InputError
from applique.papers import PAPERS_MM, paper_size
from applique.trace.page import Page, Picture
from applique.trace.scale import Asked, page_of, unscaled_page
from tests.trace.drawn import Page as DrawnPage
from tests.trace.drawn import Scanner, scanned
from tests.trace.photographed import Camera, photographed, seen_from_above

A4_MM = (210.0, 297.0)
A7_MM = (74.0, 105.0)


def blank(width: int, height: int, dpi: float | None = None) -> Picture:
    return Picture("p.png", np.full((height, width), 235, np.uint8), dpi)


def refused(picture: Picture, asked: Asked) -> str:
    with pytest.raises(InputError) as caught:
        page_of(picture, asked)
    return str(caught.value)


def plain(picture: Picture, asked: Asked) -> Page:
    """A page about which there is nothing to say."""
    page, findings = page_of(picture, asked)
    assert findings == ()
    return page


def test_what_is_asked_beats_what_the_file_says():
    page = plain(blank(600, 800, 300), Asked(dpi=150))
    assert page.mm_per_px == pytest.approx(25.4 / 150)
    assert (page.width_mm, page.height_mm) == pytest.approx((101.6, 135.467), abs=0.001)


def test_what_the_file_says_beats_the_paper():
    page = plain(blank(600, 800, 200), Asked(paper_mm=A4_MM))
    assert page.mm_per_px == pytest.approx(25.4 / 200)
    assert not page.flattened


@pytest.mark.parametrize("dpi", [50, 2400])
def test_limits_of_a_resolution(dpi):
    assert plain(blank(80, 80), Asked(dpi=dpi)).mm_per_px == pytest.approx(25.4 / dpi)


@pytest.mark.parametrize("dpi", [49.9, 2401])
def test_beyond_the_limits_of_a_resolution(dpi):
    expected = f"p.png: {dpi:g} dpi is no scan; give 50 to 2400"
    assert refused(blank(80, 80), Asked(dpi=dpi)) == expected


def test_nothing_tells_the_size():
    assert refused(blank(600, 800), Asked()) == (
        "p.png: its file does not say how large it is; give --dpi (300, say) if it is a scan, or "
        "--paper if it shows a whole sheet"
    )


# A scan of A4 at 100 dpi has 826.8 x 1169.3 pixels; scanners cut the last millimetre off.
@pytest.mark.parametrize("size", [(827, 1169), (1169, 827), (825, 1166)])
def test_scan_of_a_whole_sheet_gets_the_usual_resolution(size):
    page, (finding,) = page_of(blank(*size), Asked(paper_mm=A4_MM))
    assert page.mm_per_px == pytest.approx(0.254)
    assert (finding.severity, finding.code) == ("warning", "whole-sheet")
    assert finding.message == (
        "was taken for a scan of the whole sheet, 100 dpi; measure one outline to be sure"
    )


def test_scan_of_a_whole_sheet_at_an_unusual_resolution():
    page, _ = page_of(blank(910, 1286), Asked(paper_mm=A4_MM))
    assert page.mm_per_px == pytest.approx(25.4 / 110, rel=0.001)


def test_scan_of_another_shape_than_the_paper():
    assert refused(blank(850, 1100), Asked(paper_mm=A4_MM)) == (
        "p.png: has 850 x 1100 pixels, which is not the shape of a paper of 210 x 297 mm; "
        "give --dpi instead"
    )


@pytest.fixture(scope="module")
def photo() -> Picture:
    page = scanned(DrawnPage(A7_MM, ()), Scanner(150, coloured=True, noise=0))
    camera = Camera((640, 860), seen_from_above(A7_MM, (640, 860), 7.0))
    return Picture("p.jpg", photographed(page, camera).mean(axis=2).astype(np.uint8), 72)


def test_photo_gets_its_size_from_the_paper(photo):
    page, findings = page_of(photo, Asked(paper_mm=A7_MM))
    assert page.flattened
    assert (page.width_mm, page.height_mm) == pytest.approx(A7_MM, abs=0.1)
    assert findings[-1].sentence() == (
        "p.jpg: is a photo; its scale comes from the paper, 74 x 105 mm, which paper itself keeps "
        "within a millimetre or two"
    )


def test_photo_without_a_paper(photo):
    assert refused(photo, Asked()) == (
        "p.jpg: shows a sheet on a table; give its size with --paper (a4, letter, WIDTHxHEIGHT), "
        "or --dpi if it is a flat scan"
    )


def test_resolution_asked_makes_a_photo_a_scan(photo):
    assert not plain(photo, Asked(dpi=150)).flattened


def test_page_without_a_scale_is_taken_for_a_usual_one():
    # Between 279.4 and 297 mm high.
    assert unscaled_page(blank(850, 1100)).height_mm == pytest.approx(288)


def test_whether_the_size_can_be_known():
    assert not Asked().tells(blank(80, 80))
    assert Asked().tells(blank(80, 80, 300))
    assert Asked(dpi=300).tells(blank(80, 80))
    assert Asked(paper_mm=A4_MM).tells(blank(80, 80))


# ISO 216: A4 is 210 x 297 mm, A3 and A5 twice and half of it, to a whole millimetre.
# ANSI/ASME Y14.1: size A is 8.5 x 11 in, size B 11 x 17 in. Legal paper is 8.5 x 14 in.
@pytest.mark.parametrize(
    ("name", "size_mm"),
    [
        ("a3", (297, 420)),
        ("a4", (210, 297)),
        ("a5", (148, 210)),
        ("letter", (8.5 * 25.4, 11 * 25.4)),
        ("tabloid", (11 * 25.4, 17 * 25.4)),
        ("legal", (8.5 * 25.4, 14 * 25.4)),
    ],
)
def test_papers_have_their_standard_size(name, size_mm):
    assert paper_size(name) == pytest.approx(size_mm, abs=1e-9)
    assert paper_size(f" {name.upper()} ") == paper_size(name)


def test_there_are_no_other_papers():
    assert set(PAPERS_MM) == {"a3", "a4", "a5", "letter", "tabloid", "legal"}


@pytest.mark.parametrize(
    ("text", "size_mm"),
    [("200x300", (200, 300)), ("300X200mm", (300, 200)), ("20x2000", (20, 2000))],
)
def test_paper_by_its_sides(text, size_mm):
    assert paper_size(text) == size_mm


@pytest.mark.parametrize("text", ["", "a9", "200", "200x", "1x2x3", "axb"])
def test_no_paper(text):
    with pytest.raises(ValueError, match="is no paper; give a3, a4, a5, letter"):
        paper_size(text)


@pytest.mark.parametrize("text", ["19x300", "200x2001", "-200x300", "nanx200", "infx200"])
def test_paper_of_impossible_sides(text):
    with pytest.raises(ValueError, match="a paper's sides lie between 20 and 2000 mm"):
        paper_size(text)
