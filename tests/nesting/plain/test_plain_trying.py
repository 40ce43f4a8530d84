"""As much as goes on one sheet: scraps, holes, notches, and what is left."""

import numpy as np
import pytest
from shapely import Polygon

from applique.cutting.nested import Stock, Turn, placed, rectangle
from applique.nesting.plain import lay_on, lay_upward
from tests.nesting.plain.plain_checks import assert_kept, jagged, never, task_of, times
from tests.shapes import circle, polygon, square

SCRAP = Stock(
    "scrap",
    Polygon(
        [(0, 0), (250, 20), (300, 200), (120, 260), (20, 180)],
        [[(100, 80), (160, 90), (150, 150), (90, 140)], [(200, 60), (210, 60), (205, 70)]],
    ),
    1,
)


@pytest.mark.parametrize("turn", ["any", "half", "none"])
@pytest.mark.parametrize("margin_mm", [0.0, 6.0])
def test_on_a_scrap_with_used_places_all_rules_are_kept(turn: Turn, margin_mm: float) -> None:
    shapes = jagged(np.random.default_rng(3), 30, 30.0)
    task = task_of(shapes, SCRAP, turn=turn, margin_mm=margin_mm)
    laid = lay_on(task, range(30), SCRAP, never)
    assert len(laid) > 12
    assert_kept(task, SCRAP, laid)


def test_only_the_shapes_asked_for_are_laid_and_none_twice() -> None:
    task = task_of([square(20.0)] * 40, SCRAP)
    laid = [it.index for it in lay_on(task, range(5, 40, 2), SCRAP, never)]
    assert len(set(laid)) == len(laid) > 10
    assert set(laid) <= set(range(5, 40, 2))


def test_the_largest_go_first() -> None:
    sheet = rectangle("sheet", 107.0, 60.0)
    task = task_of([square(20.0), square(45.0), square(44.0), square(46.0)], sheet)
    assert {it.index for it in lay_on(task, range(4), sheet, never)} == {1, 3}


def test_a_small_piece_goes_into_the_notch_of_a_large_one() -> None:
    # A U of 100 x 100 mm with a notch 40 mm wide; beside it 10 mm are left.
    u = polygon([(0, 0), (30, 0), (30, 70), (70, 70), (70, 0), (100, 0), (100, 100), (0, 100)])
    sheet = rectangle("sheet", 122.0, 122.0)
    task = task_of([u, square(30.0)], sheet, turn="half")
    laid = lay_on(task, range(2), sheet, never)
    assert_kept(task, sheet, laid)
    assert len(laid) == 2
    around = placed(task.shapes[0], laid[0]).envelope
    assert around.contains(placed(task.shapes[1], laid[1]))


def test_more_tries_lay_no_less() -> None:
    shapes = jagged(np.random.default_rng(11), 40, 40.0)
    sheet = rectangle("sheet", 200.0, 160.0)
    task = task_of(shapes, sheet)

    def area_mm2(tries: int) -> float:
        laid = lay_on(task, range(40), sheet, times(tries))
        assert_kept(task, sheet, laid)
        return sum(shapes[it.index].area for it in laid)

    assert area_mm2(5) >= area_mm2(0)


def test_where_nothing_fits_nothing_is_laid() -> None:
    task = task_of([circle(150.0)], SCRAP)
    assert lay_on(task, [0], SCRAP, never) == ()
    assert lay_on(task, [], SCRAP, never) == ()


def test_towards_the_upper_side_all_shapes_are_laid_or_none() -> None:
    sheet = rectangle("length", 200.0, 300.0)
    task = task_of([square(40.0)] * 8, sheet)
    laid = lay_upward(task, sheet)
    assert_kept(task, sheet, laid)
    assert sorted(it.index for it in laid) == list(range(8))
    assert max(placed(task.shapes[it.index], it).bounds[3] for it in laid) < 110.0
    assert lay_upward(task_of([square(40.0)] * 40, sheet), sheet) == ()
