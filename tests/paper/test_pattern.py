"""Printed patterns: ticks against plane geometry, and on paper as a ruler would find them."""

import io
from itertools import pairwise

import numpy as np
import pdfplumber
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.geometry.curves import polyline
from applique.geometry.rings import rings_of
from applique.model import Curve, EdgeRun
from applique.paper.drawing import Text, shape_curves
from applique.paper.pattern import OUTSIDE_MM, pattern_drawing, pattern_printout, ticks_along
from applique.paper.pdf import pdf_bytes
from applique.paper.sizes import sheet_mm
from tests.shapes import circle, rectangle, ring, square, star

MM_PER_POINT = 25.4 / 72
SIDE = square(40.0, 50.0, 60.0)


def edges_of(shape: shapely.MultiPolygon) -> list[EdgeRun]:
    return [EdgeRun(points, True, k) for k, points in enumerate(rings_of(shape))]


def ticks(shape: shapely.MultiPolygon, pitch: float = 2.5, bite: float = 2.5) -> np.ndarray:
    return np.vstack([ticks_along(run, shape, pitch, bite) for run in edges_of(shape)])


def lengths(found: np.ndarray) -> np.ndarray:
    return np.hypot(*(found[:, 1] - found[:, 0]).T)


def test_a_square_has_a_whole_number_of_pitches_on_every_side() -> None:
    """Of 41 mm, 16 pitches of 2.5625 mm are nearest to 2.5; with the corners that makes 4 x 16."""
    shape = square(41.0)
    found = ticks(shape)
    assert len(found) == 64
    on_outline = found[:, 0] + (found[:, 1] - found[:, 0]) * (OUTSIDE_MM / lengths(found))[:, None]
    below = np.sort(on_outline[on_outline[:, 1] < 1e-6][:, 0])
    assert below == pytest.approx(np.arange(17) * 41.0 / 16)
    assert lengths(found) == pytest.approx(3.5)


def test_a_corner_has_its_tick_on_the_bisector() -> None:
    found = ticks(SIDE)
    corner = found[np.argmin(np.hypot(*(found[:, 0] - [50.0, 60.0]).T))]
    assert corner[1] - corner[0] == pytest.approx(3.5 * np.sqrt([0.5, 0.5]))


@settings(max_examples=25)
@given(st.integers(4, 9), st.floats(5.0, 20.0), st.floats(0.0, 3.0))
def test_ticks_begin_outside_and_end_in_the_fabric(points: int, inner: float, turn: float) -> None:
    """Whatever the corner, sharp or reflex: that is what makes a tick an inward one."""
    shape = shapely.affinity.rotate(star(points, 30.0, inner), turn, use_radians=True)
    found = ticks(shape)
    assert not shapely.contains_xy(shape, found[:, 0]).any()
    assert shapely.contains_xy(shape, found[:, 1]).all()


def test_a_circle_is_divided_evenly() -> None:
    """2 pi 20 mm are 50.27 pitches of 2.5 mm."""
    found = ticks(circle(20.0, 3.0, 4.0))
    assert len(found) == 50
    assert np.hypot(*(found[:, 0] - [3.0, 4.0]).T) == pytest.approx(21.0, abs=0.01)
    assert np.hypot(*(found[:, 1] - [3.0, 4.0]).T) == pytest.approx(17.5, abs=0.01)


def test_ticks_of_a_hole_point_away_from_it() -> None:
    found = ticks(ring(30.0, 10.0))
    inner = found[np.hypot(*found[:, 0].T) < 15.0]
    assert len(inner) == round(2 * np.pi * 10 / 2.5)
    assert np.hypot(*inner[:, 0].T) == pytest.approx(9.0, abs=0.01)
    assert np.hypot(*inner[:, 1].T) == pytest.approx(12.5, abs=0.01)


def test_only_what_is_sewn_has_ticks_and_an_open_edge_has_them_at_its_ends() -> None:
    (left, top), (right, bottom) = (0.0, 0.0), (40.0, 30.0)
    shape = rectangle(left, top, right, bottom)
    # Along the upper side the fabric lies on the left of a way from left to right.
    run = EdgeRun(np.array([[5.0, top], [30.0, top]]), False)
    found = ticks_along(run, shape, 2.5, 2.0)
    assert len(found) == 11
    assert np.sort(found[:, 0, 0]) == pytest.approx(np.arange(5.0, 30.1, 2.5))
    assert found[:, 0, 1] == pytest.approx(-OUTSIDE_MM) and found[:, 1, 1] == pytest.approx(2.0)


def test_ticks_of_two_sides_of_a_narrow_strip_do_not_meet() -> None:
    strip = rectangle(0.0, 0.0, 60.0, 3.0)
    found = ticks(strip)
    upright = found[np.abs(found[:, 0, 0] - found[:, 1, 0]) < 1e-6]
    assert upright[:, 1, 1].max() == pytest.approx(1.65) and upright[:, 1, 1].min() == 1.35


def test_a_small_or_short_edge_still_has_ticks() -> None:
    assert len(ticks(circle(0.5))) == 2
    run = EdgeRun(np.array([[5.0, 0.0], [6.0, 0.0]]), False)
    assert len(ticks_along(run, square(40.0), 2.5, 2.5)) == 2


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_on_paper_all_is_as_long_as_it_is(paper: str) -> None:
    printout = pattern_printout(
        "Harbour", "sea", shape_curves(SIDE), edges_of(SIDE), 2.5, 2.5, sheet_mm(paper)
    )
    with pdfplumber.open(io.BytesIO(pdf_bytes(printout))) as document:
        (page,) = document.pages
        words = page.extract_text()
        boxes = [np.array(item["pts"]) * MM_PER_POINT for item in page.rects if item["stroke"]]
        # All ticks are one path; the reader has its lines one by one.
        lines = [np.array(item["pts"]) * MM_PER_POINT for item in page.lines]
    (outline,) = (b for b in boxes if np.allclose(np.ptp(b, axis=0), 40.0, atol=0.05))
    low = outline.min(axis=0)
    level = [line for line in lines if line[0, 1] == pytest.approx(line[1, 1], abs=1e-3)]
    ours = [line for line in level if np.ptp(line[:, 0]) == pytest.approx(3.5, abs=0.05)]
    on_left = np.sort([line[0, 1] for line in ours if line[:, 0].min() < low[0]])
    assert on_left - low[1] == pytest.approx(2.5 * np.arange(1, 16), abs=0.05)
    measured = {round(float(np.hypot(*(b - a))), 2) for line in lines for a, b in pairwise(line)}
    assert {50.0, 25.4} <= measured
    assert "Harbour, pattern of sea" in words
    assert "Ticks: a stitch every 2.5 mm, 2.5 mm deep." in words


def label_of(shape: shapely.MultiPolygon, label: str) -> tuple[Text, tuple[float, ...]]:
    drawing = pattern_drawing("Harbour", label, shape_curves(shape), edges_of(shape), 2.5, 2.5)
    (words,) = (item for item in drawing.items if isinstance(item, Text))
    return words, drawing.box_mm


def test_the_label_stands_within_the_ticks_or_below() -> None:
    inside, box = label_of(SIDE, "sea")
    assert SIDE.buffer(-3.0).contains(shapely.Point(inside.place_mm))
    assert box == pytest.approx((44.0, 54.0, 96.0, 106.0))
    below, box = label_of(square(12.0), "7, a fabric with a long name")
    assert below.place_mm[1] > 12.0 and below.place_mm[0] == pytest.approx(6.0)
    assert box[0] < -20.0 and box[3] > below.place_mm[1]
    long, _ = label_of(square(12.0), "a fabric with quite a long name " * 4)
    assert long.text.endswith("…")


def test_curves_are_printed_as_they_are_drawn() -> None:
    points = np.array([[[0.0, 0.0], [20.0, -10.0], [40.0, 10.0], [60.0, 0.0]]])
    back = polyline(np.array([[60.0, 0.0], [60.0, 40.0], [0.0, 40.0], [0.0, 0.0]]), closed=False)
    segments = np.concatenate([points, back.segments])
    curve = Curve(segments, np.array([False, True, True, True]), True)
    drawing = pattern_drawing("", "sea", (curve,), (), 2.5, 2.5)
    assert drawing.items[0].curves == (curve,)  # type: ignore[union-attr]
    assert drawing.name == "Block, pattern of sea"


def test_wrong_patterns_are_refused() -> None:
    with pytest.raises(ValueError, match="'sea' has no outline to print"):
        pattern_drawing("Harbour", "sea", (), (), 2.5, 2.5)
    for pitch, bite in [(0.0, 2.5), (2.5, -1.0), (float("nan"), 2.5), (2.5, float("inf"))]:
        with pytest.raises(ValueError, match="must be above 0 mm"):
            pattern_drawing("Harbour", "sea", shape_curves(SIDE), (), pitch, bite)
    with pytest.raises(ValueError, match="no room for the check bars"):
        pattern_printout("", "sea", shape_curves(SIDE), (), 2.5, 2.5, (60.0, 60.0))


def test_the_same_pattern_gives_the_same_bytes() -> None:
    one, two = (
        pdf_bytes(pattern_printout("Harbour", "sea", shape_curves(SIDE), edges_of(SIDE), 2.5, 2.5,
                                   sheet_mm("a4")))
        for _ in range(2)
    )  # fmt: skip
    assert one == two
