"""How much fabric and fusible web to buy, from real nestings."""

import math
import time

import pytest
import shapely
from shapely import MultiPolygon, affinity

from applique.cutting.needed import FabricNeeded
from applique.cutting.nested import NestingTask, Turn
from applique.errors import InputError
from applique.nesting import buying, solver
from applique.nesting.buying import Needed, needed_of
from applique.units import MM_PER_YARD
from tests.shapes import circle, ell, rectangle, square, star

INCH = 25.4
WIDTH_MM = 40 * INCH

needs_solver = pytest.mark.skipif(not solver.is_there(), reason="the solver is not installed")
solver_or_not = pytest.mark.parametrize(
    "there",
    [pytest.param(True, marks=needs_solver), False],
    ids=["solver", "plain packer"],
    indirect=True,
)


def task_of(*shapes: MultiPolygon, turn: Turn = "none", gap_mm: float = 3.0) -> NestingTask:
    names = tuple(f"piece {k}" for k in range(len(shapes)))
    return NestingTask(names, shapes, turn, (), gap_mm, 6.0)


def needed(task: NestingTask, web_width_mm: float | None = None, seconds: float = 1.0) -> Needed:
    return needed_of("sea blue", task, WIDTH_MM, web_width_mm, seconds, lambda: True)


def fabric(*shapes: MultiPolygon, **given) -> FabricNeeded:
    return needed(task_of(*shapes, **given)).fabric


def turned(shape: MultiPolygon, degrees: float) -> MultiPolygon:
    return affinity.rotate(shape, degrees, origin=(0, 0))


@pytest.fixture
def there(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> bool:
    if not request.param:
        monkeypatch.setattr("applique.nesting.solver.is_there", lambda: False)
    return request.param


STRIPE = rectangle(0, 0, 30, 500)
"""Stands upright: its grain runs along the length of the fabric."""


@solver_or_not
@pytest.mark.parametrize(
    ("shape", "turn", "length_mm"),
    [
        (STRIPE, "none", 500.0),
        (STRIPE, "half", 500.0),
        (STRIPE, "any", 30.0),
        (turned(STRIPE, 90), "none", 30.0),
        (turned(STRIPE, 90), "half", 30.0),
        (turned(STRIPE, 35), "any", 30.0),
    ],
)
def test_the_grain_runs_along_the_length(
    there: bool, shape: MultiPolygon, turn: Turn, length_mm: float
) -> None:
    assert fabric(shape, turn=turn).length_mm == pytest.approx(length_mm, abs=0.5)


@solver_or_not
def test_a_piece_wider_than_the_fabric_may_lie_along_it_if_it_turns(there: bool) -> None:
    long = rectangle(0, 0, 1200, 1000)  # No room to lie slantwise.
    assert fabric(long, turn="any").length_mm == pytest.approx(1200.0, abs=0.5)
    for turn in ("half", "none"):
        with pytest.raises(InputError, match=r"sea blue: piece 0 \(needs 1200.0 mm\): wider than"):
            fabric(long, turn=turn)


def test_pieces_too_wide_are_all_named_and_web_too() -> None:
    task = task_of(square(500), square(20), square(600), turn="any")
    assert needed(task).fabric.pieces == 3
    with pytest.raises(InputError) as told:
        needed(task, 17 * INCH)
    assert str(told.value) == (
        "fusible web for sea blue: piece 0 (needs 500.0 mm), piece 2 (needs 600.0 mm): wider than "
        "the usable width of 431.8 mm; give a larger one"
    )


@solver_or_not
def test_a_piece_exactly_as_wide_as_the_fabric_is_laid(there: bool) -> None:
    found = fabric(rectangle(0, 0, WIDTH_MM, 50), square(20))
    assert found.length_mm == pytest.approx(73.0, abs=0.5)


@needs_solver
def test_the_yardage_rule_for_squares() -> None:
    """Per row floor(width / side), rows ceil(count / per row), length rows x side, over 36 in,
    rounded up to 1/8 yd (craftmathcalc.com): 25 squares of 4 1/2 in are 4 rows of 8, 18 in,
    and here the gaps."""
    found = fabric(*[square(4.5 * INCH)] * 25, gap_mm=1.0)
    assert found.length_mm >= 4 * 4.5 * INCH + 3 * 1.0 - 0.01
    assert found.length_mm < 4 * 4.5 * INCH + 3 * 1.0 + 5.0
    assert found.yard_eighths == 5


@pytest.mark.parametrize(("side_in", "squares"), [(4.0, 20), (5.0, 12), (6.5, 6)])
def test_fat_quarters_by_the_published_table(side_in: float, squares: int) -> None:
    """So many squares from a fat quarter of 18 x 22 in (docsbay.net); of the table's ten these are
    the ones that 17.5 x 20.5 in, which is planned on, gives as well. One more needs another."""
    side = square(side_in * INCH)
    full = needed(task_of(*[side] * squares, gap_mm=0.0)).fabric.fat_quarters
    one_more = needed(task_of(*[side] * (squares + 1), gap_mm=0.0)).fabric.fat_quarters
    assert (full, one_more) == (1, 2)


def test_a_piece_too_large_for_a_fat_quarter_leaves_their_count_open() -> None:
    assert fabric(rectangle(0, 0, 100, 450)).fat_quarters is None
    assert fabric(rectangle(0, 0, 100, 450), turn="any").fat_quarters == 1
    assert fabric(rectangle(0, 0, 520, 440)).fat_quarters == 1


def test_web_is_reckoned_at_its_own_width() -> None:
    found = needed(task_of(*[square(100)] * 8), 17 * INCH, 2.0)
    assert found.web is not None
    assert (found.fabric.usable_width_mm, found.web.usable_width_mm) == (WIDTH_MM, 17 * INCH)
    assert found.fabric.length_mm == pytest.approx(100.0, abs=0.5)
    assert found.web.length_mm == pytest.approx(203.0, abs=1.0)  # Two rows of four.
    assert found.web.fabric == "fusible web for sea blue"
    assert found.web.fat_quarters is None
    assert needed(task_of(square(20))).web is None


@solver_or_not
@pytest.mark.parametrize("turn", ["any", "half", "none"])
def test_the_length_is_never_less_than_any_layout_takes(there: bool, turn: Turn) -> None:
    """Grown by half the gap the shapes don't overlap on a length grown likewise; and the longest
    needs its own."""
    shapes = (ell(), star(), circle(20), rectangle(0, 0, 90, 12), square(25)) * 4
    found = fabric(*shapes, turn=turn)
    grown = sum(shapely.buffer(shape, 1.5).area for shape in shapes)
    assert found.length_mm > grown / (WIDTH_MM + 3.0) - 3.0
    assert found.length_mm < 140.0
    assert found.area_mm2 == pytest.approx(sum(shape.area for shape in shapes))
    assert 0.0 < found.waste_share < 1.0


@needs_solver
def test_a_layout_that_does_not_stand_the_check_is_not_believed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A solver that lays all shapes on one heap."""

    def heap(layout, gap_mm: float):
        return tuple(buying.Placement(k, 0.0, 0.0, 0.0) for k in range(3))

    monkeypatch.setattr("applique.nesting.buying._turned_back", heap)
    found = needed_of("web", task_of(*[square(60)] * 3), 100.0, None, 1.0, lambda: True)
    assert found.fabric.length_mm >= 3 * 60.0 + 2 * 3.0 - 0.01


@needs_solver
def test_a_solver_that_always_fails_leaves_the_plain_packer(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("applique.nesting.solver.sys.executable", "/bin/false")
    assert fabric(ell(), square(20)).length_mm == pytest.approx(30.0, abs=0.01)


@needs_solver
def test_it_ends_when_nothing_less_can_be_bought() -> None:
    begun = time.monotonic()
    found = needed(task_of(*[square(50)] * 6, turn="any"), 17 * INCH, 60.0)
    assert time.monotonic() - begun < 20.0
    assert found.fabric.yard_eighths == math.ceil(50 / (MM_PER_YARD / 8)) == 1


def test_it_ends_when_told() -> None:
    begun = time.monotonic()
    found = needed_of("x", task_of(*[ell()] * 12), WIDTH_MM, None, 60.0, lambda: False)
    assert time.monotonic() - begun < 20.0
    assert found.fabric.length_mm >= 30.0


@pytest.mark.parametrize("count", [8, 44])
def test_with_no_time_half_squares_share_squares(count: int) -> None:
    """Two to a square of 60 mm and a gap, two squares to a width of 150 mm; in rows every one has a
    box of its own."""
    half = MultiPolygon([shapely.Polygon([(0, 0), (60, 0), (0, 60)])])
    task = task_of(*[half] * count, turn="any")
    found = needed_of("web", task, 150.0, None, 0.0, lambda: True).fabric
    in_rows = count / 2 * (60.0 + 3.0) - 3.0
    assert found.length_mm < 0.65 * in_rows


@pytest.mark.parametrize(("side_in", "squares"), [(4.0, 20), (5.0, 12), (6.5, 6)])
def test_with_no_time_rows_tell_how_many_fat_quarters(side_in: float, squares: int) -> None:
    """By the same table: rows fill them, so that nothing else is tried."""
    for more, quarters in ((0, 1), (1, 2)):
        task = task_of(*[square(side_in * INCH)] * (squares + more), gap_mm=0.0)
        assert needed(task, seconds=0.0).fabric.fat_quarters == quarters


def test_with_no_time_fat_quarters_are_none_for_a_piece_too_large() -> None:
    assert needed(task_of(rectangle(0, 0, 100, 450)), seconds=0.0).fabric.fat_quarters is None


def test_with_no_time_interlocking_pieces_need_fewer_fat_quarters_than_rows() -> None:
    """Triangles of half a square each: rows take a box for every one."""
    corner = MultiPolygon([shapely.Polygon([(0, 0), (120, 0), (0, 120)])])
    shapes = [corner] * 16
    found = needed(task_of(*shapes, turn="any"), seconds=0.0).fabric
    assert found.fat_quarters == 1
