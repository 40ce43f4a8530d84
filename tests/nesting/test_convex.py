"""Shapes as convex parts, and how far apart these can be told to stand."""

import itertools
import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity

from applique.nesting.convex import body_of, padded, separations
from tests.shapes import circle, ell, square, star
from tests.strategies import star_shapes


@st.composite
def convex_pairs(draw: st.DrawFn) -> tuple[Polygon, Polygon]:
    """Two convex polygons, near to each other or overlapping."""
    first, second = draw(star_shapes()).convex_hull, draw(star_shapes()).convex_hull
    x, y = draw(st.floats(-90, 90)), draw(st.floats(-90, 90))
    return first, affinity.translate(second, x, y)


def corners(shape: Polygon) -> np.ndarray:
    return shapely.get_coordinates(shapely.orient_polygons(shape).exterior)[:-1]


def gap_between(first: Polygon, second: Polygon) -> tuple[float, np.ndarray]:
    both = padded([corners(first), corners(second)])
    gap, normal = separations(both[:1], both[1:])
    return float(gap[0]), normal[0]


@pytest.mark.parametrize(
    ("shape", "count"), [(square(10), 1), (circle(8), 1), (ell(), 2), (star(5), 6)]
)
def test_a_shape_becomes_few_parts(shape, count: int) -> None:
    # An L is two rectangles; a star is a part for each spike and the middle.
    assert len(body_of(shape.geoms[0]).parts) <= count


@given(star_shapes())
@settings(max_examples=40)
def test_the_parts_are_convex_apart_and_make_up_the_shape(shape) -> None:
    body = body_of(shape.geoms[0])
    parts = [Polygon(part) for part in body.parts]
    assert math.isclose(sum(part.area for part in parts), shape.area, rel_tol=1e-6)
    for part in parts:
        assert part.convex_hull.area - part.area <= 1e-6 * shape.area
        assert part.difference(shape.buffer(1e-6)).area <= 1e-6
    for one, other in itertools.combinations(parts, 2):
        assert one.intersection(other).area <= 1e-6 * shape.area
    assert Polygon(body.hull).equals(shape.convex_hull)


def test_a_body_moves_as_its_shape_does() -> None:
    turned = np.array([[0.0, -1.0, 5.0], [1.0, 0.0, -2.0]])
    moved = body_of(ell().geoms[0]).moved(turned)
    expected = affinity.affine_transform(ell(), [0, -1, 1, 0, 5, -2])
    assert shapely.union_all([Polygon(part) for part in moved.parts]).equals(expected)
    assert Polygon(moved.hull).equals(expected.convex_hull)


@given(convex_pairs())
def test_a_gap_is_never_overstated_and_overlaps_are_known(pair: tuple[Polygon, Polygon]) -> None:
    """The separating axis theorem: two convex polygons are apart if and only if they are so along
    the normal of one of their sides."""
    first, second = pair
    gap, normal = gap_between(first, second)
    assert gap <= first.distance(second) + 1e-9
    if abs(gap) > 1e-6:
        assert (gap > 0) == first.disjoint(second)
    along = (corners(second) @ normal).min() - (corners(first) @ normal).max()
    assert math.isclose(along, gap, abs_tol=1e-9)
    assert math.isclose(math.hypot(*normal), 1.0)


@given(convex_pairs())
def test_where_a_side_is_nearest_the_gap_is_the_distance(pair: tuple[Polygon, Polygon]) -> None:
    first, second = pair
    line = shapely.shortest_line(first, second)
    ends = [shapely.Point(end) for end in line.coords]
    corner_to_corner = all(
        shapely.MultiPoint(corners(shape)).distance(end) < 1e-6
        for shape, end in zip(pair, ends, strict=True)
    )
    if line.length > 0 and not corner_to_corner:
        assert math.isclose(gap_between(first, second)[0], line.length, rel_tol=1e-6)


@pytest.mark.parametrize(("x", "gap"), [(14.0, 4.0), (10.0, 0.0), (7.0, -3.0)])
def test_squares_side_by_side(x: float, gap: float) -> None:
    found, normal = gap_between(shapely.box(0, 0, 10, 10), shapely.box(x, 1, x + 10, 9))
    assert found == pytest.approx(gap)
    assert normal.tolist() == [1.0, 0.0]


def test_many_pairs_are_looked_at_as_one_by_one() -> None:
    boxes = np.stack([corners(shapely.box(3.0 * k, k, 3.0 * k + 2, k + 4.0)) for k in range(1001)])
    gap, normal = separations(boxes[:-1], boxes[1:])
    assert gap == pytest.approx(np.ones(1000))
    assert (normal == [1.0, 0.0]).all()
    none, directions = separations(boxes[:0], boxes[:0])
    assert (none.shape, directions.shape) == ((0,), (0, 2))


def test_padding_changes_no_gap() -> None:
    triangle, box = Polygon([(0, 0), (4, 0), (0, 3)]), shapely.box(5, 1, 9, 2)
    assert padded([corners(triangle), corners(box)]).shape == (2, 4, 2)
    assert gap_between(triangle, box)[0] == pytest.approx(triangle.distance(box), abs=1.0)
    assert gap_between(triangle, box)[0] > 0
