import pytest
import shapely

from applique.geometry.rings import rings_of
from applique.geometry.stretches import outside
from applique.geometry.walk import Walk
from tests.shapes import circle, polygon, rectangle, square

RING = Walk(rings_of(square(10))[0], closed=True)


def total(region: shapely.Geometry) -> float:
    return sum(stretch.length_mm for stretch in outside(RING, region))


def test_a_region_elsewhere_leaves_the_whole_ring() -> None:
    (whole,) = outside(RING, square(5, x=20))
    assert (whole.start_mm, whole.stop_mm) == (0, 40)


def test_a_region_over_all_leaves_nothing() -> None:
    assert outside(RING, square(30, x=-10, y=-10)) == []


@pytest.mark.parametrize(
    ("region", "count", "length"),
    [
        (rectangle(-5, -5, 20, 10), 1, 20),
        (rectangle(3, -5, 4, 20), 2, 32),
        (rectangle(-1, -1, 3, 3), 1, 36),
        (circle(2, 5, 0), 1, 36),
    ],
)
def test_stretches_outside_a_region(region: shapely.Geometry, count: int, length: float) -> None:
    found = outside(RING, region)
    assert len(found) == count
    assert total(region) == pytest.approx(length, abs=0.01)


def test_a_stretch_may_run_on_past_the_first_vertex() -> None:
    # The ring begins at its corner (10, 0) and goes up, so (6, 10) is 14 mm along it.
    (stretch,) = outside(RING, rectangle(4, 8, 2, 4))
    assert (stretch.start_mm, stretch.stop_mm) == pytest.approx((16, 54))
    # Where the first vertex is covered, none does.
    (stretch,) = outside(RING, rectangle(8, -1, 4, 3))
    assert (stretch.start_mm, stretch.stop_mm) == pytest.approx((2, 38))


def test_stretches_come_in_order() -> None:
    comb = shapely.union_all([rectangle(x, -1, 1, 2) for x in (1, 4, 7)])
    found = outside(RING, comb)
    # Along the lower side, from (0, 0) at 30 mm to (10, 0) at 40 mm.
    assert [stretch.start_mm for stretch in found] == pytest.approx([32, 35, 38])
    assert [stretch.stop_mm for stretch in found] == pytest.approx([34, 37, 71])


def test_a_region_that_only_touches_cuts_nothing() -> None:
    tip = polygon([(10, 5), (15, 2), (15, 8)])
    (whole,) = outside(RING, tip)
    assert (whole.start_mm, whole.stop_mm) == (0, 40)
    (stretch,) = outside(RING, shapely.union(tip, rectangle(4, 8, 2, 4)))
    assert (stretch.start_mm, stretch.stop_mm) == pytest.approx((16, 54))


@pytest.mark.parametrize(("gap", "count"), [(0.3, 1), (0.49, 1), (0.51, 2)])
def test_slivers_are_taken_for_covered(gap: float, count: int) -> None:
    comb = shapely.union(rectangle(1, -1, 3, 2), rectangle(4 + gap, -1, 3, 2))
    found = outside(RING, comb)
    assert len(found) == count
    assert found[-1].length_mm == pytest.approx(40 - 6 - gap)


def test_a_ring_that_only_a_sliver_covers_is_whole_but_for_it() -> None:
    (stretch,) = outside(RING, rectangle(4, -1, 0.3, 2))
    assert stretch.length_mm == pytest.approx(39.7)
