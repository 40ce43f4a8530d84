"""What holds for every satin, whatever the shape: it closes, it stays on its band, it is the same
wherever and however the piece lies."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from applique.geometry.rings import as_multipolygon, rings_of
from applique.model import EdgeRun
from applique.stitches.filled import filled
from applique.stitches.ladder import Band, Rungs
from applique.stitches.line import lines_of, sewing_order
from applique.stitches.relief import relieved
from applique.stitches.rungs import rungs
from applique.stitches.satin import satin
from applique.stitches.stagger import staggered
from tests.shapes import circle, ell, laid, polygon, rectangle, square, star, thread_area
from tests.strategies import holed_shapes, smooth_rings, star_shapes

BAND = Band(1.15, 2.65, 0.4)
"""The usual satin: 3.5 mm, 1.0 of it outside, and 0.15 mm of pull compensation a side."""

SAME_MM = 0.05
FIRST_STITCHES = 4
CLOSED_MM = 0.75
"""A ring ends as near as this to its first stitches: the shortest stitch at the point of a corner,
0.55 mm, and the half spacing at which the first rung stands off it."""

Rings = list[np.ndarray]

shapes = st.one_of(star_shapes(), holed_shapes(), smooth_rings().map(polygon))
turns = st.floats(0, 360)
shifts = st.tuples(st.floats(-150, 150), st.floats(-150, 150))


def ladders(rings: Rings) -> list[Rungs]:
    """The rungs of a satin along an outer ring and its holes, each begun at its first point. (The
    satin itself begins at a ring's lowest place on the page, which turns with the piece.)"""
    runs = [EdgeRun(ring, closed=True, ring=k) for k, ring in enumerate(rings)]
    edges = lines_of(runs)
    fabric = as_multipolygon(shapely.Polygon(rings[0], rings[1:]))
    made = (staggered(rungs(run, BAND, edges, fabric), 0.4) for run in sewing_order(runs))
    return filled(relieved([ladder for ladder in made if len(ladder.base) > 1]))


def full_rungs(outline: np.ndarray) -> Rungs:
    """The rungs along a ring without holes, before any of them is made shorter."""
    run = EdgeRun(outline, closed=True)
    return rungs(run, BAND, lines_of([run]), as_multipolygon(shapely.Polygon(outline)))


def needle_points(rings: Rings) -> np.ndarray:
    return np.vstack([ladder.points for ladder in ladders(rings)])


def moved(points: np.ndarray, turn_degrees: float, shift: tuple[float, float]) -> np.ndarray:
    turn = math.radians(turn_degrees)
    cosine, sine = math.cos(turn), math.sin(turn)
    return points @ np.array([[cosine, sine], [-sine, cosine]]) + shift


def mirrored(ring: np.ndarray) -> np.ndarray:
    """A ring mirrored left to right; it runs the other way round, and begins where it did."""
    return np.roll(ring * (-1, 1), -1, axis=0)[::-1]


def apart_mm(here: np.ndarray, there: np.ndarray) -> float:
    """Hausdorff's distance between two sets of points: the furthest that one of either set lies
    from the nearest of the other."""
    return shapely.hausdorff_distance(shapely.multipoints(here), shapely.multipoints(there))


@given(shapes)
@settings(max_examples=30)
def test_the_needle_points_are_numbers_and_the_same_twice(shape) -> None:
    once, twice = satin(laid(shape)), satin(laid(shape))
    assert all(np.isfinite(line.points).all() for line in once)
    assert [line.points.tobytes() for line in once] == [line.points.tobytes() for line in twice]


@given(shapes)
@settings(max_examples=30)
def test_a_ring_is_closed(shape) -> None:
    for line in satin(laid(shape)):
        first = shapely.LineString(line.points[: FIRST_STITCHES + 1])
        assert first.distance(shapely.Point(line.points[-1])) <= CLOSED_MM


@given(shapes)
@settings(max_examples=30)
def test_inner_ends_lie_on_the_piece_and_outer_ends_on_its_band(shape) -> None:
    for ladder in ladders(rings_of(shape)):
        to_piece = shapely.distance(shape, shapely.points(ladder.points))
        # Beyond a corner's vertex both ends lie outside the piece.
        on_piece = ~ladder.outer & (ladder.low < 0)
        assert to_piece[on_piece].max(initial=0) <= 0.01
        # At a cap the rail lies one width beside the bisector's line and at most 1.5 along it.
        assert to_piece.max() <= 1.15 * math.hypot(1.5, 1) + 0.05


@given(shapes)
@settings(max_examples=30)
def test_the_needle_chews_no_hole(shape) -> None:
    points = shapely.points(needle_points(rings_of(shape)))
    centre, _ = shapely.STRtree(points).query(points, predicate="dwithin", distance=0.5)
    assert np.bincount(centre).max() <= 6


@given(st.one_of(star_shapes(), holed_shapes()), turns, shifts)
@settings(max_examples=30)
def test_the_same_however_the_piece_lies(shape, turn, shift) -> None:
    rings = rings_of(shape)
    here = moved(needle_points(rings), turn, shift)
    there = needle_points([moved(ring, turn, shift) for ring in rings])
    assert apart_mm(here, there) <= SAME_MM


@given(smooth_rings(), turns, shifts)
@settings(max_examples=15)
def test_rails_of_a_curve_are_the_same_however_it_lies(outline, turn, shift) -> None:
    # Of a curve that is its own mirror image, rounding decides which points count as its vertices,
    # so needle points may shift along the rails, but not across them.
    here, there = full_rungs(outline), full_rungs(moved(outline, turn, shift))
    assert len(here.base) == len(there.base)
    for outer in (True, False):
        rail = shapely.LineString(there.points[there.outer == outer])
        points = moved(here.points[here.outer == outer], turn, shift)
        assert shapely.distance(rail, shapely.points(points)).max() <= SAME_MM


@given(st.one_of(star_shapes(), holed_shapes()), shifts)
@settings(max_examples=20)
def test_the_whole_satin_moves_with_the_piece(shape, shift) -> None:
    here = np.vstack([line.points for line in satin(laid(shape))]) + shift
    rings = [ring + shift for ring in rings_of(shape)]
    there = satin(laid(as_multipolygon(shapely.Polygon(rings[0], rings[1:]))))
    assert apart_mm(here, np.vstack([line.points for line in there])) <= SAME_MM


MIRRORED = {
    "square": square(30),
    "star": star(),
    "ell": ell(),
    "strip": rectangle(0, 0, 40, 4),
    "circle": circle(14),
    "leaf": as_multipolygon(circle(26, 0, 18).intersection(circle(26, 0, -18))),
}


@pytest.mark.parametrize("shape", MIRRORED.values(), ids=MIRRORED)
def test_a_mirrored_piece_is_covered_alike(shape) -> None:
    # A ring is sewn with the fabric on the left, so a mirrored one is sewn from its other end:
    # its needle points lie half a spacing further along. The cover is the same all the same.
    assert_covered_alike(rings_of(shape))


@given(star_shapes())
@settings(max_examples=15)
def test_any_mirrored_piece_is_covered_alike(shape) -> None:
    assume(len(shape.geoms) == 1)
    assert_covered_alike(rings_of(shape))


def assert_covered_alike(rings: Rings) -> None:
    """The cover and its mirror image differ nowhere by a strip as wide as a pass of thread, and by
    two per cent of the area at most."""
    here = covered(rings, mirror=True)
    there = covered([mirrored(ring) for ring in rings], mirror=False)
    differing = here.symmetric_difference(there)
    assert differing.buffer(-0.2).is_empty
    assert differing.area <= 0.02 * here.area


def covered(rings: Rings, mirror: bool):
    """What lies under thread, mirrored if asked for."""
    across = (-1, 1) if mirror else (1, 1)
    return shapely.union_all([thread_area(ladder.points * across) for ladder in ladders(rings)])
