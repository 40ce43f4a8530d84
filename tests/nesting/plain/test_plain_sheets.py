"""All shapes on few sheets: valid whatever they are, no more sheets than rectangles would need, and
the right sheets first."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon

from applique.cutting.bound import least_sheets
from applique.cutting.nested import Stock, Turn, placed, rectangle
from applique.errors import InputError
from applique.nesting.plain import count_plainly, nest_plainly
from tests.benchmarks.nesting import mixed_task
from tests.nesting.plain.plain_checks import (
    assert_all_kept,
    assert_kept,
    jagged,
    never,
    task_of,
    times,
)
from tests.nesting.rectangles import fewest_rectangle_sheets
from tests.shapes import circle, ring, square
from tests.shapes import rectangle as box
from tests.strategies import holed_shapes, small_blobs, star_shapes

MAT = rectangle("mat", 305.0, 305.0)


@pytest.mark.parametrize("turn", ["any", "half", "none"])
@pytest.mark.parametrize("gap_mm", [0.0, 3.0])
def test_any_shapes_are_laid_once_and_keep_the_rules(turn: Turn, gap_mm: float) -> None:
    shapes = jagged(np.random.default_rng(7), 25, 45.0)
    task = task_of(shapes, rectangle("sheet", 180.0, 150.0), turn=turn, gap_mm=gap_mm)
    assert_all_kept(task, nest_plainly(task, never))


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.one_of(star_shapes(), holed_shapes(), small_blobs()), min_size=1, max_size=8),
    st.sampled_from([0.0, 0.5, 3.0, 12.7]),
    st.sampled_from([0.0, 6.0]),
)
def test_drawn_shapes_are_laid_once_and_keep_the_rules(
    shapes: list[MultiPolygon], gap_mm: float, margin_mm: float
) -> None:
    task = task_of(shapes, rectangle("sheet", 120.0, 130.0), gap_mm=gap_mm, margin_mm=margin_mm)
    assert_all_kept(task, nest_plainly(task, never))


@pytest.mark.parametrize("seed", [0, 1, 2])
@pytest.mark.parametrize("size_mm", [(305.0, 305.0), (305.0, 610.0)])
def test_60_mixed_shapes_need_no_more_sheets_than_rectangles_and_one_more_than_the_bound_at_most(
    seed: int, size_mm: tuple[float, float]
) -> None:
    # rectpack, an independent packer of rectangles: its best of 30 settings.
    task = mixed_task(60, seed, size_mm)
    sheets = nest_plainly(task, never)
    assert_all_kept(task, sheets)
    assert len(sheets) <= fewest_rectangle_sheets(task)
    assert len(sheets) <= least_sheets(task) + 1


def test_with_time_given_it_finds_no_worse() -> None:
    task = mixed_task(30, 4, (200.0, 200.0))
    first, later = nest_plainly(task, never), nest_plainly(task, times(12))
    assert_all_kept(task, later)
    assert len(later) <= len(first)


def test_the_same_task_gives_the_same_places() -> None:
    task = mixed_task(20, 5, (305.0, 305.0))
    one, other = nest_plainly(task, never), nest_plainly(task, never)
    assert [sheet.placements for sheet in one] == [sheet.placements for sheet in other]


def test_nine_squares_of_95_mm_share_a_mat() -> None:
    # 3 x 95 + 2 x 3 + 2 x 6 = 303 of 305 mm.
    task = task_of([square(95.0)] * 9, MAT, turn="none")
    (sheet,) = nest_plainly(task, never)
    assert_kept(task, sheet.stock, sheet.placements)


@pytest.mark.parametrize("degrees", [0.0, 0.6, 17.3, 45.0])
def test_a_shape_that_fits_to_a_few_thousandths_finds_its_room(degrees: float) -> None:
    turned = shapely.affinity.rotate(box(0.0, 0.0, 280.0, 120.0), degrees)
    task = task_of([turned], rectangle("sheet", 132.004, 292.004))
    (sheet,) = nest_plainly(task, never)
    assert_kept(task, sheet.stock, sheet.placements)


def test_a_strip_that_fits_only_aslant_lies_aslant() -> None:
    task = task_of([box(0.0, 0.0, 380.0, 10.0)], MAT)
    (sheet,) = nest_plainly(task, never)
    assert_kept(task, sheet.stock, sheet.placements)


def test_scraps_are_used_first_then_large_sheets_and_the_last_is_as_small_as_will_do() -> None:
    scrap_shape = Polygon([(0, 0), (120, 0), (120, 90), (60, 120), (0, 110)])
    scrap = Stock("scrap", scrap_shape, 1)
    small, large = rectangle("small", 120.0, 120.0), rectangle("large", 240.0, 240.0)
    task = task_of([square(60.0)] * 11, small, large, scrap, turn="none")
    sheets = nest_plainly(task, never)
    assert_all_kept(task, sheets)
    # One on the scrap, nine on the large sheet, and the last needs no other.
    assert [sheet.stock.name for sheet in sheets] == ["scrap", "large", "small"]


def test_an_offcut_there_is_one_of_is_used_once() -> None:
    task = task_of([square(60.0)] * 4, rectangle("offcut", 80.0, 80.0, 1), MAT)
    sheets = nest_plainly(task, never)
    assert_all_kept(task, sheets)
    assert [sheet.stock.name for sheet in sheets] == ["offcut", "mat"]


def test_what_lies_on_the_last_sheet_lies_at_its_top() -> None:
    task = task_of([square(40.0)] * 6, MAT, turn="none")
    (sheet,) = nest_plainly(task, never)
    # Six in a row are 6 x 40 + 5 x 3 = 255 mm of 293.
    ends = [placed(task.shapes[it.index], it).bounds[3] for it in sheet.placements]
    assert max(ends) == pytest.approx(46.0, abs=1.0)


def test_small_pieces_lie_in_the_hole_of_a_large_one() -> None:
    # The ring leaves 16 mm beside it, and a disc of 21 mm half that in the corners.
    task = task_of([ring(90.0, 60.0), *[circle(21.0)] * 3], rectangle("sheet", 194.0, 194.0))
    (sheet,) = nest_plainly(task, never)
    assert_kept(task, sheet.stock, sheet.placements)


def test_shapes_larger_than_every_sheet_are_named_with_the_size_they_need() -> None:
    task = task_of([square(20.0), box(0.0, 0.0, 400.0, 310.0)], MAT)
    with pytest.raises(InputError, match=r"piece 1 \(needs 322\.0 x 412\.0 mm, margin included\)"):
        nest_plainly(task, never)


def test_a_margin_that_leaves_nothing_is_an_error() -> None:
    task = task_of([square(5.0)], rectangle("sheet", 12.0, 12.0))
    with pytest.raises(InputError, match="piece 0"):
        nest_plainly(task, never)


def test_sheets_that_run_out_are_an_error() -> None:
    task = task_of([square(200.0)] * 3, rectangle("sheet", 305.0, 305.0, 2))
    with pytest.raises(InputError, match=r"piece 2 .* find no room"):
        nest_plainly(task, never)


def test_the_count_alone_is_that_of_the_first_result() -> None:
    for count in (1, 9, 10, 30):
        task = task_of([square(95.0)] * count, MAT)
        assert count_plainly(task) == len(nest_plainly(task, never))
    assert count_plainly(task_of([], MAT)) == 0


def test_nothing_needs_no_sheet() -> None:
    assert nest_plainly(task_of([], MAT), never) == ()
