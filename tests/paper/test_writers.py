"""PDF and HTML read back by other programs: sizes, lines at true length, words."""

import io

import numpy as np
import pypdfium2
import pytest
from lxml import etree, html

from applique.model import Curve
from applique.paper.bars import check_strip
from applique.paper.drawing import Group, Page, Path, Printout, Text, line, moved, rectangle
from applique.paper.html import html_bytes
from applique.paper.pdf import lost_words, pdf_bytes
from applique.paper.sizes import sheet_mm

MM_PER_POINT = 25.4 / 72
DPI = 1200

# ISO 216:2007: A4 is 210 x 297 mm. ANSI/ASME Y14.1: size A is 8.5 x 11 in.
SIZES = {"a4": (210.0, 297.0), "letter": (8.5 * 25.4, 11 * 25.4)}


def printout(*items: object, paper: str = "a4") -> Printout:
    return Printout("A card", (Page(*sheet_mm(paper), tuple(items), "front"),))  # type: ignore


def darkness(data: bytes) -> np.ndarray:
    """The first page as a picture of 1200 dpi, 0 for white."""
    with pypdfium2.PdfDocument(data) as document:
        picture = document[0].render(scale=DPI / 72, grayscale=True).to_numpy()
    return 255 - picture.reshape(picture.shape[:2]).astype(int)


def extent_mm(hit: np.ndarray) -> float:
    """From the first to the last place that is hit, in mm."""
    places = np.flatnonzero(hit)
    return float(places[-1] - places[0] + 1) * 25.4 / DPI


@pytest.mark.parametrize("paper", SIZES)
def test_pages_have_the_size_of_the_paper(paper: str) -> None:
    pages = printout(paper=paper)
    with pypdfium2.PdfDocument(pdf_bytes(pages)) as document:
        size = np.array(document[0].get_size()) * MM_PER_POINT
    assert size == pytest.approx(SIZES[paper], abs=0.01)
    drawn = html.fromstring(html_bytes(pages)).find(".//section/svg")
    width, height = (float(drawn.get(side).removesuffix("mm")) for side in ("width", "height"))
    assert (width, height) == pytest.approx(SIZES[paper])
    assert drawn.get("viewbox") == f"0 0 {width:g} {height:g}"


def test_another_paper_is_refused() -> None:
    with pytest.raises(ValueError, match="give a4 or letter"):
        sheet_mm("a3")


def test_a_bar_of_50_mm_measures_50_mm() -> None:
    """Its end ticks are 0.35 mm wide, so the whole is that much longer."""
    dark = darkness(pdf_bytes(printout(*check_strip(20.0, 20.0, 190.0))))
    below = round(31.5 * DPI / 25.4)  # Below the bar only the long end ticks go on.
    row = dark[below, : round(73.0 * DPI / 25.4)] > 100
    assert extent_mm(row) == pytest.approx(50.0 + 0.35, abs=0.1)
    inch = dark[below, round(73.0 * DPI / 25.4) : round(105.0 * DPI / 25.4)] > 100
    assert extent_mm(inch) == pytest.approx(25.4 + 0.35, abs=0.1)


def test_a_bezier_stays_a_bezier() -> None:
    points = np.array([[[20.0, 20.0], [30.0, 10.0], [40.0, 30.0], [50.0, 20.0]]])
    curve = Path((Curve(points, np.array([False]), False),), stroke="#000000")
    drawn = html.fromstring(html_bytes(printout(curve))).find(".//path")
    assert drawn.get("d") == "M20,20 C30,10 40,30 50,20"
    with pypdfium2.PdfDocument(pdf_bytes(printout(curve))) as document:
        (shape,) = document[0].get_objects()
        kinds = [
            pypdfium2.raw.FPDFPathSegment_GetType(pypdfium2.raw.FPDFPath_GetPathSegment(shape, k))
            for k in range(pypdfium2.raw.FPDFPath_CountSegments(shape))
        ]
    assert kinds[1:] == [pypdfium2.raw.FPDF_SEGMENT_BEZIERTO] * 3


def test_nothing_shows_beyond_a_group_s_window() -> None:
    bar = rectangle((0.0, 0.0, 100.0, 10.0), "#000000")
    group = Group((bar,), (20.0, 50.0), (40.0, 40.0, 60.0, 80.0))
    dark = darkness(pdf_bytes(printout(group))) > 100
    assert extent_mm(dark.any(axis=0)) == pytest.approx(20.0, abs=0.1)
    assert extent_mm(dark.any(axis=1)) == pytest.approx(10.0, abs=0.1)
    window = html.fromstring(html_bytes(printout(group))).find(".//svg/svg")
    assert [window.get(name) for name in ("x", "y", "width", "height", "viewbox")] == [
        "40", "40", "20", "40", "20 -10 20 40",
    ]  # fmt: skip


def test_items_are_moved_with_all_they_have() -> None:
    group = Group((line([(0, 0), (1, 1)]),), (1.0, 2.0), (0.0, 0.0, 5.0, 5.0))
    text, path, inner = moved([Text((1.0, 1.0), "x", 3.0), line([(0, 0), (1, 1)]), group], (2, 3))
    assert text.place_mm == (3.0, 4.0)
    assert path.curves[0].segments[0, 3].tolist() == [3.0, 4.0]
    assert inner.shift_mm == (3.0, 5.0)
    assert inner.clip_mm == (2.0, 3.0, 7.0, 8.0)


def test_words_are_found_upright_and_in_their_place() -> None:
    words = Text((100.0, 50.0), "Fähre, Łódź & <b>", 5.0, "middle", bold=True)
    pages = printout(words, Text((30.0, 200.0), "turned", 5.0, angle_degrees=90.0))
    with pypdfium2.PdfDocument(pdf_bytes(pages)) as document:
        text = document[0].get_textpage()
        assert "Fähre, Lódz & <b>" in text.get_text_range()
        left, bottom, right, _ = np.array(text.get_charbox(0)) * MM_PER_POINT
        assert bottom == pytest.approx(297.0 - 50.0, abs=0.2)
        assert left < 100.0 and right < 100.0
    found = html.fromstring(html_bytes(pages)).findall(".//text")
    assert found[0].text == "Fähre, Łódź & <b>"
    assert found[1].get("transform") == "rotate(90 30 200)"


def test_words_of_which_a_pdf_shows_no_letters_are_told() -> None:
    group = Group((Text((1.0, 1.0), "Lay (海 の).", 3.0),), (0.0, 0.0), (0.0, 0.0, 9.0, 9.0))
    assert lost_words(printout(Text((1.0, 1.0), "Łódź", 3.0), group)) == ("海", "の")


def test_the_document_needs_nothing_else() -> None:
    text = html_bytes(printout(Text((1.0, 1.0), "x", 3.0))).decode()
    assert "<script" not in text and "<link" not in text and "url(" not in text
    assert text.replace("http://www.w3.org/2000/svg", "").count("http") == 0
    assert "@page paper1 { size: 210mm 297mm; margin: 0; }" in text
    assert etree.parse(io.BytesIO(text.encode()), etree.HTMLParser()).find(".//svg") is not None


def test_the_same_pages_give_the_same_bytes() -> None:
    pages = printout(*check_strip(20.0, 20.0, 190.0))
    assert pdf_bytes(pages) == pdf_bytes(pages)
    assert html_bytes(pages) == html_bytes(pages)
