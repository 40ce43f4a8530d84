import numpy as np
import pytest
import shapely
from hypothesis import given
from shapely import LinearRing

from applique.geometry.rings import (
    FillRule,
    as_multipolygon,
    polygons_of,
    resolve,
    rings_of,
    snapped,
)
from tests.strategies import star_shapes


def box(x: float, y: float, side: float) -> np.ndarray:
    return np.array([[x, y], [x + side, y], [x + side, y + side], [x, y + side]])


# Winding numbers by hand; SVG 2, section 13.4.2 (fill-rule).
@pytest.mark.parametrize(
    ("rings", "rule", "area"),
    [
        ([box(0, 0, 60)], "nonzero", 3600),
        ([box(0, 0, 60)[::-1]], "nonzero", 3600),
        ([box(0, 0, 60), box(10, 10, 10)], "nonzero", 3600),
        ([box(0, 0, 60), box(10, 10, 10)[::-1]], "nonzero", 3500),
        ([box(0, 0, 60), box(10, 10, 10)], "evenodd", 3500),
        ([box(0, 0, 60), box(10, 10, 10), box(12, 12, 2)], "evenodd", 3504),
        ([box(0, 0, 10), box(20, 0, 10)], "evenodd", 200),
        ([box(0, 0, 10), box(5, 0, 10)], "nonzero", 150),
        ([box(0, 0, 10), box(5, 0, 10)], "evenodd", 100),
    ],
)
def test_fill_rules(rings: list[np.ndarray], rule: FillRule, area: float) -> None:
    assert resolve(rings, rule).shape.area == pytest.approx(area)


def test_a_pentagram_is_whole_by_one_rule_and_hollow_by_the_other() -> None:
    corners = [[np.cos(a), np.sin(a)] for a in np.arange(5) * 4 * np.pi / 5]
    line = 20 * np.array(corners)
    whole, hollow = resolve([line], "nonzero"), resolve([line], "evenodd")
    # The inner pentagon is the outer one shrunk by the golden ratio squared.
    pentagon = 2.5 * 20**2 * np.sin(2 * np.pi / 5) * ((3 - 5**0.5) / 2) ** 2
    assert whole.shape.area - hollow.shape.area == pytest.approx(pentagon, abs=0.02)
    assert whole.crossing is not None


def test_a_crossing_is_told_with_its_place() -> None:
    bow = np.array([[0, 0], [20, 10], [20, 0], [0, 10.0]])
    resolved = resolve([bow], "nonzero")
    assert resolved.crossing == pytest.approx((10, 5))
    assert resolved.shape.area == pytest.approx(100)
    assert set(resolved.origin) == {None}


def test_kept_rings_know_where_they_come_from() -> None:
    resolved = resolve([box(30, 30, 5), box(0, 0, 60), box(10, 10, 10)], "evenodd")
    assert resolved.origin == (1, 0, 2)
    assert resolved.crossing is None


def test_nothing_is_left_of_a_ring_without_area() -> None:
    assert resolve([np.array([[0, 0], [10, 0], [5, 0.0]])], "nonzero").shape.is_empty
    assert resolve([np.array([[0.0, 0.0], [10, 0]])], "nonzero").shape.is_empty
    assert resolve([], "nonzero").shape.is_empty


def test_points_snap_to_a_thousandth_and_repeats_vanish() -> None:
    ring = snapped(np.array([[0.0004, 0], [0.0001, 0], [9.99951, 0], [5, 5]]))
    assert ring.tolist() == [[0, 0], [10.0, 0], [5, 5]]


@given(star_shapes())
def test_the_fabric_lies_on_the_left_of_every_ring(shape: shapely.MultiPolygon) -> None:
    holed = shape.difference(shape.buffer(-3).buffer(-0.5))
    for polygon in polygons_of(holed):
        outer, *holes = rings_of(polygon)
        assert LinearRing(outer).is_ccw
        assert not any(LinearRing(hole).is_ccw for hole in holes)


def test_crumbs_are_dropped_and_holes_as_small_filled() -> None:
    resolved = resolve([box(0, 0, 0.3), box(10, 0, 20)], "nonzero")
    assert resolved.shape.area == pytest.approx(400)
    assert resolved.origin == (1,)
    holed = resolve([box(0, 0, 20), box(5, 5, 0.5), box(10, 10, 1)], "evenodd")
    assert holed.shape.area == pytest.approx(399)
    assert holed.origin == (0, 2)
    alone = resolve([box(0, 0, 0.3)], "nonzero")
    assert alone.shape.area == pytest.approx(0.09)


def test_specks_and_holes_as_small_are_no_part_of_a_shape() -> None:
    """A speck has less than 0.01 mm2."""
    less, more = box(30, 0, 0.099), box(30, 0, 0.101)
    sheet = shapely.Polygon(box(0, 0, 20), [box(5, 5, 0.099), box(9, 9, 0.101)])
    assert as_multipolygon(shapely.MultiPolygon([sheet, shapely.Polygon(less)])).equals(
        shapely.Polygon(box(0, 0, 20), [box(9, 9, 0.101)])
    )
    assert len(as_multipolygon(shapely.MultiPolygon([sheet, shapely.Polygon(more)])).geoms) == 2
    assert resolve([box(0, 0, 20), box(5, 5, 0.099)], "evenodd").shape.area == 400
    assert resolve([less], "nonzero").shape.is_empty
    assert resolve([more], "nonzero").shape.area == pytest.approx(0.101**2)


def test_the_crumb_that_a_crossing_leaves_is_dropped() -> None:
    """Two triangles tip to tip at (0, 0); the left one has s x s mm2."""
    for s, area in ((0.7, 100), (0.72, 100 + 0.72**2)):
        bow = np.array([[-s, -s], [10, 10], [10, -10], [-s, s]])
        resolved = resolve([bow], "nonzero")
        assert resolved.crossing == pytest.approx((0, 0))
        assert resolved.shape.area == pytest.approx(area, abs=1e-3)


def test_a_crumb_of_a_hole_is_filled_where_rings_cross() -> None:
    """Two squares share 2 x 2 mm, which is left out; so is a small square inside, if it counts."""
    squares = [box(0, 0, 20), box(18, 18, 10)]
    for side, area in ((0.7, 492), (0.72, 492 - 0.72**2)):
        resolved = resolve([*squares, box(5, 5, side)], "evenodd")
        assert resolved.crossing is not None
        assert resolved.shape.area == pytest.approx(area, abs=1e-3)
        assert set(resolved.origin) == {None}
        assert len(resolved.origin) == len(rings_of(resolved.shape))


def test_rings_that_cross_each_other_tell_where() -> None:
    resolved = resolve([box(40, 0, 5), box(0, 0, 10), box(5, 5, 10)], "nonzero")
    assert resolved.crossing in ((10, 5), (5, 10))
    assert resolved.shape.area == pytest.approx(25 + 175)


def test_a_ring_in_a_hole_is_a_part_of_its_own() -> None:
    rings = [box(20, 20, 5), box(10, 10, 30), box(0, 0, 60), box(50, 2, 4)]
    resolved = resolve(rings, "evenodd")
    assert resolved.shape.area == 3600 - 900 + 25 - 16
    assert [len(part.interiors) for part in resolved.shape.geoms] == [0, 2]
    assert resolved.origin == (0, 2, 1, 3)


def test_holes_stay_holes_where_rings_cross() -> None:
    """An island in a hole in a square that another square crosses."""
    rings = [box(0, 0, 30), box(5, 5, 20), box(10, 10, 10), box(29, 29, 10)]
    resolved = resolve(rings, "evenodd")
    assert resolved.shape.area == pytest.approx(900 - 400 + 100 + 100 - 2)


def test_a_winding_that_comes_to_nought_is_no_fabric() -> None:
    """SVG 2, nonzero: two rings the same way round and one the other way inside them."""
    rings = [box(0, 0, 60), box(10, 10, 40), box(20, 20, 20)[::-1], box(25, 25, 10)[::-1]]
    resolved = resolve(rings, "nonzero")
    assert resolved.shape.area == 3600 - 100
    assert resolved.origin == (0, 3)


def test_a_ring_without_area_does_no_harm_where_others_cross() -> None:
    flat = np.array([[0, 40], [10, 40], [5, 40.0]])
    for rings in ([flat, box(0, 0, 10), box(5, 5, 10)], [box(0, 0, 10), box(5, 5, 10), flat]):
        assert resolve(rings, "nonzero").shape.area == pytest.approx(175)
