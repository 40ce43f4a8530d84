"""Spots against closed forms, and as a cover."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate

from applique.settings import resolve
from applique.stitches.satin import LONGEST_SATIN_MM
from applique.stitches.spot import SHORTEST_BAR_MM, is_stroke_like, long_way, spot
from tests.shapes import (
    circle,
    ellipse,
    polygon,
    rectangle,
    ring,
    star,
    stitch_lengths,
    thread_area,
)
from tests.strategies import small_blobs

DEFAULT = resolve({})
TEE = polygon([(0, 0), (12, 0), (12, 2), (7, 2), (7, 12), (5, 12), (5, 2), (0, 2)])
PLAIN = resolve({"pull-compensation": 0})


def bars(shape, chosen=DEFAULT) -> np.ndarray:
    """The needle points of the bars, without the run beneath them."""
    points = spot(shape.geoms[0], chosen).points
    way, _ = long_way(shape.geoms[0], chosen.detail_spacing_mm / 2)
    back = np.diff(points @ way) < -0.3
    return points[np.flatnonzero(back)[-1] + 1 :] if back.any() else points


def across(shape, points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Needle points along and across the way of a shape's bars."""
    way, _ = long_way(shape.geoms[0], 0.2)
    return points @ way, points @ np.array([-way[1], way[0]])


@pytest.mark.parametrize(("spacing", "diameter"), [(0.4, 3.0), (0.4, 6.5), (0.5, 4.0), (0.35, 2.0)])
def test_a_circle_has_a_bar_a_spacing_on_either_side(spacing: float, diameter: float) -> None:
    points = bars(circle(diameter / 2), resolve({"detail-spacing": spacing}))
    _, height = across(circle(diameter / 2), points)
    for side in (height > 0, height < 0):
        assert side.sum() == pytest.approx(diameter / spacing, abs=1.5)


def test_bars_of_a_circle_are_its_chords() -> None:
    # At distance x from the middle of a circle half a chord is sqrt(r^2 - x^2).
    radius = 1.5
    along, height = across(circle(radius), bars(circle(radius), PLAIN))
    assert np.abs(height) == pytest.approx(np.sqrt(radius**2 - along**2), abs=0.01)


def test_the_pull_is_compensated_at_both_ends_of_a_bar() -> None:
    radius = 2.0
    along, height = across(circle(radius), bars(circle(radius)))
    expected = np.sqrt(radius**2 - along**2) + DEFAULT.pull_compensation_mm
    assert np.abs(height) == pytest.approx(expected, abs=0.01)


@pytest.mark.parametrize(
    "shape",
    [
        circle(1.5),
        circle(3.4),
        ellipse(3, 1.2),
        rectangle(0, 0, 12, 5),
        polygon([(0, 0), (6, 0), (2, 5)]),
    ],
)
def test_a_spot_covers_its_shape(shape) -> None:
    cover = thread_area(spot(shape.geoms[0], DEFAULT).points)
    assert cover.intersection(shape).area >= 0.995 * shape.area
    assert cover.difference(shape.buffer(0.15 + 0.2 + 0.1)).area < 0.001


@given(small_blobs())
@settings(max_examples=40, deadline=None)
def test_small_blobs_are_covered_with_stitches_of_the_right_length(shape) -> None:
    points = spot(shape.geoms[0], DEFAULT).points
    lengths = stitch_lengths(points)
    assert lengths.min() >= SHORTEST_BAR_MM
    assert lengths.max() <= LONGEST_SATIN_MM
    assert thread_area(points).intersection(shape).area >= 0.99 * shape.area


@given(st.floats(0, 180))
@settings(max_examples=25, deadline=None)
def test_a_turned_ellipse_gives_the_same_spot_turned(angle: float) -> None:
    straight = spot(ellipse(3, 1.5).geoms[0], DEFAULT).points
    turned = spot(rotate(ellipse(3, 1.5), angle, origin=(0, 0)).geoms[0], DEFAULT).points
    back = shapely.get_coordinates(rotate(shapely.multipoints(turned), -angle, origin=(0, 0)))
    # It may begin at the other end.
    ways = (back, -back)
    assert min(np.abs(way - straight).max() for way in ways) <= 0.05


def test_bars_lie_across_the_narrow_way() -> None:
    way, longest = long_way(rotate(rectangle(0, 0, 9, 3), 30).geoms[0], 0.2)
    assert abs(way @ np.array([math.cos(math.pi / 6), math.sin(math.pi / 6)])) > 0.999
    assert longest == pytest.approx(3, abs=0.01)


def test_a_square_is_not_sewn_from_corner_to_corner() -> None:
    _, longest = long_way(rotate(rectangle(0, 0, 4, 4), 17).geoms[0], 0.2)
    assert longest == pytest.approx(4, abs=0.05)


def test_the_satin_begins_where_the_run_beneath_ends() -> None:
    line = spot(ellipse(4, 1.5).geoms[0], PLAIN)
    beneath = line.points[np.abs(line.points[:, 1]) < 0.05]
    assert len(beneath) >= 3
    assert (stitch_lengths(beneath) >= 1.0).all()
    first_bar = line.points[len(beneath)]
    assert math.dist(beneath[-1], first_bar) < math.dist(beneath[0], first_bar)
    assert np.hypot(*(line.start_line[0] - line.points[0])) == 0
    assert np.hypot(*(line.end_line[0] - line.points[-1])) == 0


def test_a_speck_gives_no_stitch() -> None:
    assert spot(circle(0.06).geoms[0], PLAIN) is None


@pytest.mark.parametrize("shape", [ring(5, 3.5), star(5, 5, 2), TEE])
def test_rings_stars_and_letters_are_stroke_like(shape) -> None:
    assert is_stroke_like(shape.geoms[0], DEFAULT)


@pytest.mark.parametrize("shape", [circle(3), ellipse(4, 1), polygon([(0, 0), (6, 0), (3, 5.2)])])
def test_compact_shapes_are_not(shape) -> None:
    assert not is_stroke_like(shape.geoms[0], DEFAULT)
