"""Satin against closed forms and the published spacing, and as a cover."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely.affinity import rotate, translate

from applique.geometry.rings import as_multipolygon
from applique.model import EdgeRun
from applique.stitches.ladder import Band
from applique.stitches.line import lines_of
from applique.stitches.rungs import rungs
from applique.stitches.satin import LONGEST_SATIN_MM, satin, satin_band, split_long
from tests.awkward import CASES
from tests.shapes import (
    circle,
    ell,
    laid,
    polygon,
    rectangle,
    ring,
    square,
    star,
    stitch_lengths,
    thread_area,
)
from tests.strategies import smooth_rings, star_shapes


def sewn(shape, **given) -> np.ndarray:
    piece = laid(shape, **given)
    return np.vstack([line.points for line in satin(piece)])


def covered_share(shape, points: np.ndarray, width: float = 0.4) -> float:
    """Share of the visible band under thread, a pass counted 0.4 mm wide (docs/sources.md)."""
    band = shape.buffer(1.0, join_style="mitre", mitre_limit=1.5).difference(shape.buffer(-2.5))
    passes = shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1))
    thread = shapely.union_all(shapely.buffer(passes, width / 2, cap_style="square"))
    return 1 - band.difference(thread).area / band.area


def test_the_default_is_the_published_spacing() -> None:
    # 63.5 stitches an inch = 25.4 / 63.5 = 0.4 mm (Printwear, December 2016, page 31).
    assert satin_band(laid(square(30)).piece.settings).spacing_mm == pytest.approx(25.4 / 63.5)


def test_penetrations_round_a_circle() -> None:
    # A circle of radius R has 2 * 2 pi R / s penetrations, measured on the longer rail (computed).
    radius, outside = 25.0, 1.15
    points = sewn(circle(radius))
    expected = 2 * 2 * math.pi * (radius + outside) / 0.4
    assert len(points) == pytest.approx(expected, abs=6)


def test_rails_of_a_circle_lie_where_they_should() -> None:
    # Width 3.5 mm, 1.0 of it outside, and 0.15 mm of pull compensation a side.
    radii = np.hypot(*sewn(circle(25)).T)
    outer, inner = radii[radii > 25], radii[radii < 25]
    assert outer == pytest.approx(25 + 1 + 0.15, abs=0.02)
    assert inner == pytest.approx(25 - 2.5 - 0.15, abs=0.02)


def test_spacing_is_kept_on_the_longer_rail_inside_and_outside_of_bends() -> None:
    piece = laid(ring(30, 8))
    for run in piece.edges:
        ladder = rungs(run, Band(1.0, 2.5, 0.4), lines_of(piece.edges), piece.cut)
        points = ladder.points
        for rail in (points[ladder.outer], points[~ladder.outer]):
            assert stitch_lengths(rail)[:-2].max() <= 0.4 + 0.01


SHAPES = {
    "square": square(30),
    "ell": ell(),
    "star": star(),
    "leaf": as_multipolygon(circle(26, 0, 18).intersection(circle(26, 0, -18))),
    "ring": ring(12, 5),
    "band": rectangle(0, 0, 40, 4),
    "triangle": polygon([(0, 0), (40, 0), (0, 30)]),
    "sharp": polygon([(0, 0), (40, 4), (0, 8)]),
}


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_the_band_is_covered(shape) -> None:
    assert covered_share(shape, sewn(shape)) >= 0.999


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_stitch_lengths_stay_in_bounds(shape) -> None:
    piece = laid(shape)
    for line in satin(piece):
        lengths = stitch_lengths(line.points)
        assert lengths.min() >= 0.5
        assert lengths.max() <= LONGEST_SATIN_MM


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_the_outer_rail_lies_between_the_round_and_the_mitred_offset(shape) -> None:
    points = shapely.points(sewn(shape))
    mitred = shape.buffer(1.15 + 0.1, join_style="mitre", mitre_limit=1.6)
    assert shapely.contains(mitred, points).all()


@pytest.mark.parametrize("shape", [*SHAPES.values(), *CASES.values()], ids=[*SHAPES, *CASES])
def test_the_needle_does_not_chew_one_hole(shape) -> None:
    # At most six penetrations in a circle of 1 mm round any of them (docs/sources.md).
    points = shapely.points(sewn(shape, underlay="none"))
    first, _ = shapely.STRtree(points).query(points, predicate="dwithin", distance=0.5)
    assert np.bincount(first).max() <= 6


def test_a_square_keeps_its_corners() -> None:
    points = sewn(square(30))
    for corner in ((-1.15, -1.15), (31.15, -1.15), (31.15, 31.15), (-1.15, 31.15)):
        assert np.hypot(*(points - corner).T).min() < 0.01


def test_wide_satin_is_split() -> None:
    points = sewn(square(60), edge_width=10, edge_outside=3)
    assert stitch_lengths(points).max() <= LONGEST_SATIN_MM


def test_splits_do_not_line_up() -> None:
    zigzag = np.array([[k * 0.2, 0 if k % 2 else 9.0] for k in range(12)])
    split = split_long(zigzag)
    inner = split[(split[:, 1] > 0.1) & (split[:, 1] < 8.9)]
    assert len(np.unique(inner[:, 1].round(3))) >= 4


@pytest.mark.parametrize("pull", [0.0, 0.1, 0.25, 0.5, 0.8])
def test_pull_compensation_moves_both_rails_by_its_amount(pull: float) -> None:
    # Direction only: published work says narrower than designed, but gives no neutral figure.
    radii = np.hypot(*sewn(circle(25), pull_compensation=pull).T)
    assert radii.max() == pytest.approx(25 + 1 + pull, abs=0.01)
    assert radii.min() == pytest.approx(25 - 2.5 - pull, abs=0.01)


@pytest.mark.parametrize("shape", [square(30), star(), ell()])
def test_more_pull_compensation_never_covers_less(shape) -> None:
    areas = [thread_area(sewn(shape, pull_compensation=pull)) for pull in (0.0, 0.2, 0.4, 0.8)]
    for less, more in itertools.pairwise(areas):
        assert more.area > less.area
        assert less.difference(more).area <= 0.002 * less.area


@given(smooth_rings())
@settings(max_examples=25)
def test_smooth_shapes_are_covered(outline: np.ndarray) -> None:
    shape = polygon(outline)
    assert covered_share(shape, sewn(shape)) >= 0.999


@given(star_shapes())
@settings(max_examples=40)
def test_any_shape_is_sewn_within_bounds_and_twice_the_same(shape) -> None:
    points = sewn(shape)
    assert np.isfinite(points).all()
    assert np.array_equal(points, sewn(shape))
    assert stitch_lengths(points).max() <= 12.1
    outside = shapely.distance(shape, shapely.points(points))
    # The ends of a cap lie one band width beside the axis and at most 1.5 along it.
    assert outside.max() <= 1.15 * math.hypot(1.5, 1) + 0.05


@pytest.mark.parametrize("shape", [star(), ell()])
def test_the_same_stitches_wherever_the_piece_lies(shape) -> None:
    here = sewn(shape)
    moved = sewn(translate(shape, 123.4, -56.7))
    assert moved == pytest.approx(here + np.array([123.4, -56.7]), abs=0.05)
    turned = sewn(rotate(shape, 90, origin=(0, 0)))
    assert covered_share(rotate(shape, 90, origin=(0, 0)), turned) >= 0.999
    assert len(turned) == pytest.approx(len(here), rel=0.02)


def test_an_open_run_is_sewn_from_end_to_end() -> None:
    piece = laid(square(40))
    run = EdgeRun(np.array([[5.0, 0.0], [35.0, 0.0]]), closed=False)
    (line,) = satin(replace(piece, edges=(run,)))
    assert line.points[0, 0] == pytest.approx(5)
    assert line.points[-1, 0] == pytest.approx(35)
    assert set(line.points[:, 1].round(2)) == {-1.15, 2.65}
