"""Swatches on the fewest mats."""

import numpy as np
import pytest

from applique.cutting.nested import rectangle
from applique.nesting.mats.arranging import Laid, Mat, arranged, mat_of, tidied
from applique.nesting.mats.swatches import Swatch

NEVER, ALWAYS = (lambda: False), (lambda: True)


def swatches(*sizes: tuple[int, int]) -> tuple[Swatch, ...]:
    return tuple(Swatch(columns, rows, ()) for columns, rows in sizes)


def mat(columns: int, rows: int, count: int | None = None) -> Mat:
    return Mat(rectangle(f"{columns}x{rows}", columns, rows, count), columns, rows)


def fabrics_on(laid: tuple[Laid, ...]) -> list[list[int]]:
    return [sorted(it.item for it in each.lying) for each in laid]


def test_a_mat_has_the_whole_quarter_inches_inside_its_margin() -> None:
    twelve_inches = mat_of(rectangle("mat", 304.8, 304.8), 6.35)
    assert (twelve_inches.columns, twelve_inches.rows) == (46, 46)
    a_little_less = mat_of(rectangle("mat", 304.7, 304.8), 6.35)
    assert (a_little_less.columns, a_little_less.rows) == (45, 46)


def test_fabrics_that_go_together_share_a_mat() -> None:
    choices = [swatches((10, 6)), swatches((10, 4)), swatches((10, 5))]
    laid = arranged(choices, [mat(10, 10)], ALWAYS)
    assert laid is not None
    assert fabrics_on(laid) == [[0, 1], [2]]


def test_some_order_finds_the_fewest_mats() -> None:
    # The largest first gives 6 + 5 and 5 + 3 + 3, and a third mat for 2; better are 6 + 3 + 3 and
    # 5 + 5 + 2.
    choices = [swatches((1, height)) for height in (6, 5, 5, 3, 3, 2)]
    laid = arranged(choices, [mat(1, 12)], ALWAYS)
    assert laid is not None
    assert len(laid) == 2


def test_a_wider_swatch_is_taken_where_it_saves_a_mat_and_a_smaller_one_elsewhere() -> None:
    choices = [swatches((6, 6), (10, 4)), swatches((10, 6))]
    laid = arranged(choices, [mat(10, 10)], ALWAYS)
    assert laid is not None
    assert [it.swatch.columns for it in laid[0].lying] == [10, 10]
    alone = arranged(choices[:1], [mat(10, 10)], ALWAYS)
    assert alone is not None
    assert [it.swatch.columns for it in alone[0].lying] == [6]


def test_the_last_mat_is_the_smallest_that_holds_what_is_left() -> None:
    choices = [swatches((10, 20)), swatches((4, 4))]
    laid = arranged(choices, [mat(10, 10), mat(10, 20), mat(5, 5)], ALWAYS)
    assert laid is not None
    assert [each.mat.stock.name for each in laid] == ["10x20", "5x5"]


def test_no_more_mats_are_used_than_there_are() -> None:
    choices = [swatches((10, 10)), swatches((10, 10)), swatches((5, 5))]
    mats = [mat(10, 10, count=2), mat(5, 5, count=1)]
    laid = arranged(choices, mats, ALWAYS)
    assert laid is not None
    assert fabrics_on(laid) == [[0], [1], [2]]
    assert arranged(choices, mats[:1], ALWAYS) is None


def test_of_many_fabrics_a_first_arrangement_is_finished_even_without_time() -> None:
    random = np.random.default_rng(1)
    choices = [swatches(tuple(size)) for size in random.integers(5, 20, (20, 2)).tolist()]
    laid = arranged(choices, [mat(46, 46)], NEVER)
    assert laid is not None
    assert sorted(item for items in fabrics_on(laid) for item in items) == list(range(20))


@pytest.mark.parametrize("seed", range(3))
def test_tidying_never_makes_swatches_larger(seed: int) -> None:
    random = np.random.default_rng(seed)
    sizes = random.integers(5, 16, (5, 3, 2))
    choices = [
        swatches(*sorted(map(tuple, each), key=lambda size: size[0] * size[1]))
        for each in sizes.tolist()
    ]
    laid = arranged(choices, [mat(30, 30)], NEVER)
    assert laid is not None
    after = tidied(choices, laid)
    assert sum(each.area for each in after) <= sum(each.area for each in laid)
    assert fabrics_on(after) == fabrics_on(laid)
