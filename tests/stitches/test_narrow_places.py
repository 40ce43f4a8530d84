"""Narrow places, shared by two sides, against medial axes that others find: shapely's largest
inscribed circle, and scikit-image's medial axis of the shape as pixels.

Where a shape is wide enough a rung is as long as its band; where it is not, the rung ends past the
medial axis by the interlock.
"""

import numpy as np
import pytest
import shapely

from applique.geometry.rings import as_multipolygon
from applique.stitches.ladder import Band, Rungs, joined
from applique.stitches.line import lines_of
from applique.stitches.rungs import INTERLOCK_MM, INTERLOCK_SHARE, rungs
from tests.shapes import circle, laid, rectangle

BAND = Band(1.0, 2.5, 0.4)
PIXEL_MM = 0.05
AXIS_MM = 0.12
"""The axis of pixels strays by two of them; ours by half of what counts as nearer."""


def smoothed(shape, radius: float):
    """A shape with its concave corners rounded, then its convex ones."""
    filled = shape.buffer(radius, quad_segs=64).buffer(-radius, quad_segs=64)
    return as_multipolygon(filled.buffer(-0.6, quad_segs=64).buffer(0.6, quad_segs=64))


def hourglass():
    """Two round lobes, wide enough for two bands, and a waist of 3 mm."""
    parts = [circle(8, -14, 0), circle(8, 14, 0), shapely.box(-14, -1.5, 14, 1.5)]
    return smoothed(shapely.union_all(parts), 4)


def crescent():
    """From 8 mm in the middle to round ends of 1.2 mm."""
    return smoothed(circle(15).difference(circle(13, 5, 0)), 0.1)


def three_arms():
    """Arms of 4 mm that meet in the middle."""
    ends = [(14 * np.cos(a), 14 * np.sin(a)) for a in (0.2, 2.3, 4.4)]
    arms = [shapely.LineString([(0, 0), end]).buffer(2, quad_segs=64) for end in ends]
    return smoothed(shapely.union_all(arms), 2)


SHAPES = {"hourglass": hourglass(), "crescent": crescent(), "three arms": three_arms()}


def inner_rungs(shape) -> Rungs:
    """The rungs that end on the fabric, without the points of corners."""
    piece = laid(shape)
    edges = lines_of(piece.edges)
    ladder = joined([rungs(run, BAND, edges, piece.cut) for run in piece.edges])
    return ladder.only(~ladder.outer & ~ladder.tip)


def expected_reach(medial_mm: np.ndarray) -> np.ndarray:
    """How far rungs go in, where the medial axis is so far from their base."""
    past = np.minimum(INTERLOCK_MM, INTERLOCK_SHARE * medial_mm)
    return np.minimum(medial_mm + past, BAND.inside_mm)


@pytest.mark.parametrize("width", [1.0, 2.0, 3.0, 4.0, 4.5, 5.0, 6.0, 9.0])
def test_rungs_of_a_strip_go_past_the_centre_of_its_largest_circle(width: float) -> None:
    strip = rectangle(0, 0, 40, width)
    radius = shapely.maximum_inscribed_circle(strip, tolerance=0.001).length
    assert radius == pytest.approx(width / 2, abs=0.01)
    ladder = inner_rungs(strip)
    middle = np.abs(ladder.base[:, 0] - 20) < 12
    assert -ladder.low[middle] == pytest.approx(expected_reach(radius), abs=0.06)


@pytest.mark.parametrize("radius", [2.6, 3.0, 8.0])
def test_rungs_of_a_disc_are_whole_where_its_largest_circle_is_larger(radius: float) -> None:
    ladder = inner_rungs(circle(radius))
    largest = shapely.maximum_inscribed_circle(circle(radius), tolerance=0.001).length
    assert largest > BAND.inside_mm
    assert -ladder.low == pytest.approx(BAND.inside_mm)


def pixel_axis(shape) -> tuple[np.ndarray, np.ndarray]:
    """Places (m, 2) on the medial axis of a shape as pixels, and their distance (m,) from its
    outline, in mm."""
    # Only here, so that a run of other tests needs neither it nor what it brings along.
    from skimage.morphology import medial_axis

    left, top, right, bottom = shape.bounds
    x, y = np.meshgrid(
        np.arange(left - 0.5, right + 0.5, PIXEL_MM), np.arange(top - 0.5, bottom + 0.5, PIXEL_MM)
    )
    on_axis, distance = medial_axis(shapely.contains_xy(shape, x, y), return_distance=True, rng=0)
    return np.stack([x[on_axis], y[on_axis]], axis=1), distance[on_axis] * PIXEL_MM


def medial_mm(ladder: Rungs, shape) -> np.ndarray:
    """How far the pixels' medial axis is from each rung's base, straight in: where the circle round
    a place on the axis touches the outline at the base. 0 where no place is hit."""
    places, distance = pixel_axis(shape)
    apart = places - ladder.base[:, None, :]
    inward = -ladder.outward[:, None, :]
    along = (apart * inward).sum(axis=2)
    beside = apart[..., 0] * inward[..., 1] - apart[..., 1] * inward[..., 0]
    touches = (np.abs(beside) <= PIXEL_MM) & (np.abs(along - distance) <= 2 * PIXEL_MM)
    # Pixels grow whiskers from the outline to the axis; the axis itself is the furthest.
    return np.where(touches & (along > 0), along, 0.0).max(axis=1)


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_rungs_end_where_the_medial_axis_of_pixels_says(shape) -> None:
    ladder = inner_rungs(shape)
    medial = medial_mm(ladder, shape)
    hit = medial > 0
    assert hit.mean() >= 0.97
    narrow = hit & (2 * medial < 2 * BAND.inside_mm)
    wide = medial > BAND.inside_mm + AXIS_MM
    assert narrow.sum() >= 50
    reach = -ladder.low
    assert reach[narrow] == pytest.approx(expected_reach(medial[narrow]), abs=AXIS_MM)
    assert reach[wide] == pytest.approx(BAND.inside_mm)


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_inner_ends_stay_on_the_piece(shape) -> None:
    ends = shapely.points(inner_rungs(shape).points)
    assert shapely.distance(shape, ends).max() <= 0.01


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_two_sides_leave_nothing_open_between_them(shape) -> None:
    # Of every place on the medial axis where the shape is narrow, a rung is no further than half a
    # spacing and what the needle misses by.
    places, distance = pixel_axis(shape)
    ladder = inner_rungs(shape)
    lines = shapely.linestrings(np.stack([ladder.base, ladder.points], axis=1))
    ends = shapely.multilinestrings(lines)
    shared = places[(distance > 0.7) & (distance < BAND.inside_mm)]
    assert shapely.distance(ends, shapely.points(shared)).max() <= BAND.spacing_mm / 2 + 0.1
