import pytest
import shapely

from applique.geometry.rings import rings_of
from applique.geometry.stretches import outside
from applique.geometry.walk import Walk
from tests.shapes import circle, rectangle, square

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
    (stretch,) = outside(RING, rectangle(4, 8, 2, 4))
    assert stretch.stop_mm > 40 or stretch.start_mm == 0
    assert stretch.length_mm == pytest.approx(38)


def test_slivers_are_taken_for_covered() -> None:
    comb = shapely.union(rectangle(1, -1, 3, 2), rectangle(4.3, -1, 3, 2))
    assert len(outside(RING, comb)) == 1
