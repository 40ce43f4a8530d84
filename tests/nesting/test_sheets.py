"""The fewest sheets: valid always, whatever the solver does."""

import time
from collections import Counter

import pytest
import shapely

from applique.cutting.nested import Nesting, NestingTask, Placement, Stock, rectangle
from applique.cutting.validity import faults_of
from applique.errors import InputError
from applique.nesting import solver
from applique.nesting.sheets import PLAIN, PLAIN_SINCE_FAILED, SOLVER, Progress, nest
from tests.shapes import ell, polygon, ring, square, star

needs_solver = pytest.mark.skipif(not solver.is_there(), reason="the solver is not installed")

MAT = rectangle("mat", 150.0, 150.0)
MIXED = (ell(), ell(40, 15), square(25), star(5), polygon([(0, 0), (50, 0), (10, 30)]))


def task_of(*shapes, **changed) -> NestingTask:
    names = tuple(f"piece {k}" for k in range(len(shapes)))
    known = {"turn": "any", "stocks": (MAT,), "gap_mm": 3.0, "margin_mm": 6.0}
    return NestingTask(names, shapes, **(known | changed))


def nested(task: NestingTask, seconds: float = 1.0) -> Nesting:
    """A nesting that stands the check."""
    found = nest(task, seconds, lambda progress: True)
    assert faults_of(task, found.sheets) == []
    assert found.bound <= len(found.sheets)
    return found


@pytest.mark.parametrize("turn", ["any", "half", "none"])
def test_every_shape_lies_once_free_of_others_and_turned_by_the_rule(turn: str) -> None:
    found = nested(task_of(*MIXED * 5, turn=turn), 1.5)
    assert len(found.sheets) <= 3


@needs_solver
def test_the_solver_is_named_where_it_worked() -> None:
    assert nested(task_of(*MIXED)).packer == SOLVER


def test_without_the_solver_the_plain_packer_takes_over_and_is_named(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("applique.nesting.solver.is_there", lambda: False)
    found = nested(task_of(*MIXED * 3), 0.5)
    assert found.packer == PLAIN


@needs_solver
def test_a_solver_that_always_fails_leaves_the_plain_nesting_and_is_told_of(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("applique.nesting.solver.sys.executable", "/bin/false")
    begun = time.monotonic()
    task = task_of(*MIXED * 3)
    found = nested(task, 60.0)
    assert found.packer == PLAIN_SINCE_FAILED
    plainly = nest(task, 0.0, lambda progress: True)
    assert [it.placements for it in found.sheets] == [it.placements for it in plainly.sheets]
    assert time.monotonic() - begun < 20.0  # It is not tried again and again.


def test_without_any_time_the_plain_packer_lays_everything() -> None:
    assert nested(task_of(*MIXED * 3), 0.0).packer == PLAIN


def test_one_piece_as_large_as_the_room_is_laid() -> None:
    found = nested(task_of(square(138)))
    assert found.sheets[0].placements[0] == Placement(0, 0.0, 6.0, 6.0)
    assert len(nested(task_of(square(138), square(20), turn="half")).sheets) == 2


def test_a_piece_too_large_for_every_sheet_is_named_with_the_size_it_needs() -> None:
    large = shapely.MultiPolygon([shapely.box(0, 0, 200, 30)])
    with pytest.raises(InputError, match=r"piece 1 \(needs 212.0 x 42.0 mm, margin included\)"):
        nest(task_of(square(20), large, turn="none"), 1.0, lambda progress: True)


def test_no_more_sheets_are_used_than_there_are() -> None:
    stocks = (rectangle("offcut", 100.0, 100.0, 2), MAT)
    found = nested(task_of(*[square(40)] * 14, stocks=stocks))
    used = Counter(sheet.stock.name for sheet in found.sheets)
    assert used["offcut"] <= 2


def test_too_few_sheets_are_told_of() -> None:
    stocks = (rectangle("offcut", 100.0, 100.0, 2),)
    with pytest.raises(InputError, match="Give more to cut from"):
        nest(task_of(*[square(40)] * 9, stocks=stocks), 0.5, lambda progress: True)


@needs_solver
def test_the_plain_nesting_stands_if_the_solver_runs_out_of_sheets(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Four squares lie on each of the two sheets there are; a solver that lays one on the first
    leaves more than the second holds."""

    def one_alone(shapes, choices, *given) -> tuple[Placement, ...]:
        return (Placement(choices[0][0], 0.0, 6.0, 6.0),)

    monkeypatch.setattr("applique.nesting.search.fullest", one_alone)
    monkeypatch.setattr("applique.nesting.search.topped_up", lambda task, sheet, left: sheet)
    stocks = (rectangle("offcut", 100.0, 100.0, 2),)
    assert len(nested(task_of(*[square(40)] * 8, stocks=stocks)).sheets) == 2


def test_scraps_are_used_before_sheets() -> None:
    triangle = Stock("scrap", polygon([(0, 0), (120, 0), (0, 120)]).geoms[0], 1)
    holed = Stock("holed", ring(70, 30).geoms[0], 1)
    holed = Stock("holed", shapely.affinity.translate(holed.shape, 70, 70), 1)
    found = nested(task_of(*MIXED * 3, stocks=(MAT, triangle, holed)))
    assert {"scrap", "holed"} <= {sheet.stock.name for sheet in found.sheets}


def test_progress_tells_the_best_so_far_and_the_bound() -> None:
    heard: list[Progress] = []

    def told(progress: Progress) -> bool:
        heard.append(progress)
        return True

    found = nest(task_of(*MIXED * 6), 1.0, told)
    assert heard
    assert {progress.bound for progress in heard} == {found.bound}
    counts = [progress.found for progress in heard]
    assert counts == sorted(counts, reverse=True)
    assert counts[-1] >= len(found.sheets)


def test_it_ends_when_told_with_what_it_has() -> None:
    begun = time.monotonic()
    task = task_of(*MIXED * 6)
    found = nest(task, 60.0, lambda progress: False)
    assert time.monotonic() - begun < 15.0
    assert faults_of(task, found.sheets) == []


@needs_solver
def test_it_ends_in_the_midst_of_the_solvers_work() -> None:
    begun = time.monotonic()
    task = task_of(*MIXED * 6)
    found = nest(task, 60.0, lambda progress: time.monotonic() - begun < 0.8)
    assert time.monotonic() - begun < 15.0
    assert faults_of(task, found.sheets) == []
