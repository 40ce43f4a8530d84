"""Every edge style on shapes that were once sewn badly (tests/awkward.py)."""

import math

import numpy as np
import pytest
import shapely

from applique.stitches.blanket import blanket
from applique.stitches.satin import satin
from applique.stitches.straight import straight
from applique.stitches.tackdown import trim_line
from tests.awkward import CASES
from tests.shapes import laid, stitch_lengths, thread_area

cases = pytest.mark.parametrize("shape", CASES.values(), ids=CASES)


@cases
def test_satin_covers_its_band(shape) -> None:
    # The band of the sewing model: 1.0 outside, 2.5 inside; every pass is 0.4 mm wide.
    band = shape.buffer(1.0).difference(shape.buffer(-2.5))
    thread = shapely.union_all([thread_area(line.points) for line in satin(laid(shape))])
    bare = band.difference(thread)
    assert 1 - bare.area / band.area >= 0.995
    assert max((part.area for part in shapely.get_parts(bare)), default=0) <= 0.3


@cases
def test_satin_keeps_to_its_band(shape) -> None:
    for line in satin(laid(shape)):
        lengths = stitch_lengths(line.points)
        assert lengths.min() >= 0.45 and lengths.max() <= 7.2
        outside = shapely.distance(shape, shapely.points(line.points))
        assert outside.max() <= 1.15 * math.hypot(1.5, 1) + 0.05


@cases
def test_bites_of_a_blanket_stitch_stay_in_the_fabric_and_apart(shape) -> None:
    for line in blanket(laid(shape, edge="blanket")):
        points = line.points
        turns = np.flatnonzero(np.all(np.abs(points[:-2] - points[2:]) < 1e-9, axis=1))
        outer, inner = points[turns], points[turns + 1]
        assert shapely.distance(shape, shapely.points(inner)).max() <= 0.05
        assert shapely.distance(shape, shapely.points(points)).max() <= 0.2 * 1.5 + 0.02
        bites = shapely.linestrings(np.stack([outer, inner], axis=1))
        first, second = shapely.STRtree(bites).query(bites, predicate="crosses")
        assert (first == second).all()
        assert stitch_lengths(points).max() <= 1.7 * 2.5


@cases
@pytest.mark.parametrize("sew", [trim_line, straight])
def test_runs_stay_on_the_fabric_and_off_each_other(shape, sew) -> None:
    lines = [line.points for line in sew(laid(shape, edge="straight"))]
    for points in lines:
        assert shapely.distance(shape, shapely.points(points)).max() <= 0.05
        assert stitch_lengths(points).min() >= 0.5
    drawn = [shapely.LineString(points) for points in lines]
    assert not any(a.crosses(b) for k, a in enumerate(drawn) for b in drawn[:k])
