"""Satin along strokes: rings, stars, letters."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely.affinity import rotate, scale

from applique.geometry.lettering import lettered
from applique.geometry.rings import as_multipolygon
from applique.geometry.width import widest_mm
from applique.settings import resolve
from applique.stitches.detail import sew_detail
from applique.stitches.satin import LONGEST_SATIN_MM
from applique.stitches.strokes import sew_strokes
from tests.shapes import (
    ell,
    laid_detail,
    polygon,
    rectangle,
    ring,
    star,
    stitch_lengths,
    thread_area,
)
from tests.strategies import star_shapes

DEFAULT = resolve({})

TEE = polygon([(0, 0), (12, 0), (12, 2.5), (7, 2.5), (7, 14), (5, 14), (5, 2.5), (0, 2.5)])
AITCH = as_multipolygon(
    rectangle(0, 0, 2, 12).union(rectangle(8, 0, 2, 12)).union(rectangle(1, 5, 8, 1.5))
)


@pytest.mark.parametrize("shape", [ring(5, 3.5), star(5, 5, 2), ell(12, 2.4), TEE, AITCH])
@pytest.mark.parametrize("angle", [0, 33])
def test_strokes_are_covered_in_one_go(shape, angle: float) -> None:
    shape = rotate(shape, angle)
    line = sew_strokes(shape.geoms[0], DEFAULT)
    cover = thread_area(line.points)
    assert cover.intersection(shape).area >= 0.99 * shape.area
    # Pull, half the thread, and the square ends that passes are drawn with.
    assert cover.difference(shape.buffer(0.15 + 0.2 + 0.1, join_style="mitre")).area < 0.01
    lengths = stitch_lengths(line.points)
    assert lengths.min() >= 0.5
    assert lengths.max() <= LONGEST_SATIN_MM


def test_a_frame_with_a_flat_bottom_is_left_where_its_satin_begins() -> None:
    outer, inner = rectangle(5, 5, 17, 33).buffer(5), rectangle(5, 5, 17, 33).buffer(1.7)
    frame = outer.difference(inner)
    line = sew_strokes(as_multipolygon(frame).geoms[0], DEFAULT)
    assert stitch_lengths(line.points).max() <= LONGEST_SATIN_MM


def test_bars_go_right_across_a_ring() -> None:
    line = sew_strokes(ring(5, 3.5).geoms[0], DEFAULT)
    radii = np.hypot(*line.points.T)
    assert (radii > 5).sum() > 60
    assert (radii < 3.5).sum() > 60


def test_a_hair_is_sewn_as_wide_as_the_narrowest_satin() -> None:
    hair = polygon([(0, 0), (10, 0), (10, 10), (9.6, 10), (9.6, 0.4), (0, 0.4)])
    line = sew_strokes(hair.geoms[0], DEFAULT)
    straight = line.points[(line.points[:, 0] > 2) & (line.points[:, 0] < 7)]
    beyond = straight[(straight[:, 1] < 0) | (straight[:, 1] > 0.4)]
    # A little less, because its width is measured at the corner, where it is widest.
    assert np.ptp(beyond[:, 1]) == pytest.approx(1.0, abs=0.1)


@pytest.mark.parametrize("letter", "ABEGKMQRSWX358")
def test_letters_are_covered_and_need_no_trim(letter: str) -> None:
    strokes = shapely.union_all([shapely.linestrings(s) for s in lettered(letter, 10.0)])
    shape = as_multipolygon(strokes.buffer(0.8, cap_style="flat", join_style="mitre"))
    line = sew_strokes(shape.geoms[0], DEFAULT)
    cover = thread_area(line.points)
    assert cover.intersection(shape).area >= 0.985 * shape.area
    assert cover.difference(shape.buffer(0.15 + 0.2 + 0.15, join_style="mitre")).area < 0.02
    lengths = stitch_lengths(line.points)
    assert lengths.min() >= 0.5
    assert lengths.max() <= LONGEST_SATIN_MM


@given(star_shapes())
@settings(max_examples=40, deadline=None)
def test_whatever_its_shape_a_spot_is_sewn(shape) -> None:
    size = 5.0 / max(widest_mm(shape), 0.1)
    small = as_multipolygon(scale(shape, size, size))
    (step,), _ = sew_detail(laid_detail(small))
    lengths = np.concatenate([stitch_lengths(path) for path in step.paths])
    assert lengths.min() >= 0.3
    assert lengths.max() <= LONGEST_SATIN_MM
    cover = shapely.union_all([thread_area(path) for path in step.paths])
    assert cover.intersection(small).area >= 0.93 * small.area
    assert cover.difference(small.buffer(0.15 + 0.2 + 0.15, join_style="mitre")).area < 0.05
