"""Chosen shapes put on one sheet."""

import math
import time

import numpy as np
import pytest
import shapely
from shapely import affinity

from applique.cutting.nested import NestedSheet, NestingTask, Placement, rectangle
from applique.cutting.validity import faults_of
from applique.nesting import solver
from applique.nesting.filling import Shapes, fits_at_all, fullest, on_sheet, room_of
from applique.nesting.shapes import solver_shape
from applique.nesting.solver import Layout, SolverFailedError
from tests.shapes import ell, square

needs_solver = pytest.mark.skipif(not solver.is_there(), reason="the solver is not installed")

MAT = rectangle("mat", 100.0, 80.0)


def always() -> bool:
    return True


def shapes_of(*shapes, gap_mm: float = 3.0, angles=(0.0,)) -> Shapes:
    return Shapes(tuple(solver_shape(it, gap_mm) for it in shapes), (angles,) * len(shapes))


def test_a_room_is_the_sheet_less_its_margins_and_grown_by_the_gap() -> None:
    """Shapes grown by half the gap may reach that far into the margin."""
    room = room_of(MAT, 3.0, 6.0)
    assert (room.length, room.height, room.shift) == (91.0, 71.0, 4.5)
    assert room.area == 91.0 * 71.0
    assert room_of(MAT, 3.0, 45.0).height < 0


def test_a_strips_layout_is_told_on_the_sheet() -> None:
    layout = Layout(50.0, (Placement(0, 90.0, 30.0, 2.0), Placement(1, 0.0, 1.5, 1.5)))
    assert on_sheet(layout, (7, 4), room_of(MAT, 3.0, 6.0)) == (
        Placement(7, 90.0, 34.5, 6.5),
        Placement(4, 0.0, 6.0, 6.0),
    )


@pytest.mark.parametrize(
    ("width", "height", "angles", "fits"),
    [
        (80, 60, (0.0,), True),
        (60, 80, (0.0,), False),
        (60, 80, (0.0, 180.0), False),
        (60, 80, None, True),
        (90, 60, None, False),
        (80, 75, None, False),
    ],
)
def test_whether_a_shape_fits_alone(width: float, height: float, angles, fits: bool) -> None:
    box = shapely.box(0, 0, width, height)
    assert fits_at_all(box, angles, room_of(MAT, 0.0, 6.0)) is fits


def test_what_fits_by_a_hair_is_not_sure_to_fit() -> None:
    """The solver counts touching as an overlap."""
    assert not fits_at_all(shapely.box(0, 0, 88, 68), None, room_of(MAT, 0.0, 6.0))


@needs_solver
def test_of_two_choices_the_fuller_that_fits_is_laid() -> None:
    shapes = [square(20)] * 9
    every, some = list(range(9)), [0, 1, 2, 3]
    found = fullest(shapes_of(*shapes), [every, some], room_of(MAT, 3.0, 6.0), 2.0, 1, always)
    assert {it.index for it in found} == set(every)
    task = NestingTask(tuple("abcdefghi"), tuple(shapes), "none", (MAT,), 3.0, 6.0)
    assert faults_of(task, [NestedSheet(MAT, found)]) == []


@needs_solver
def test_if_too_much_was_chosen_the_next_choice_is_laid() -> None:
    shapes = shapes_of(*[square(40)] * 6)  # Two of them fit the sheet.
    found = fullest(shapes, [list(range(6)), [2, 5]], room_of(MAT, 3.0, 6.0), 1.0, 1, always)
    assert {it.index for it in found} == {2, 5}


@needs_solver
def test_if_nothing_fits_nothing_is_laid() -> None:
    shapes = shapes_of(*[square(40)] * 6)
    assert fullest(shapes, [list(range(6))], room_of(MAT, 3.0, 6.0), 0.5, 1, always) == ()


@needs_solver
def test_a_choice_for_which_the_solver_fails_stops_no_other() -> None:
    shapes = shapes_of(square(20), square(90))
    found = fullest(shapes, [[0, 1], [0]], room_of(MAT, 3.0, 6.0), 3.0, 1, always)
    assert {it.index for it in found} == {0}


@needs_solver
def test_if_the_solver_fails_for_every_choice_it_is_told() -> None:
    with pytest.raises(SolverFailedError):
        fullest(shapes_of(square(90)), [[0], [0]], room_of(MAT, 3.0, 6.0), 10.0, 1, always)


@needs_solver
def test_it_ends_when_it_may_not_go_on() -> None:
    begun = time.monotonic()
    shapes = shapes_of(*[ell()] * 12, angles=None)
    found = fullest(shapes, [list(range(12))], room_of(MAT, 3.0, 6.0), 60.0, 1, lambda: False)
    assert found == ()
    assert time.monotonic() - begun < 5.0


def test_areas_are_told_with_half_the_gap_round_each_shape() -> None:
    shapes = shapes_of(square(20), square(10))
    grown = [float(affinity.translate(square(side)).buffer(1.5).area) for side in (10, 20)]
    assert np.allclose(shapes.areas([1, 0]), grown, rtol=0.05)
    assert all(map(math.isfinite, shapes.areas([])))
