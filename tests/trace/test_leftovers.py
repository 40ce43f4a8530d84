"""Regions, loose ends, ink that is no outline, and what is told of it all."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from applique.trace.gaps import bridges, loose_ends
from applique.trace.leftovers import mark_lines
from applique.trace.light import ink_mask, paper_values
from applique.trace.page import Page as ScannedPage
from applique.trace.pages import trace_page
from applique.trace.report import look_at, page_findings, page_report, pen_sentence
from applique.trace.strokes import Strokes, find_strokes
from applique.trace.template import TracedPage
from applique.trace.thinning import thinned
from applique.trace.write import NumberedPage
from tests import shapes
from tests.trace.drawn import Mark, Page, Scanner, Traced, number, scanned

DPI = 150


def circle(radius_mm: float, x: float = 30.0, y: float = 25.0) -> Traced:
    return Traced(shapely.get_coordinates(shapes.circle(radius_mm, x, y))[:-1])


def bar(width_mm: float, height_mm: float, x: float = 10.0, y: float = 10.0) -> Traced:
    box = shapely.box(x, y, x + width_mm, y + height_mm)
    return Traced(shapely.get_coordinates(box)[:-1])


def line(*points: tuple[float, float], width_mm: float = 1.0) -> Mark:
    return Mark(np.array(points), width_mm)


def page_with(*drawn: Traced | Mark) -> ScannedPage:
    return ScannedPage("p.png", scanned(Page((60.0, 50.0), drawn), Scanner(DPI)), 25.4 / DPI)


def traced(*drawn: Traced | Mark, keep_marks: bool = False) -> TracedPage:
    return trace_page(page_with(*drawn), keep_marks=keep_marks)


# Regions.


# At 8 mm a line may close off a template (`SMALLEST_DRAWN_MM`), at 3 mm across it is no stroke any
# more (`NARROWEST_MM`), within another shape at 6 mm (`NARROWEST_NESTED_MM`): a nought is narrow.
@pytest.mark.parametrize(
    ("drawn", "count"),
    [
        ((circle(3.6),), 0),
        ((circle(4.4),), 1),
        ((bar(30, 2.4),), 0),
        ((bar(30, 4.0),), 1),
        ((circle(20), bar(5, 9, 28, 20)), 1),
        ((circle(20), bar(7, 9, 26, 20)), 2),
    ],
    ids=["dot", "button", "stroke", "ribbon", "nought", "window"],
)
def test_what_may_be_a_template(drawn, count):
    assert len(traced(*drawn).templates) == count


def test_frame_around_the_whole_page_is_the_sheet():
    assert traced(bar(56, 46, 2, 2)).templates == ()


# Loose ends.


def strokes_of(*drawn: Mark) -> tuple[np.ndarray, Strokes]:
    page = page_with(*drawn)
    mask = ink_mask(page.grey, paper_values(page.grey, page.mm_per_px))
    strokes = find_strokes(mask, page.mm_per_px)
    return thinned(strokes.ink), strokes


@pytest.mark.parametrize(("bare_mm", "count"), [(0.8, 1), (2.5, 1), (5.0, 0)])
def test_ends_that_face_each_other_are_joined(bare_mm, count):
    # Round nibs of 1 mm: the ink ends half a millimetre beyond the line.
    left, right = line((5, 25), (25, 25)), line((26 + bare_mm, 25), (55, 25))
    thin, strokes = strokes_of(left, right)
    ends = loose_ends(thin, strokes)
    assert len(ends) == 4
    joined = bridges(ends, strokes)
    assert len(joined) == count
    for bridge in joined:
        facing = bridge.start.direction @ bridge.stop.direction
        assert facing == pytest.approx(-1, abs=0.02)


def test_strokes_of_a_digits_size_have_no_loose_ends():
    assert loose_ends(*strokes_of(line((20, 20), (28, 20)), *number("4", (40, 20)))) == []


# What is left out.


def kinds(page: TracedPage) -> list[str]:
    return [left.kind for left in page.left_out]


def test_kinds_of_what_is_left_out():
    page = traced(
        circle(10, 15, 15),
        *number("4", (12, 12)),
        line((45, 10), width_mm=1.2),
        line((30, 40), (38, 44), (50, 40)),
        line((40, 25), (62, 25)),
    )
    assert len(page.templates) == 1
    assert sorted(kinds(page)) == ["mark", "number", "page edge", "speck"]
    (digit,) = (left for left in page.left_out if left.kind == "number")
    assert digit.inside == 0


def test_two_marks_that_stand_in_no_row_are_no_number():
    inner = [*number("1", (28, 8)), *number("1", (28, 34))]
    assert kinds(traced(circle(20), *inner)) == ["mark", "mark"]


def test_mark_becomes_its_middle_line():
    page = traced(circle(20), line((20, 30), (40, 30)))
    (mark,) = page.left_out
    (middle,) = mark_lines(mark)
    assert mark.kind == "mark"
    assert middle[:, 1] == pytest.approx(30, abs=0.2)
    assert (middle[:, 0].min(), middle[:, 0].max()) == pytest.approx((20, 40), abs=0.8)


def test_marks_are_kept_and_numbers_are_not():
    page = traced(circle(20), line((20, 32), (40, 32)), *number("7", (27, 18)), keep_marks=True)
    (template,) = page.templates
    assert len(template.kept) == 1
    assert template.kept[0][:, 1] == pytest.approx(32, abs=0.2)
    assert kinds(page) == ["number"]


# What is told.


@pytest.fixture(scope="module")
def item() -> NumberedPage:
    outline = shapely.get_coordinates(shapes.circle(12, 20, 25))[:-1]
    gapped = Traced(outline, gap_mm=1.5, gap_at=(20.0, 12.5))
    page = page_with(gapped, *number("4", (17, 22)), bar(16, 20, 38, 12))
    return NumberedPage(page, trace_page(page), ("A1", "2"))


def test_short_list_names_what_to_look_at(item):
    (told,) = look_at(item)
    assert told.startswith("look at A1: a gap of 1.")
    assert told.endswith(" mm at its top was closed")


def test_findings_of_a_page(item):
    found = {finding.code: finding for finding in page_findings(item, "near")}
    assert set(found) == {"gap", "order", "pen", "left-out"}
    assert found["gap"].object == "A1"
    assert found["order"].sentence() == (
        "p.png: 2 outlines, A1 at the upper left to 2 at the lower right, in reading order as the "
        "page lies in the picture"
    )
    assert found["left-out"].message.startswith("left out (1 x number); ")


def test_figures_of_a_page(item):
    report = page_report(item)
    assert report["name"] == "p.png"
    assert report["size_mm"] == pytest.approx([60, 50], abs=0.1)
    assert report["pen_mm"] == pytest.approx(1.0, abs=0.05)
    assert report["larger_on_each_side_mm"]["far"] == report["pen_mm"]
    round_one, box = report["templates"]
    assert (round_one["label"], box["label"]) == ("A1", "2")
    assert round_one["flags"] == ["gap"]
    assert round_one["gaps"][0]["width_mm"] == pytest.approx(1.5, abs=0.25)
    # In closed form: pi r^2 and 2 pi r; a rectangle's sides.
    assert round_one["area_mm2"] == pytest.approx(np.pi * 144, rel=0.01)
    assert round_one["around_mm"] == pytest.approx(np.pi * 24, rel=0.01)
    assert box["size_mm"] == pytest.approx([16, 20], abs=0.1)
    assert len(box["corners_mm"]) == 4
    assert (box["flags"], box["score"], box["inside"]) == ([], 100, False)


@pytest.mark.parametrize(
    ("edge", "words"),
    [
        (
            "near",
            "pieces have the template's size; the line's middle would make them 0.5 mm larger",
        ),
        ("centre", "the line's middle was taken, so pieces are 0.5 mm larger on each side"),
        ("far", "the far edge was taken, so pieces are 1.0 mm larger on each side"),
    ],
)
def test_sentence_about_the_pen(edge, words):
    assert words in pen_sentence(1.04, edge)
