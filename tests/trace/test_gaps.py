"""Loose ends of lines: where the pen stopped, and what they are joined with."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from applique.trace.gaps import bridges, bridges_ahead, loose_ends
from applique.trace.page import Page as ScannedPage
from applique.trace.pages import trace_page
from applique.trace.strokes import Strokes, find_strokes
from applique.trace.template import TracedPage
from applique.trace.thinning import thinned
from tests import shapes
from tests.trace.drawn import Mark, Page, Scanner, Traced, scanned

MM_PER_PX = 1 / 6
PEN_MM = 2.4


def strokes_of(*lines: list[tuple[float, float]], pen_mm: float = PEN_MM) -> Strokes:
    """Lines through places in mm, drawn with a round nib on a page of 60 x 60 mm."""
    mask = np.zeros((360, 360), np.uint8)
    for line in lines:
        points = np.round(np.array(line) / MM_PER_PX * 16).astype(np.int32)
        cv2.polylines(mask, [points], False, 1, round(pen_mm / MM_PER_PX), cv2.LINE_8, 4)
    return find_strokes(mask, MM_PER_PX)


def middles(strokes: Strokes):
    return thinned(strokes.ink)


@pytest.mark.parametrize("degrees", range(0, 180, 15))
def test_the_tip_of_a_loose_end_is_where_the_pen_stopped(degrees: int) -> None:
    way = 20 * np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
    ends = [(30 - way[0], 30 - way[1]), (30 + way[0], 30 + way[1])]
    strokes = strokes_of(ends)
    found = [(end.tip + 0.5) * strokes.mm_per_px for end in loose_ends(middles(strokes), strokes)]
    assert len(found) == 2
    for place in ends:
        assert min(np.hypot(*(tip - place)) for tip in found) < 0.5


@pytest.mark.parametrize("degrees", range(0, 180, 15))
def test_a_gap_is_bridged_whatever_the_slant(degrees: int) -> None:
    way = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
    near, far = (3.0 + PEN_MM) / 2 * way, 24 * way
    middle = np.array([30.0, 30.0])
    strokes = strokes_of([middle - far, middle - near], [middle + near, middle + far])
    assert len(bridges(loose_ends(middles(strokes), strokes), strokes)) == 1


def test_a_line_may_go_on_a_little_aside_of_where_its_end_points() -> None:
    # Straight on the end would miss the ink ahead, which has no loose end there: a digit's foot
    # has run into it.
    line = [(8.0, 20.0), (29.0, 20.0), (33.0, 21.2)]
    ahead = [(38.0, 6.0), (38.0, 20.8), (50.0, 6.0)]
    strokes = strokes_of(line, ahead)
    thin = middles(strokes)
    (end,) = [
        end
        for end in loose_ends(thin, strokes)
        if np.hypot(*((end.tip + 0.5) * MM_PER_PX - line[-1])) < 1
    ]
    (bridge,) = bridges_ahead([end], [], thin, strokes)
    assert np.hypot(*((bridge.stop.place + 0.5) * MM_PER_PX - (38.0, 20.8))) < 2


def traced(*drawn: Traced | Mark) -> TracedPage:
    grey = scanned(Page((60.0, 60.0), drawn), Scanner(300))
    return trace_page(ScannedPage("page", grey, 25.4 / 300))


def ring(pen_mm: float = 2.0, gap_mm: float = 0.0) -> Traced:
    """A circle of 15 mm with a gap at its right side."""
    outline = np.array(shapes.circle(15, 30, 30).geoms[0].exterior.coords)[:-1]
    return Traced(outline, pen_mm, gap_mm, (46.0, 30.0))


def widths(page: TracedPage) -> list[float]:
    (template,) = page.templates
    return [gap.width_mm for gap in template.gaps]


GREY = (0.2, 0.2, 0.2)
SPECK = Mark(np.array([(46.0, 28.9)]), 0.5)
PALE_SPECK = Mark(np.array([(46.0, 28.9)]), 0.6, GREY)
HAIR = Mark(np.array([(45.6, 26.0), (46.0, 30.0), (45.6, 34.0)]), 0.25)


@pytest.mark.parametrize("dirt", [SPECK, PALE_SPECK, HAIR], ids=["speck", "pale speck", "hair"])
def test_dirt_in_a_gap_does_not_make_it_narrower(dirt: Mark) -> None:
    assert widths(traced(ring(gap_mm=2.4), dirt)) == [pytest.approx(2.4, abs=0.15)]


@pytest.mark.parametrize("pen_mm", [0.7, 1.6, 2.4, 3.5])
@pytest.mark.parametrize("gap_mm", [0.2, 0.3])
def test_gap_narrower_than_a_working_pixel_or_two_is_told(pen_mm: float, gap_mm: float) -> None:
    assert widths(traced(ring(pen_mm, gap_mm))) == [pytest.approx(gap_mm, abs=0.15)]


@pytest.mark.parametrize("pen_mm", [0.7, 1.6, 3.5])
@pytest.mark.parametrize("gap_mm", [3.8, 4.5, 5.0])
def test_wide_gap_stays_open_whatever_the_pen(pen_mm: float, gap_mm: float) -> None:
    page = traced(ring(pen_mm, gap_mm))
    assert page.templates == ()
    (line,) = page.open_lines
    assert np.hypot(*np.subtract(line.start, line.stop)) == pytest.approx(gap_mm + pen_mm, abs=0.8)


def test_ends_of_a_digit_at_the_line_are_no_gap() -> None:
    # The arms of a 3 end above each other; its foot stands on the line.
    three = [(27.0, 36.0), (31.0, 36.0), (31.0, 40.0), (28.5, 40.0), (31.0, 40.0), (31.0, 44.8)]
    (template,) = traced(ring(1.6), Mark(np.array(three), 1.6)).templates
    assert template.gaps == ()
    assert {doubt.code for doubt in template.doubts} == {"touched"}


def test_gap_at_the_line_of_a_neighbour_is_closed() -> None:
    # The neighbour's line has run over one end; both are one stroke with a line that is closed.
    other = Mark(np.array([(38.0, 27.6), (58.0, 27.6), (58.0, 6.0), (38.0, 6.0), (38.0, 27.6)]), 2)
    page = traced(ring(gap_mm=1.6), other)
    gaps = [gap for template in page.templates for gap in template.gaps]
    assert len(page.templates) >= 2
    assert any(np.hypot(*np.subtract(gap.place, (46.0, 30.0))) < 2 for gap in gaps)
