"""The shortest strip."""

import itertools
import time

import pytest
import shapely
from shapely import Polygon, affinity

from applique.cutting.nested import Placement
from applique.nesting import solver
from applique.nesting.solver import Layout, SolverFailedError
from applique.nesting.strip import Strip, shaken_layout, shortest
from tests.shapes import ell, square

needs_solver = pytest.mark.skipif(not solver.is_there(), reason="the solver is not installed")

ELL = ell(30, 12).geoms[0]
SQUARE = square(20).geoms[0]


def strip_of(*shapes: Polygon, height: float = 41.0, turns=(0.0,)) -> Strip:
    return Strip(shapes, (turns,) * len(shapes), height)


def lying(strip: Strip, layout: Layout) -> list[Polygon]:
    return [
        affinity.translate(
            affinity.rotate(strip.shapes[it.index], it.angle_degrees, origin=(0, 0)),
            it.x_mm,
            it.y_mm,
        )
        for it in layout.placements
    ]


def check(strip: Strip, layout: Layout) -> None:
    """Every shape once, none over another, all within the strip's height and length."""
    assert sorted(it.index for it in layout.placements) == list(range(len(strip.shapes)))
    shapes = lying(strip, layout)
    for one, other in itertools.combinations(shapes, 2):
        assert one.intersection(other).area < 1e-6
    inside = shapely.box(0, 0, layout.length_mm, strip.height).buffer(1e-5)
    assert all(inside.covers(shape) for shape in shapes)


def test_the_items_are_the_shapes_corners_none_twice() -> None:
    item = strip_of(ELL, turns=(0.0, 180.0)).items()[0]
    assert item.points.shape == (6, 2)
    assert Polygon(item.points).equals(ELL)
    assert item.angles == (0.0, 180.0)


def test_a_shaken_layout_is_shorter_and_stays_one() -> None:
    strip = strip_of(SQUARE, SQUARE, ELL)
    loose = Layout(
        84.0, (Placement(0, 0, 3, 1), Placement(1, 0, 24, 20), Placement(2, 180.0, 84, 40))
    )
    check(strip, loose)
    found = shaken_layout(strip, loose, lambda: True)
    check(strip, found)
    assert found.length_mm < 78.0
    assert [it.angle_degrees for it in found.placements] == [0, 0, 180.0]


def test_placements_may_stand_in_any_order() -> None:
    strip = strip_of(SQUARE, ELL, height=30.5)
    loose = Layout(60.0, (Placement(1, 0, 25, 0), Placement(0, 0, 2, 3)))
    found = shaken_layout(strip, loose, lambda: True)
    assert [it.index for it in found.placements] == [1, 0]
    check(strip, found)
    assert found.length_mm == pytest.approx(50.0, abs=0.01)


@needs_solver
def test_squares_are_packed_without_loss() -> None:
    strip = strip_of(*[SQUARE] * 6)
    found = shortest(strip, 2.0, 1, 60.5, lambda length: True)
    assert found is not None
    check(strip, found)
    assert found.length_mm == pytest.approx(60.0, abs=0.05)


@needs_solver
def test_it_ends_as_soon_as_the_strip_is_short_enough() -> None:
    begun = time.monotonic()
    found = shortest(strip_of(*[SQUARE] * 6), 30.0, 1, 200.0, lambda length: True)
    assert found is not None
    assert found.length_mm <= 200.0
    assert time.monotonic() - begun < 15.0


@needs_solver
def test_it_hears_the_length_and_ends_when_told() -> None:
    heard: list[float] = []

    def may_go_on(length: float) -> bool:
        heard.append(length)
        return length == float("inf")

    begun = time.monotonic()
    strip = strip_of(ELL, ELL, SQUARE, turns=(0.0, 180.0))
    found = shortest(strip, 30.0, 1, 0.0, may_go_on)
    assert time.monotonic() - begun < 15.0
    assert found is not None
    check(strip, found)
    assert found.length_mm <= heard[-1]


@needs_solver
def test_where_the_solver_fails_it_is_told() -> None:
    """A shape higher than the strip makes it panic."""
    with pytest.raises(SolverFailedError):
        shortest(strip_of(SQUARE, height=10.0), 5.0, 1, 0.0, lambda length: True)


@needs_solver
def test_no_time_for_a_layout_is_no_failure() -> None:
    strip = strip_of(*[ELL] * 30, turns=None)
    assert shortest(strip, 30.0, 1, 0.0, lambda length: False) is None
