"""Shapes laid as their boxes, in rows."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon

from applique.cutting.nested import NestingTask, Turn, rectangle
from applique.cutting.validity import faults_of
from applique.nesting.boxes import nest_in_rows
from applique.nesting.sheets import nest


def task_of(
    shapes: list[shapely.Polygon],
    side_mm: float,
    gap_mm: float,
    margin_mm: float,
    turn: Turn = "any",
    count: int | None = None,
) -> NestingTask:
    return NestingTask(
        tuple(str(number) for number in range(len(shapes))),
        tuple(MultiPolygon([shape]) for shape in shapes),
        turn,
        (rectangle("mat", side_mm, side_mm, count),),
        gap_mm,
        margin_mm,
    )


@pytest.mark.parametrize(
    ("number", "side_mm", "mat_mm", "gap_mm", "margin_mm", "sheets"),
    [
        # By hand: so many sides and gaps make just the mat less its margins.
        (4, 146.5, 305.0, 0.0, 6.0, 1),
        (4, 145.0, 305.0, 3.0, 6.0, 1),
        (18, 100.0, 300.0, 0.0, 0.0, 2),
        (18, 95.6, 305.0, 3.0, 6.0, 2),
        (10, 95.7, 305.0, 3.0, 6.0, 3),
    ],
)
def test_a_grid_of_squares_fills_a_mat_to_the_last(
    number: int, side_mm: float, mat_mm: float, gap_mm: float, margin_mm: float, sheets: int
) -> None:
    task = task_of([shapely.box(0, 0, side_mm, side_mm)] * number, mat_mm, gap_mm, margin_mm)
    rows = nest_in_rows(task)
    assert faults_of(task, rows) == []
    assert len(rows) == sheets
    assert len(nest(task, 0.0, lambda progress: False).sheets) <= sheets


def test_slanted_rectangles_are_laid_upright_where_they_may_turn() -> None:
    slanted = shapely.affinity.rotate(shapely.box(0, 0, 140, 40), 33.0)
    free = task_of([slanted] * 12, 300.0, 2.0, 5.0)
    held = task_of([slanted] * 12, 300.0, 2.0, 5.0, "none")
    assert faults_of(free, nest_in_rows(free)) == []
    assert faults_of(held, nest_in_rows(held)) == []
    assert len(nest_in_rows(free)) == 1  # Two across and six down: 282 of 290 and 250 of 290.
    assert len(nest_in_rows(held)) > 1


@pytest.mark.parametrize("turn", ["any", "half", "none"])
def test_what_is_laid_in_rows_stands_the_check(turn: Turn) -> None:
    generator = np.random.default_rng(5)
    shapes = [
        shapely.affinity.rotate(shapely.box(0, 0, *generator.uniform(5, 90, 2)), angle)
        for angle in generator.uniform(0, 360, 60)
    ]
    task = task_of(shapes, 305.0, 3.0, 6.0, turn)
    assert faults_of(task, nest_in_rows(task)) == []


def test_there_are_no_rows_for_what_is_too_large_or_on_sheets_in_limited_number() -> None:
    assert nest_in_rows(task_of([shapely.box(0, 0, 101, 10)], 100.0, 0.0, 0.0, "none")) == ()
    assert nest_in_rows(task_of([shapely.box(0, 0, 10, 10)], 100.0, 0.0, 0.0, count=3)) == ()
    assert nest_in_rows(task_of([], 100.0, 0.0, 0.0)) == ()
