"""Strips with round ends, and what they leave bare, against shapely's own operations."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from applique.geometry.strips import left_bare, round_ended
from tests.shapes import circle, ring, square, star
from tests.strategies import holed_shapes


def satin(width: float, spacing: float, count: int, top: float = 0.0) -> np.ndarray:
    number = np.arange(count + 1)
    return np.stack([number * spacing / 2, top + (number % 2) * width], axis=1)


def strips_of(path: np.ndarray, width: float = 0.4) -> np.ndarray:
    return round_ended(path[:-1], path[1:], width / 2, 2)


def by_shapely(shape: shapely.MultiPolygon, strips: np.ndarray) -> shapely.MultiPolygon:
    return shape.difference(shapely.union_all(shapely.polygons(strips)))


@pytest.mark.parametrize("chords", [1, 2, 3, 16])
def test_a_strip_is_what_shapely_makes_of_a_line(chords: int) -> None:
    starts, ends = np.array([[1.0, 2.0], [-3.0, 0.5]]), np.array([[4.0, 6.0], [-3.0, -2.0]])
    strips = shapely.polygons(round_ended(starts, ends, 0.2, chords))
    lines = shapely.linestrings(np.stack([starts, ends], axis=1))
    likes = shapely.buffer(lines, 0.2, quad_segs=chords)
    assert shapely.area(shapely.symmetric_difference(strips, likes)) == pytest.approx(0, abs=1e-9)


def test_a_strip_without_length_is_a_disc() -> None:
    (strip,) = shapely.polygons(round_ended(np.zeros((1, 2)), np.zeros((1, 2)), 1.0, 64))
    assert strip.area == pytest.approx(np.pi, rel=1e-3)


def test_gaps_between_strips_are_left() -> None:
    """Level strips 0.4 mm wide, 1 mm apart, over 10 x 10 mm: ten gaps of 0.6 x 10 mm."""
    y = np.arange(0.0, 11.0)
    starts, ends = np.stack([y * 0 - 5, y], axis=1), np.stack([y * 0 + 15, y], axis=1)
    bare = left_bare(square(10.0), round_ended(starts, ends, 0.2, 2))
    assert [part.area for part in bare.geoms] == pytest.approx([6.0] * 10, abs=1e-3)


def test_a_dense_satin_leaves_nothing_of_its_middle() -> None:
    middle = shapely.MultiPolygon([shapely.box(1.0, 0.2, 19.0, 3.6)])
    assert left_bare(middle, strips_of(satin(3.8, 0.4, 100))).area < 1e-6
    assert left_bare(middle, strips_of(satin(3.8, 0.9, 100))).area > 1.0


def test_holes_and_parts_stay_what_they_are() -> None:
    no_strips = np.zeros((0, 10, 2))
    for shape in (ring(12.0, 5.0), star(), shapely.union(circle(4.0), circle(3.0, 20.0))):
        whole = left_bare(shape, no_strips)
        assert whole.symmetric_difference(shape).area == pytest.approx(0, abs=2e-3)
    assert left_bare(shapely.MultiPolygon(), strips_of(satin(3.0, 0.4, 4))).is_empty


def test_what_is_too_small_for_the_grid_is_not_bare() -> None:
    speck = shapely.MultiPolygon([shapely.box(5.0, 5.0, 5.0 + 1e-7, 5.0 + 1e-7)])
    assert left_bare(speck, strips_of(satin(3.0, 0.4, 40))).is_empty


@given(
    holed_shapes(),
    st.lists(st.tuples(st.floats(-30, 60), st.floats(-30, 60)), min_size=2, max_size=60),
    st.floats(0.1, 6.0),
)
def test_it_is_the_difference_that_shapely_finds(
    shape: shapely.MultiPolygon, points: list[tuple[float, float]], width: float
) -> None:
    strips = strips_of(np.array(points), width)
    bare, like = left_bare(shape, strips), by_shapely(shape, strips)
    assert bare.is_valid
    assert bare.area == pytest.approx(like.area, abs=0.02)


def test_far_from_the_page_s_corner_it_is_as_exact() -> None:
    far = np.array([9_000.0, -9_000.0])
    shape = shapely.MultiPolygon([shapely.box(1.0, -0.4, 19.0, 4.2)])
    near = left_bare(shape, strips_of(satin(3.8, 0.6, 60)))
    moved = shapely.transform(shape, lambda points: points + far)
    off = left_bare(moved, strips_of(satin(3.8, 0.6, 60) + far))
    assert off.area == pytest.approx(near.area, abs=1e-3)
