"""Small shapes in the room that remains on a sheet."""

import shapely

from applique.cutting.nested import NestedSheet, NestingTask, Placement, Stock, placed, rectangle
from applique.cutting.validity import faults_of
from applique.nesting.topping import topped_up
from tests.shapes import circle, ring, square

MAT = rectangle("mat", 110.0, 110.0)
IN_THE_MIDDLE = Placement(0, 0.0, 55.0, 55.0)


def task_of(*shapes, **changed) -> NestingTask:
    names = tuple(f"piece {k}" for k in range(len(shapes)))
    known = {"turn": "any", "stocks": (MAT,), "gap_mm": 3.0, "margin_mm": 6.0}
    return NestingTask(names, shapes, **(known | changed))


def topped(task: NestingTask, first: Placement = IN_THE_MIDDLE) -> NestedSheet:
    sheet = topped_up(task, NestedSheet(MAT, (first,)), list(range(1, len(task.shapes))))
    laid = sorted(it.index for it in sheet.placements)
    some = task_of(*[task.shapes[k] for k in laid], turn=task.turn)
    renumbered = [
        Placement(laid.index(it.index), it.angle_degrees, it.x_mm, it.y_mm)
        for it in sheet.placements
    ]
    assert faults_of(some, [NestedSheet(MAT, tuple(renumbered))]) == []
    return sheet


def test_a_small_shape_goes_into_the_hole_of_a_ring() -> None:
    task = task_of(ring(48, 30), square(30))
    assert topped(task).placements[0] == IN_THE_MIDDLE
    small = placed(task.shapes[1], topped(task).placements[1])
    assert shapely.Point(55, 55).buffer(27.0).covers(small)


def test_each_corner_beside_a_circle_takes_a_square() -> None:
    """The far corner of one of side a is (49 - a) sqrt 2 from the centre, which must be 51 mm: up
    to 12.9 mm fit."""
    sheet = topped(task_of(circle(48), *[square(12)] * 5))
    assert len(sheet.placements) == 1 + 4


def test_what_is_too_large_is_left() -> None:
    sheet = topped(task_of(ring(48, 30), square(60), circle(29)))
    assert [it.index for it in sheet.placements] == [0]


def test_the_turn_rule_is_kept() -> None:
    """A bar fits beside a block only if it stands."""
    block, bar = square(75), shapely.MultiPolygon([shapely.box(0, 0, 90, 15)])
    first = Placement(0, 0.0, 6.0, 6.0)
    narrow = shapely.MultiPolygon([shapely.box(0, 0, 75, 98)])
    assert len(topped(task_of(narrow, bar, turn="any"), first).placements) == 2
    assert len(topped(task_of(narrow, bar, turn="half"), first).placements) == 1
    assert len(topped(task_of(block, bar, turn="none"), first).placements) == 2


def test_nothing_left_changes_nothing() -> None:
    sheet = NestedSheet(MAT, (IN_THE_MIDDLE,))
    assert topped_up(task_of(ring(48, 30)), sheet, []) is sheet


def test_a_full_sheet_stays_as_it_is() -> None:
    sheet = topped(task_of(square(98), square(1)), Placement(0, 0.0, 6.0, 6.0))
    assert len(sheet.placements) == 1


def test_the_sheet_may_be_a_scrap() -> None:
    """A scrap with a hole: what is laid keeps clear of both."""
    scrap = Stock("scrap", shapely.box(0, 0, 110, 110).difference(shapely.box(60, 60, 90, 90)))
    task = task_of(square(40), *[square(18)] * 12, stocks=(scrap,))
    sheet = topped_up(task, NestedSheet(scrap, (Placement(0, 0.0, 6.0, 6.0),)), range(1, 13))
    count = len(sheet.placements)
    assert count > 4
    laid = sorted(sheet.placements, key=lambda it: it.index)
    assert [it.index for it in laid[:2]] == [0, 1]
    for it in sheet.placements:
        away = placed(task.shapes[it.index], it).distance(scrap.shape.boundary)
        assert away >= 6.0 - 0.001
