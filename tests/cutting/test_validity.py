"""The check of a nesting finds every fault, and none where there is none."""

import math
import time

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, affinity

from applique.cutting.nested import NestedSheet, NestingTask, Placement, Stock, placed, rectangle
from applique.cutting.validity import faults_of, faults_of_curves
from applique.geometry.curves import polyline, transformed
from applique.geometry.fit import fit_ring
from applique.svg.paths import parse_path
from tests.shapes import circle, ell, polygon, ring, square
from tests.strategies import star_shapes

MAT = rectangle("mat", 100, 100)


def task_of(*shapes: MultiPolygon, **changed) -> NestingTask:
    names = tuple(f"piece {k + 1}" for k in range(len(shapes)))
    known = {"turn": "any", "stocks": (MAT,), "gap_mm": 3.0, "margin_mm": 6.0}
    return NestingTask(names, shapes, **(known | changed))


def sheet_of(*places: tuple[float, float, float], stock: Stock = MAT) -> NestedSheet:
    laid = tuple(Placement(k, angle, x, y) for k, (angle, x, y) in enumerate(places))
    return NestedSheet(stock, laid)


def test_a_nesting_that_keeps_gap_and_margin_exactly_has_no_fault() -> None:
    task = task_of(square(20), square(20), square(20))
    assert faults_of(task, [sheet_of((0, 6, 6), (0, 29, 6), (90, 26, 29))]) == []


@pytest.mark.parametrize(
    ("second", "fault"),
    [
        ((0, 28.9, 6), "piece 1 and piece 2 on sheet 1 (mat) are 2.900 mm apart, not 3 mm"),
        ((0, 26, 6), "piece 1 and piece 2 on sheet 1 (mat) touch; they must be 3 mm apart"),
        ((0, 25, 6), "piece 1 and piece 2 on sheet 1 (mat) overlap over 20.000 mm2"),
        ((0, 75, 6), "piece 2 on sheet 1 (mat) is 5.000 mm from the border, not 6 mm"),
        ((0, 90, 6), "piece 2 on sheet 1 (mat) reaches 10.000 mm beyond its border"),
        ((0, math.nan, 6), "the place of piece 2 on sheet 1 (mat) is no number"),
    ],
)
def test_a_fault_names_the_pieces_the_sheet_and_the_distance(
    second: tuple[float, float, float], fault: str
) -> None:
    task = task_of(square(20), square(20))
    assert fault in faults_of(task, [sheet_of((0, 6, 6), second)])


def test_a_thousandth_is_let_pass_and_two_are_not() -> None:
    task = task_of(square(20), square(20))
    assert faults_of(task, [sheet_of((0, 5.9991, 6), (0, 28.9982, 6))]) == []
    assert len(faults_of(task, [sheet_of((0, 5.998, 6), (0, 28.996, 6))])) == 2


def test_touching_is_no_overlap_where_no_gap_is_asked_for() -> None:
    task = task_of(square(20), square(20), gap_mm=0.0, margin_mm=0.0)
    assert faults_of(task, [sheet_of((0, 0, 0), (0, 20, 0))]) == []
    assert faults_of(task, [sheet_of((0, 0, 0), (0, 19.9995, 0))]) == []
    (fault,) = faults_of(task, [sheet_of((0, 0, 0), (0, 19.99, 0))])
    assert "overlap over 0.200 mm2" in fault


def test_every_shape_lies_exactly_once() -> None:
    task = task_of(square(10), square(10))
    twice = NestedSheet(MAT, (Placement(0, 0, 6, 6), Placement(0, 0, 40, 6)))
    assert faults_of(task, [twice]) == [
        "piece 1 lies on the sheets 2 times, not once",
        "piece 2 lies on no sheet",
    ]
    stray = NestedSheet(MAT, (Placement(0, 0, 6, 6), Placement(1, 0, 40, 6), Placement(7, 0, 0, 0)))
    assert faults_of(task, [stray]) == ["there is no shape number 7, but it has a place"]


@pytest.mark.parametrize(
    ("turn", "angle", "is_fault"),
    [
        ("any", 37.5, False),
        ("half", 180, False),
        ("half", -180, False),
        ("half", 90, True),
        ("none", 360, False),
        ("none", 180, True),
        ("none", 0.001, True),
    ],
)
def test_the_turn_rule_is_kept(turn: str, angle: float, is_fault: bool) -> None:
    found = faults_of(task_of(circle(10), turn=turn), [sheet_of((angle, 50, 50))])
    assert bool(found) == is_fault
    assert all("piece 1 on sheet 1 (mat) is turned by" in fault for fault in found)


def test_no_more_sheets_are_used_than_there_are() -> None:
    few = rectangle("mat", 100, 100, count=1)
    sheets = [NestedSheet(few, (Placement(k, 0, 6, 6),)) for k in range(2)]
    task = task_of(square(10), square(10), stocks=(few,))
    assert faults_of(task, sheets) == ["2 sheets of mat are used, but there are 1"]
    assert faults_of(task_of(square(10), square(10), stocks=(few, few)), sheets) == []
    other = task_of(square(10), square(10), stocks=(rectangle("mat", 90, 100),))
    assert faults_of(other, sheets) == ["a sheet of mat is used that is not in stock"]


def test_a_scrap_is_checked_round_its_outline_and_round_its_holes() -> None:
    hole = shapely.box(40, 40, 60, 60)
    scrap = Stock(
        "scrap", Polygon([(0, 0), (100, 0), (100, 70), (70, 100), (0, 100)], [hole.exterior.coords])
    )
    task = task_of(square(10), stocks=(scrap,), margin_mm=4.0)

    def found(x: float, y: float) -> list[str]:
        return faults_of(task, [sheet_of((0, x, y), stock=scrap)])

    assert found(26, 45) == []
    assert found(27, 45) == ["piece 1 on sheet 1 (scrap) is 3.000 mm from the border, not 4 mm"]
    assert "beyond its border" in found(45, 45)[0]
    assert "beyond its border" in found(80, 80)[0]
    # The slanted corner passes (85, 85): from (75, 75) the distance is 10 sqrt(2) less the square.
    assert "is 3.536 mm from the border" in found(72.5, 72.5)[0]


def test_a_piece_may_lie_in_the_hole_of_another() -> None:
    task = task_of(ring(40, 20), circle(17), circle(17.5), margin_mm=6.0)
    one = NestedSheet(MAT, (Placement(0, 0, 50, 50), Placement(1, 0, 50, 50)))
    other = NestedSheet(MAT, (Placement(2, 0, 50, 50),))
    assert faults_of(task, [one, other]) == []
    tight = NestedSheet(MAT, (Placement(0, 0, 50, 50), Placement(2, 0, 50, 50)))
    faults = faults_of(task, [tight, NestedSheet(MAT, (Placement(1, 0, 50, 50),))])
    assert len(faults) == 1 and "apart, not 3 mm" in faults[0]


def test_a_shape_that_crosses_itself_is_named() -> None:
    bow = MultiPolygon([Polygon([(0, 0), (20, 20), (20, 0), (0, 20)])])
    (fault,) = faults_of(task_of(bow), [sheet_of((0, 20, 20))])
    assert fault == "the outline of piece 1 on sheet 1 (mat) crosses itself or encloses nothing"


@settings(max_examples=30, deadline=None)
@given(star_shapes(), star_shapes(), st.floats(0, 360), st.floats(-70, 70), st.floats(-70, 70))
def test_what_is_found_is_what_shapely_measures(a, b, angle, x, y) -> None:
    """Shapely's own rotation and distance are the outside check."""
    floor = rectangle("floor", 400, 400)
    task = task_of(a, b, stocks=(floor,), margin_mm=0.0)
    sheet = sheet_of((0, 200, 200), (angle, 200 + x, 200 + y), stock=floor)
    faults = faults_of(task, [sheet])
    turned = affinity.rotate(b, angle, origin=(0, 0))
    distance = a.distance(affinity.translate(turned, x, y))
    if abs(distance - 2.999) > 1e-6:
        assert bool(faults) == (distance < 2.999)


@pytest.mark.parametrize("angle", [0, 33.3, 90, 180, 270])
def test_a_shape_is_put_where_its_placement_says(angle: float) -> None:
    """Two reckonings of one place: the gap between a shape and its own border is as placed."""
    shape = placed(ell(), Placement(0, angle, 50, 50))
    stock = rectangle("sheet", 100, 100)
    left, top, right, bottom = shape.bounds
    margin = min(left, top, 100 - right, 100 - bottom)
    for asked, is_fault in ((margin, False), (margin + 0.002, True)):
        task = task_of(ell(), stocks=(stock,), margin_mm=asked)
        assert bool(faults_of(task, [sheet_of((angle, 50, 50), stock=stock)])) == is_fault


def test_the_written_curves_are_checked_as_curves() -> None:
    # Two half discs whose bulges face each other; the control points reach further than the curve.
    left = parse_path("M10 10 C30 10 30 50 10 50 Z")
    nearest = 10 + 20 * 0.75
    for gap, is_fault in ((3.0, False), (2.9, True)):
        right = [
            transformed(curve, np.array([[-1.0, 0, 2 * nearest + gap], [0, 1.0, 0]]))
            for curve in left
        ]
        faults = faults_of_curves([("17", left), ("3", right)], MAT, 3.0, 6.0)
        assert bool(faults) == is_fault
    assert faults == ["17 and 3 on mat are 2.900 mm apart, not 3 mm"]


def test_curves_with_holes_and_crossing_curves() -> None:
    outer = polyline(np.array([[10.0, 10], [90, 10], [90, 90], [10, 90]]), closed=True)
    hole = polyline(np.array([[30.0, 30], [70, 30], [70, 70], [30, 70]]), closed=True)
    inside = fit_ring(shapely.get_coordinates(circle(17, 50, 50))[:-1])
    assert faults_of_curves([("1", [outer, hole]), ("2", [inside])], MAT, 2.95, 6.0) == []
    assert faults_of_curves([("1", [outer]), ("2", [inside])], MAT, 2.95, 6.0) != []
    crossing = polyline(np.array([[80.0, 20], [95, 20], [95, 40], [80, 40]]), closed=True)
    (fault,) = faults_of_curves([("1", [outer, crossing])], MAT, 3.0, 6.0)
    assert fault == "the outline of 1 on mat crosses itself or encloses nothing"


def test_two_thousand_pieces_are_checked_within_five_seconds() -> None:
    t = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    radius = 17 * (1 + 0.05 * np.cos(3 * t) + 0.05 * np.cos(7 * t))
    shape = polygon(np.stack([radius * np.cos(t), radius * np.sin(t)], axis=1))
    task = task_of(*[shape] * 2000, stocks=(rectangle("cloth", 2000, 2000),), margin_mm=0.0)
    places = [(7.0 * k, 30 + 39.0 * (k % 50), 30 + 39.0 * (k // 50)) for k in range(2000)]
    start = time.perf_counter()
    faults = faults_of(task, [sheet_of(*places, stock=task.stocks[0])])
    assert time.perf_counter() - start < 5.0
    assert faults and all("apart, not 3 mm" in fault for fault in faults)


def test_squares_of_the_fat_quarter_table_fit_and_one_more_does_not() -> None:
    """Source: docsbay.net, number of squares from a fat quarter (18 x 22 in)."""
    table = {2: 99, 2.5: 56, 3: 42, 3.5: 30, 4: 20, 4.5: 16, 5: 12, 5.5: 12, 6: 9, 6.5: 6}
    quarter = rectangle("fat quarter", 22 * 25.4, 18 * 25.4)
    for side_in, count in table.items():
        side, across = side_in * 25.4, int(22 // side_in)
        shapes = [square(side)] * (count + 1)
        task = task_of(*shapes, stocks=(quarter,), gap_mm=0.0, margin_mm=0.0)
        rows = [(0.0, side * (k % across), side * (k // across)) for k in range(count + 1)]
        sheet = sheet_of(*rows, stock=quarter)
        assert faults_of(task, [sheet]) == [
            f"piece {count + 1} on sheet 1 (fat quarter) reaches "
            f"{side * (count // across + 1) - 18 * 25.4:.3f} mm beyond its border"
        ]
