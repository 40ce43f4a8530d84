"""Crowded places relieved: junctions, tips and joins where many sides meet."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from applique.geometry.rings import as_multipolygon
from applique.stitches.bared import bared_mm2
from applique.stitches.satin import satin
from tests.shapes import circle, laid, rectangle, star
from tests.strategies import star_shapes


def crossed(width: float) -> shapely.MultiPolygon:
    """Two bands that cross."""
    upright = rectangle(20 - width / 2, 0, 20 + width / 2, 40)
    return as_multipolygon(upright.union(rectangle(0, 20 - width / 2, 40, 20 + width / 2)))


def flower() -> shapely.MultiPolygon:
    """Five discs round a sixth: five notches towards one middle."""
    discs = [circle(4, 5.5 * np.cos(t), 5.5 * np.sin(t)) for t in np.arange(5) * 2 * np.pi / 5]
    return as_multipolygon(shapely.union_all([*discs, circle(4)]))


SHAPES = {
    "cross 4": crossed(4),
    "cross 5": crossed(5),
    "cross 3": crossed(3),
    "flower": flower(),
    "star": star(),
    "disc 5": circle(2.5),
    "disc 2": circle(1.0),
}


def penetrations(shape: shapely.Geometry) -> np.ndarray:
    return np.vstack([line.points for line in satin(laid(shape))])


def most_in_a_circle(points: np.ndarray) -> int:
    holes = shapely.points(points)
    centre, _ = shapely.STRtree(holes).query(holes, predicate="dwithin", distance=0.5)
    return int(np.bincount(centre).max())


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_no_circle_holds_more_than_six(shape: shapely.Geometry) -> None:
    assert most_in_a_circle(penetrations(shape)) <= 6


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_what_is_bared_is_a_pinhole_at_most(shape: shapely.Geometry) -> None:
    """No bare place is as large as half a millimetre square, nor are all together much larger."""
    band = shape.buffer(1.0).difference(shape.buffer(-2.5))
    sewn = []
    for line in satin(laid(shape)):
        stitches = np.stack([line.points[:-1], line.points[1:]], axis=1)
        sewn.extend(shapely.buffer(shapely.linestrings(stitches), 0.2))
    bare = shapely.get_parts(band.difference(shapely.union_all(sewn)))
    assert max((part.area for part in bare), default=0.0) <= 0.25
    assert sum(part.area for part in bare) <= 0.3


@settings(max_examples=40)
@given(star_shapes())
def test_random_corners_crowd_no_place(shape: shapely.Geometry) -> None:
    assert most_in_a_circle(penetrations(shape)) <= 6


def test_what_a_stitch_taken_out_bares() -> None:
    stitch = np.array([[[0.0, 0.0], [10.0, 0.0]]])
    nothing = np.zeros((0, 2, 2))
    middle = np.array([5.0, 0.0])
    # A pass of 0.4 mm over 10 mm of stitch.
    assert bared_mm2(stitch, nothing, middle, 20.0) == pytest.approx(4.0, rel=0.01)
    assert bared_mm2(stitch, stitch, middle, 20.0) == 0.0
    assert bared_mm2(stitch, nothing, middle, 2.5) == pytest.approx(2.0, rel=0.1)
