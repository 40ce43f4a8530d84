"""Sheets filled one by one, and shapes shared out evenly."""

import time
from collections import Counter

import pytest

from applique.cutting.nested import NestedSheet, NestingTask, Stock, rectangle
from applique.cutting.validity import faults_of
from applique.nesting import solver
from applique.nesting.search import Search
from tests.shapes import ell, polygon, square, star

pytestmark = pytest.mark.skipif(not solver.is_there(), reason="the solver is not installed")

MAT = rectangle("mat", 150.0, 150.0)
MIXED = (ell(), ell(40, 15), square(25), star(5), polygon([(0, 0), (50, 0), (10, 30)]))


def task_of(*shapes, **changed) -> NestingTask:
    names = tuple(f"piece {k}" for k in range(len(shapes)))
    known = {"turn": "any", "stocks": (MAT,), "gap_mm": 3.0, "margin_mm": 6.0}
    return NestingTask(names, shapes, **(known | changed))


def search_of(task: NestingTask, seconds: float, may_go_on=lambda: True) -> Search:
    return Search(task, time.monotonic() + seconds, may_go_on)


def used(sheets: tuple[NestedSheet, ...]) -> Counter[str]:
    return Counter(sheet.stock.name for sheet in sheets)


def test_all_shapes_are_laid_on_as_many_sheets_as_they_need() -> None:
    task = task_of(*MIXED * 6)
    sheets = search_of(task, 1.5).one_by_one(range(30))
    assert faults_of(task, sheets) == []
    assert 2 <= len(sheets) <= 3  # Their area alone needs 1.1 sheets.


def test_some_of_the_shapes_are_laid_if_only_they_are_asked_for() -> None:
    sheets = search_of(task_of(*MIXED), 1.0).one_by_one([1, 3])
    assert sorted(it.index for sheet in sheets for it in sheet.placements) == [1, 3]


def test_sheets_that_are_few_are_used_first_and_not_more_than_there_are() -> None:
    stocks = (MAT, rectangle("offcut", 100.0, 100.0, 2))
    task = task_of(*[square(40)] * 14, stocks=stocks)
    sheets = search_of(task, 1.5).one_by_one(range(14))
    assert faults_of(task, sheets) == []
    assert used(sheets)["offcut"] == 2  # Four squares lie on each.
    assert used(sheets)["mat"] == 1


def test_what_is_left_goes_on_the_smallest_sheet_that_holds_it() -> None:
    stocks = (MAT, rectangle("half", 150.0, 75.0), rectangle("quarter", 75.0, 75.0))
    sheets = search_of(task_of(ell(), square(20), stocks=stocks), 1.0).one_by_one(range(2))
    assert used(sheets) == {"quarter": 1}


def test_a_shape_as_large_as_the_room_is_laid() -> None:
    """The solver could not: it counts touching as an overlap."""
    task = task_of(square(138), square(20))
    sheets = search_of(task, 1.0).one_by_one(range(2))
    assert faults_of(task, sheets) == []
    assert len(sheets) == 2


def test_without_time_the_plain_packer_lays_them() -> None:
    task = task_of(*MIXED)
    sheets = search_of(task, 60.0, lambda: False).one_by_one(range(5))
    assert faults_of(task, sheets) == []


def test_a_solver_that_fails_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("applique.nesting.solver.sys.executable", "/bin/false")
    search = search_of(task_of(*MIXED), 5.0)
    with pytest.raises(solver.SolverFailedError):
        search.one_by_one(range(5))
    with pytest.raises(solver.SolverFailedError):
        search.shared_out(range(5), 1, 0)


def test_shapes_are_shared_out_evenly() -> None:
    task = task_of(*[square(20)] * 40)  # 36 lie on a sheet.
    sheets = search_of(task, 2.0).shared_out(range(40), 2, 0)
    assert faults_of(task, sheets) == []
    assert len(sheets) == 2


def test_sharing_out_among_too_few_gives_nothing() -> None:
    task = task_of(*[square(40)] * 14)  # Nine lie on a sheet.
    assert search_of(task, 1.0).shared_out(range(14), 1, 0) == ()


def test_scraps_of_no_rectangular_form_are_not_its_business() -> None:
    triangle = Stock("scrap", polygon([(0, 0), (200, 0), (0, 200)]).geoms[0], 1)
    sheets = search_of(task_of(*MIXED, stocks=(triangle, MAT)), 1.0).one_by_one(range(5))
    assert used(sheets) == {"mat": 1}
