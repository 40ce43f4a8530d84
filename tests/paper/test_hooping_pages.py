"""The template of a hooping, read back from the PDF by an independent reader (pdfplumber)."""

import io

import numpy as np
import pdfplumber
import pytest
import shapely

from applique.hoops.fields import Field
from applique.paper.bars import CHECK, PRINT_AT
from applique.paper.hooping import hooping_printout
from applique.paper.hooping_pieces import ShownPiece
from applique.paper.pdf import pdf_bytes
from applique.paper.sizes import sheet_mm
from tests.paper.hooping_case import (
    CENTRE,
    CROSSES,
    HULL,
    LARGE,
    MM_PER_POINT,
    NEAR_MM,
    ROCK,
    SAIL,
    SETTING,
    SHOWN,
    SMALL,
    field_of,
    outline,
    pdf,
    plan_with,
    seen,
    sheets,
)


@pytest.mark.parametrize(
    ("field", "paper", "turned"),
    [
        (SMALL, "a4", False),
        (SMALL, "a4", True),
        (LARGE, "a4", False),
        (LARGE, "a4", True),
        (LARGE, "letter", False),
        (LARGE, "letter", True),
    ],
)
def test_all_distances_are_those_of_the_plan(field: Field, paper: str, turned: bool) -> None:
    """Independent of the drawing: a turn keeps all distances on the block, so what a ruler measures
    on the pages between any two places must be what the plan's own coordinates say."""
    pages = sheets(paper, field, turned)
    width, height = field.size_mm[::-1] if turned else field.size_mm
    half = np.array([width, height]) / 2
    corners = CENTRE + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    outlines = {3: SAIL, 5: HULL, 6: ROCK}
    on_paper = [
        seen(pages, lambda page: page.crosses[24.0]),
        seen(pages, lambda page: page.crosses[10.0]),
        *(seen(pages, lambda page, n=n: page.corners[n]) for n in outlines),  # type: ignore[misc]
    ]
    fields = seen(pages, lambda page: field_of(page, field.size_mm))
    # Nothing tells the field's corners apart: those on paper begin elsewhere where it is turned.
    start = 3 if turned else 0
    on_block = [
        [CENTRE],
        [CROSSES["B"], CROSSES["A"]],
        *outlines.values(),
        np.roll(corners, -start, 0),
    ]
    ours, theirs = np.vstack([*on_paper, fields]), np.vstack(on_block)
    assert len(ours) == len(theirs) == 1 + 2 + 3 + 5 + 6 + 4
    measured, planned = (
        np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1)) for points in (ours, theirs)
    )
    assert np.abs(measured - planned).max() <= NEAR_MM


@pytest.mark.parametrize(
    ("paper", "field", "count"),
    [
        ("a4", SMALL, 1),
        # 216 x 316 mm: lying, a page of Letter shows 266.7 x 167.9 mm, and two share 10 mm.
        ("letter", Field(200.0, 300.0), 2),
        # 276 x 416 mm: one of A4 shows 284.3 x 162 mm, so that three are enough; on Letter it takes
        # two by two that stand.
        ("a4", LARGE, 3),
        ("letter", LARGE, 4),
    ],
)
def test_as_few_pages_as_it_takes(paper: str, field: Field, count: int) -> None:
    assert len(sheets(paper, field, False)) == count


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_page_has_both_check_bars_at_true_size(paper: str) -> None:
    for page in sheets(paper, LARGE, False):
        for bar in (50.0, 25.4):
            assert sum(abs(length - bar) < 0.01 for length in page.lengths) == 1
        assert "inch" in page.words and "%," in page.words


def test_the_block_lies_turned_clockwise_in_the_hoop() -> None:
    """Upper and lower end of the sail, and left and right of the hull: after a quarter turn
    clockwise what was on top is on the right, and what was on the left is on top."""
    straight, turned = (sheets("a4", SMALL, turn)[0] for turn in (False, True))
    top, low = straight.corners[3][0], straight.corners[3][1]
    assert top[1] < low[1]
    top, low = turned.corners[3][0], turned.corners[3][1]
    assert top[0] > low[0] + 40
    left, right = turned.corners[5][0], turned.corners[5][1]
    assert left[1] < right[1] - 70


def test_numbers_keep_off_the_marks() -> None:
    """Squares about the middle of the field and about both crosses: their numbers would stand in
    the middle too, if nothing kept them off."""
    places = {"hull": (CENTRE, 12.0), "rock": (CROSSES["A"], 5.0), "sail": (CROSSES["B"], 5.0)}
    corners = np.array([[-15.0, -15.0], [15.0, -15.0], [15.0, 15.0], [-15.0, 15.0]])
    shown = [
        ShownPiece(k, "#7d7f80", outline(corners + place), 2) for k, (place, _) in places.items()
    ]
    plan = plan_with(SMALL, False)
    printout = hooping_printout(plan, plan.hoopings[1], shown, SETTING, sheet_mm("a4"))
    with pdfplumber.open(io.BytesIO(pdf_bytes(printout))) as document:
        (page,) = document.pages
        words = {word["text"]: word for word in page.extract_words()}
    middle = np.array([105.0, 23.0 + (297.0 - 48.0) / 2])  # Of the window, where the field's is.
    for name, (place, arm) in places.items():
        left, top, right, bottom = (
            words[name][side] * MM_PER_POINT for side in ("x0", "top", "x1", "bottom")
        )
        x, y = middle + place - CENTRE
        assert x - 15 < left and right < x + 15 and y - 15 < top and bottom < y + 15
        number = shapely.box(left, top, right, bottom)
        assert not number.intersects(shapely.LineString([(x - arm, y), (x + arm, y)]))
        assert not number.intersects(shapely.LineString([(x, y - arm), (x, y + arm)]))


def test_the_same_plan_gives_the_same_bytes() -> None:
    again = pdf.__wrapped__("a4", LARGE, True)
    assert again == pdf("a4", LARGE, True)


def test_a_paper_too_small_for_the_bars_is_refused_with_the_least_size() -> None:
    plan = plan_with(Field(70.0, 50.0), False)
    with pytest.raises(ValueError, match=r"take 142\.6 x 78 mm or larger"):
        hooping_printout(plan, plan.hoopings[1], SHOWN, SETTING, (142.5, 77.9))
    for paper in [(142.6, 78.0), (78.0, 142.6), (100.0, 400.0)]:
        printout = hooping_printout(plan, plan.hoopings[1], SHOWN, SETTING, paper)
        with pdfplumber.open(io.BytesIO(pdf_bytes(printout))) as document:
            assert len(document.pages) == len(printout.pages)
            for page in document.pages[:2]:
                assert page.width >= page.height
                strip = set(f"{PRINT_AT} {CHECK}".split())
                words = [word for word in page.extract_words() if word["text"] in strip]
                words = [word for word in words if word["top"] > page.height - 70]
                right = max(word["x1"] for word in words) * MM_PER_POINT
                assert right <= page.width * MM_PER_POINT - 6.3
                lowest = max(word["bottom"] for word in words) * MM_PER_POINT
                assert lowest <= page.height * MM_PER_POINT - 10.0
