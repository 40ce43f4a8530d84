import numpy as np
import pytest
import shapely
from hypothesis import given
from shapely import LinearRing

from applique.geometry.rings import FillRule, polygons_of, resolve, rings_of, snapped
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
    bow = np.array([[0, 0], [10, 10], [10, 0], [0, 10.0]])
    resolved = resolve([bow], "nonzero")
    assert resolved.crossing == pytest.approx((5, 5))
    assert resolved.shape.area == pytest.approx(50)
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
