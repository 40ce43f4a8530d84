"""Maps and patterns of cut sheets, measured on paper by an independent reader of PDF."""

import io

import numpy as np
import pdfplumber
import pytest
import shapely

from applique.cutting.nested import Stock, rectangle
from applique.cutting.sheet import Region, Sheet
from applique.paper.cutting import map_printout, pattern_drawing, pattern_printout
from applique.paper.drawing import Path, Printout
from applique.paper.pdf import pdf_bytes
from applique.paper.sizes import sheet_mm
from tests.cutting.pieces import cut_piece, sheet
from tests.shapes import circle, square

MM_PER_POINT = 25.4 / 72
A4 = sheet_mm("a4")
COLOURS = {"sea blue": "#2f6f8f", "sand": "#dcc08b"}
HUNDRED = square(100.0)
PIECES = [
    cut_piece(HUNDRED, "17", mark="A17", has_grain=True),
    cut_piece(circle(4.0), "3", mark="B3", fabric="sand"),
]
PLACES = [(20.0, 20.0), (180.0, 30.0)]


def usual(face: str = "wrong", **given) -> Sheet:
    pieces = [cut_piece(p.shape, p.label, **_told(p, face)) for p in PIECES]
    return sheet(pieces, PLACES, face=face, **given)


def _told(piece, face: str) -> dict[str, object]:
    names = ("mark", "fabric", "has_grain")
    return {name: getattr(piece, name) for name in names} | {"writable": face == "wrong"}


def pages_of(printout: Printout) -> list[tuple[str, list[np.ndarray], tuple[float, float]]]:
    """Of every page its words, the corners of all outlines in mm, and its size in mm."""
    with pdfplumber.open(io.BytesIO(pdf_bytes(printout))) as document:
        return [
            (
                page.extract_text(),
                [
                    np.array(item["pts"]) * MM_PER_POINT
                    for item in (*page.rects, *page.curves, *page.lines)
                ],
                (page.width * MM_PER_POINT, page.height * MM_PER_POINT),
            )
            for page in document.pages
        ]


def sizes(outlines: list[np.ndarray]) -> list[tuple[float, float]]:
    return [tuple(np.ptp(points, axis=0).tolist()) for points in outlines]


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_pattern_is_at_true_size(paper: str) -> None:
    """The side of a square of 100 mm, and both check bars, within 0.05 mm."""
    first, *_ = pages_of(pattern_printout(usual(), sheet_mm(paper)))
    found = sizes(first[1])
    squares = [s for s in found if s == pytest.approx((100.0, 100.0), abs=0.05)]
    assert squares
    assert any(s == pytest.approx((50.0, 0.0), abs=0.05) for s in found)
    assert any(s == pytest.approx((25.4, 0.0), abs=0.05) for s in found)


def test_a_pattern_says_what_it_is_and_how_it_is_laid() -> None:
    words = pages_of(pattern_printout(usual(), A4))[0][0]
    assert "sea blue, sheet 2 of 3, pattern" in words
    assert "Mirrored: lay it on the wrong side of the fabric." in words
    assert "Arrows: grain" in words and "Blades are sharp" in words
    right = pages_of(pattern_printout(usual("right"), A4))[0][0]
    assert "Right side up: lay it on the right side of the fabric." in right


def test_paper_bears_all_numbers_whichever_side_lies_up() -> None:
    for face in ("right", "wrong"):
        words = " ".join(page[0] for page in pages_of(pattern_printout(usual(face), A4)))
        assert "A17" in words and "B3" in words


def test_a_pattern_has_no_page_without_pieces() -> None:
    """Two pieces in far corners of a large sheet: of 4 x 4 pages two are printed."""
    pieces = [cut_piece(square(20.0), "1"), cut_piece(square(20.0), "2")]
    made = sheet(pieces, [(10.0, 10.0), (690.0, 960.0)], stock=rectangle("mat", 720.0, 990.0))
    assert len(pages_of(pattern_printout(made, A4))) == 2


def test_flat_sides_and_clips_are_drawn_and_told() -> None:
    side = np.array([[0.0, 0.0], [100.0, 0.0]])
    clip = np.array([[50.0, 100.0], [50.0, 95.0]])
    made = sheet([cut_piece(HUNDRED, kind="template", flat=(side,), clips=(clip,))], [(20, 20)])
    drawing = pattern_drawing(made)
    assert "Templates, mirrored: cut them from card." in drawing.told
    assert "Double line: leave flat" in drawing.told and "clip" in drawing.told
    lines = [c for item in drawing.items if isinstance(item, Path) for c in item.curves]
    ends = [np.vstack([c.segments[0, 0], c.segments[-1, 3]]).round(3).tolist() for c in lines]
    assert [[70.0, 120.0], [70.0, 115.0]] in ends
    assert any(sorted(pair) == [[20.0, 21.5], [120.0, 21.5]] for pair in ends)


def test_curves_are_printed_as_they_are_cut() -> None:
    made = sheet([cut_piece("M0 0 C0 10 10 20 20 20 L20 0 Z")], [(20, 20)])
    curves = [item.curves for item in pattern_drawing(made).items if isinstance(item, Path)]
    assert made.cuts[0].curves in curves


def test_a_map_fits_its_paper_and_says_that_it_is_no_pattern() -> None:
    """A sheet of 305 x 610 mm on A4: the outline keeps its proportions, the page stands."""
    made = usual(stock=rectangle("mat", 305.0, 610.0))
    ((words, outlines, page),) = pages_of(map_printout([made], COLOURS, A4))
    assert page == pytest.approx(A4, abs=0.01)
    points = np.vstack(outlines)
    assert points.min() >= 0.0 and (points.max(axis=0) <= A4).all()
    width, height = max(sizes(outlines), key=lambda size: size[1])
    assert height / width == pytest.approx(2.0, abs=1e-3)
    assert f"Drawn at {100 * width / 305:.0f} %, NOT at true size" in words
    assert "305 × 610 mm" in words and "wrong side up, mirrored" in words
    assert "Blades are sharp; follow your machine's own safety instructions." in words


def test_a_map_has_all_numbers_and_what_their_letters_mean() -> None:
    made = usual("right")
    printout = map_printout([made], COLOURS, A4, {"A": "Whale", "B": "Gull"})
    ((words, _, _),) = pages_of(printout)
    assert "A17" in words and "B3" in words
    assert "Blocks: A Whale, B Gull." in words
    assert "No piece bears a number: keep this map with them." in words
    share = 100 * (100**2 + 16 * np.pi) / 305**2
    assert f"2 pieces, {share:.0f} % of the sheet used" in words


def test_a_map_lies_where_its_sheet_does_and_small_sheets_are_not_at_true_size() -> None:
    wide = usual(stock=rectangle("mat", 610.0, 305.0))
    small = sheet([cut_piece(square(30.0))], [(10, 10)], stock=rectangle("scrap", 50.0, 60.0))
    lying, standing = pages_of(map_printout([wide, small], COLOURS, A4))
    assert lying[2] == pytest.approx(A4[::-1], abs=0.01)
    assert "Drawn at 90 %" in standing[0]


def test_a_shared_mat_and_a_scrap_are_shown() -> None:
    shape = shapely.box(0, 0, 300, 300).difference(shapely.box(200, 200, 260, 260))
    regions = [Region("sea blue", (5, 5, 150, 295)), Region("sand", (150, 5, 295, 195))]
    made = usual(stock=Stock("scrap", shape), regions=regions)
    ((words, outlines, _),) = pages_of(map_printout([made], COLOURS, A4))
    assert "sea blue" in words and "sand" in words
    scale = max(size[0] for size in sizes(outlines)) / 300.0
    assert any(s == pytest.approx((60 * scale, 60 * scale), abs=0.05) for s in sizes(outlines))
    assert any(s == pytest.approx((145 * scale, 290 * scale), abs=0.05) for s in sizes(outlines))


def test_pieces_have_their_fabrics_colours() -> None:
    page = map_printout([usual()], COLOURS, A4).pages[0]
    fills = {item.fill for item in page.items if isinstance(item, Path)}
    assert {"#2f6f8f", "#dcc08b"} <= fills
    unknown = map_printout([usual()], {}, A4).pages[0]
    assert not {"#2f6f8f", "#dcc08b"} & {i.fill for i in unknown.items if isinstance(i, Path)}


def test_a_paper_without_room_for_the_bars_is_refused() -> None:
    with pytest.raises(ValueError, match="no room for the check bars"):
        pattern_printout(usual(), (60.0, 60.0))


def test_the_same_sheets_give_the_same_bytes() -> None:
    one, two = (pdf_bytes(map_printout([usual()], COLOURS, A4)) for _ in range(2))
    assert one == two
