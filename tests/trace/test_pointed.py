"""Corners moved to where sharp tips end, alone and on whole traced pages."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely

from applique.geometry.curves import flatten
from applique.trace.corners import Corner, find_corners
from applique.trace.light import Light, evened_out, paper_values
from applique.trace.page import Page as ScannedPage
from applique.trace.pages import trace_page
from applique.trace.pointed import pointed
from applique.trace.template import Template
from applique.trace.turns import evenly
from tests import shapes
from tests.trace.drawn import Page, Scanner, Traced, ink_of, scanned

DPI = 300.0
MM_PER_PX = 25.4 / DPI
BLUR_PX = 0.8
"""The scanner's 0.6 px, with what a pixel gathers over its own width and what is mixed between."""

SIZE_MM = (60.0, 50.0)
NOWHERE = np.empty((0, 2))


def star() -> shapely.Polygon:
    """Five tips of 40 degrees."""
    return shapely.Polygon(np.add(shapely.get_coordinates(shapes.star(5, 19.0, 7.6)), (30, 25)))


def leaf() -> shapely.Polygon:
    """Two arcs of 34 mm in length that meet at 47 degrees."""
    one, other = (shapely.Point(30, 25 + off).buffer(42.5, quad_segs=256) for off in (-39, 39))
    return one.intersection(other)


def held_off(shape: shapely.Polygon, pen_mm: float, by_mm: float) -> Traced:
    """A template traced by a pen that stands off from it: round its tips by so much."""
    around = shape.buffer(by_mm, quad_segs=64)
    return Traced(shapely.get_coordinates(around.exterior)[:-1], pen_mm)


def bare_paper(traced: Traced) -> shapely.Polygon:
    """The paper that a line encloses, to its ink's edge."""
    return max((shapely.Polygon(ring) for ring in ink_of(traced).interiors), key=shapely.area)


def tips_of(shape: shapely.Polygon, by_mm: float) -> np.ndarray:
    """Where the tips (k, 2) of a shape end that a pen goes round at a distance."""
    points, middle = shapely.get_coordinates(shape.exterior)[:-1], np.array([30.0, 25.0])
    away = np.hypot(*(points - middle).T)
    outer = points[away > away.max() - 1e-6]
    return outer + by_mm * (outer - middle) / away.max()


def read(traced: Traced) -> Light:
    grey = evened_out(scanned(Page(SIZE_MM, (traced,)), Scanner(DPI)))
    return Light(grey, paper_values(grey, MM_PER_PX))


def traced_page(traced: Traced, dpi: float = DPI) -> Template:
    grey = scanned(Page(SIZE_MM, (traced,)), Scanner(dpi))
    (template,) = trace_page(ScannedPage("page", grey, 25.4 / dpi)).templates
    return template


def moved(unseen: np.ndarray = NOWHERE) -> tuple[list[Corner], tuple[Corner, ...]]:
    """The corners of a star's line that stood off by 0.2 mm, cut short by 0.3 mm at its tips as by
    blur: before and after they were moved."""
    line = held_off(star(), 1.0, 0.2)
    blunt = bare_paper(line).buffer(-0.3).buffer(0.3)
    edge = evenly(shapely.get_coordinates(blunt.exterior)[:-1])
    corners = find_corners(edge, 1.0, 0.0)
    return corners, pointed(edge, corners, unseen, read(line), BLUR_PX, 1.0, MM_PER_PX)


def test_tips_are_moved_to_where_the_light_ends():
    before, after = moved()
    tips = tips_of(star(), 0.2)
    assert len(after) == len(before) == 10
    places = np.array([corner.place for corner in after if not corner.inward])
    assert shapely.distance(shapely.MultiPoint(tips), shapely.points(places)).max() < 0.06


def test_their_sides_run_along_the_paper():
    edge = bare_paper(held_off(star(), 1.0, 0.2)).exterior
    _, after = moved()
    for corner in after:
        for side in (corner.before, corner.after):
            assert corner.inward == (len(side) == 0)
            assert (shapely.distance(shapely.points(side), edge) < 0.06).all()


def test_notches_stay():
    before, after = moved()
    assert sum(corner.inward for corner in before) == 5
    for was, corner in zip(before, after, strict=True):
        assert (corner is was) == was.inward


def test_a_tip_that_is_not_seen_stays():
    before, _ = moved()
    hidden = next(corner for corner in before if not corner.inward)
    _, after = moved(hidden.place[None] + 0.3)
    same = [corner.index for was, corner in zip(before, after, strict=True) if _same(was, corner)]
    assert hidden.index in same
    assert len(same) == 6


def _same(was: Corner, corner: Corner) -> bool:
    return bool((was.place == corner.place).all()) and len(corner.before) == 0


def test_blunt_corners_stay():
    line = held_off(star(), 1.0, 0.0)
    edge = evenly(shapely.get_coordinates(bare_paper(line).exterior)[:-1])
    blunt = [replace(corner, turn=np.radians(90.0)) for corner in find_corners(edge, 1.0, 0.0)]
    after = pointed(edge, blunt, NOWHERE, read(line), BLUR_PX, 1.0, MM_PER_PX)
    assert all(corner is was for was, corner in zip(blunt, after, strict=True))


# A pen of the usual width, and the thinnest at a coarse resolution, where paper shows close behind
# a tip's ink.
@pytest.mark.parametrize("shape", [star(), leaf()], ids=["star", "leaf"])
@pytest.mark.parametrize(("pen_mm", "dpi", "within_mm"), [(1.0, 300.0, 0.07), (0.6, 200.0, 0.1)])
@pytest.mark.parametrize("by_mm", [0.05, 0.2])
def test_outline_of_a_page_ends_where_its_tips_do(shape, pen_mm, dpi, within_mm, by_mm):
    line = held_off(shape, pen_mm, by_mm)
    template = traced_page(line, dpi)
    ring = shapely.LinearRing(flatten(template.curve, 0.002))
    assert ring.is_simple
    assert not template.doubts
    truth = bare_paper(line).exterior
    for tip in tips_of(shape, by_mm):
        near = shapely.Point(tip).buffer(1.2)
        for part, other in ((ring, truth), (truth, ring)):
            dense = shapely.segmentize(part.intersection(near), 0.02)
            places = shapely.points(shapely.get_coordinates(dense))
            assert shapely.distance(places, other).max() < within_mm


# A tip's arc has a cubic of its own. With joints spread over whole sides this star took 97.
def test_round_tips_take_few_cubics_and_smooth_ones():
    template = traced_page(held_off(star(), 2.0, 0.3))
    segments = template.curve.segments
    assert len(segments) <= 3 * len(template.line.shape.corners)
    corners = shapely.MultiPoint([corner.place for corner in template.line.shape.corners])
    for before, after in zip(segments, np.roll(segments, -1, axis=0), strict=True):
        if shapely.distance(corners, shapely.Point(after[0])) > 0.01:
            assert _turn_degrees(before[3] - before[2], after[1] - after[0]) < 5.0


def _turn_degrees(way: np.ndarray, following: np.ndarray) -> float:
    cross = way[0] * following[1] - way[1] * following[0]
    return float(np.degrees(abs(np.arctan2(cross, way @ following))))
