"""Several fabrics on a mat, checked by reckoning that no packer has a part in."""

from typing import Any

import pytest
import shapely
from shapely import MultiPolygon

from applique.cutting.nested import NestingTask, Stock, Turn, placed, rectangle
from applique.errors import InputError
from applique.nesting import solver
from applique.nesting.mats import SharedMat, faults_of_mats, share_mats
from tests.shapes import circle, ell, polygon, square, star
from tests.shapes import rectangle as rectangular

MAT = rectangle("mat", 305.0, 305.0)
INCH_MAT = rectangle("12 in", 304.8, 304.8)
MIXED = (square(40), circle(18), ell(45.0, 14.0), star(), rectangular(0, 0, 70, 12))
Tasks = list[tuple[str, NestingTask]]


def task(*shapes: MultiPolygon, turn: Turn = "any", **given: Any) -> NestingTask:
    usual: dict[str, Any] = {"stocks": (), "gap_mm": 3.0, "margin_mm": 6.0}
    names = tuple(str(k) for k in range(len(shapes)))
    return NestingTask(names, shapes, turn, **(usual | given))


def shared(tasks: Tasks, *mats: Stock, seconds: float = 0.0) -> tuple[SharedMat, ...]:
    """Mats that stand the check."""
    found = share_mats(tasks, mats, seconds, lambda: True)
    assert faults_of_mats(tasks, mats, found) == []
    return found


def fabrics_on(mats: tuple[SharedMat, ...]) -> list[list[str]]:
    return [sorted(patch.fabric for patch in mat.patches) for mat in mats]


def test_fabrics_share_a_mat_each_in_whole_quarter_inches_and_by_itself() -> None:
    tasks: Tasks = [
        ("sea blue", task(*MIXED)),
        ("sand", task(*MIXED, turn="half")),
        ("brick", task(*MIXED[1:4], turn="none")),
    ]
    (mat,) = shared(tasks, MAT)
    assert sorted(patch.fabric for patch in mat.patches) == ["brick", "sand", "sea blue"]
    for patch in mat.patches:
        left, top, right, bottom = patch.box_mm
        for side in (right - left, bottom - top):
            assert side / 6.35 == pytest.approx(round(side / 6.35), abs=1e-6)
        own = dict(tasks)[patch.fabric]
        inside = shapely.box(left + 3, top + 3, right - 3, bottom - 3).buffer(0.001)
        assert all(inside.covers(placed(own.shapes[it.index], it)) for it in patch.placements)


@pytest.mark.skipif(not solver.is_there(), reason="the solver is not on this platform")
def test_with_time_patches_become_smaller() -> None:
    tasks: Tasks = [("sea blue", task(*MIXED, *MIXED)), ("sand", task(*MIXED, turn="none"))]

    def area(mats: tuple[SharedMat, ...]) -> float:
        return sum(shapely.box(*patch.box_mm).area for mat in mats for patch in mat.patches)

    assert area(shared(tasks, MAT, seconds=4.0)) < area(shared(tasks, MAT))


def test_without_the_solver_the_plain_packer_does_it_all(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solver, "is_there", lambda: False)
    tasks: Tasks = [("sea blue", task(*MIXED)), ("sand", task(*MIXED[:3], turn="none"))]
    assert fabrics_on(shared(tasks, MAT, seconds=1.0)) == [["sand", "sea blue"]]


@pytest.mark.parametrize("turn", ["any", "half", "none"])
def test_patches_that_fill_the_mat_exactly_fit(turn: Turn) -> None:
    # 46 quarter inches lie inside the margins of 1/4 in: two patches of 46 x 23, to the last bit.
    halves = rectangular(0, 0, 46 * 6.35 - 6, 23 * 6.35 - 6)
    tasks: Tasks = [(name, task(halves, turn=turn, margin_mm=6.35)) for name in ("a", "b")]
    assert fabrics_on(shared(tasks, INCH_MAT)) == [["a", "b"]]


def test_a_patch_is_turned_only_if_its_fabric_may_be() -> None:
    upright, flat = rectangular(0, 0, 100, 280), rectangular(0, 0, 280, 100)
    tasks: Tasks = [("plain", task(upright)), ("striped", task(flat, turn="none"))]
    assert fabrics_on(shared(tasks, MAT)) == [["plain", "striped"]]
    tasks = [("checked", task(upright, turn="half")), ("striped", task(flat, turn="none"))]
    assert sorted(fabrics_on(shared(tasks, MAT))) == [["checked"], ["striped"]]


def test_a_fabric_too_much_for_one_mat_fills_whole_ones_and_its_rest_shares() -> None:
    tasks: Tasks = [
        ("sea blue", task(*(square(90) for _ in range(11)), turn="none")),
        ("sand", task(square(60))),
    ]
    whole, mixed = shared(tasks, MAT)
    assert (whole.patches[0].fabric, len(whole.patches[0].placements)) == ("sea blue", 9)
    assert whole.patches[0].box_mm == (0, 0, 305, 305)
    assert sorted(patch.fabric for patch in mixed.patches) == ["sand", "sea blue"]


def test_what_fits_a_mat_but_not_with_a_gap_round_it_gets_the_mat_for_itself() -> None:
    tasks: Tasks = [("sea blue", task(square(290), gap_mm=12.7)), ("sand", task(square(20)))]
    assert fabrics_on(shared(tasks, MAT)) == [["sea blue"], ["sand"]]


def test_mats_of_several_sizes_and_only_so_many() -> None:
    small, long = rectangle("small", 155.0, 155.0), rectangle("long", 305.0, 610.0, 1)
    tasks: Tasks = [
        ("sea blue", task(square(280), turn="none")),
        ("sand", task(square(280), turn="none")),
        ("brick", task(square(100))),
    ]
    found = shared(tasks, small, long)
    assert [mat.stock.name for mat in found] == ["long", "small"]
    with pytest.raises(InputError, match=r"there are not enough mats for sea blue, sand, brick"):
        shared(tasks, long)


def test_pieces_too_large_for_every_mat_are_named_for_each_fabric() -> None:
    tasks: Tasks = [
        ("sea blue", task(square(400))),
        ("sand", task(square(40))),
        ("brick", task(square(40), rectangular(0, 0, 500, 20), turn="half")),
    ]
    with pytest.raises(InputError, match="some fabrics can't be laid") as refused:
        shared(tasks, MAT)
    assert [finding.object for finding in refused.value.findings] == ["sea blue", "brick"]
    assert "1 (needs 512.0 x 32.0 mm, margin included): fits on no sheet" in (
        refused.value.findings[1].message
    )


def test_it_stops_when_asked_to_with_a_result() -> None:
    asked = []

    def no_longer() -> bool:
        asked.append(1)
        return False

    tasks: Tasks = [("sea blue", task(*MIXED)), ("sand", task(polygon([(0, 0), (9, 0), (0, 9)])))]
    found = share_mats(tasks, [MAT], 60.0, no_longer)
    assert faults_of_mats(tasks, [MAT], found) == []
    assert asked


def test_nothing_to_lay_needs_no_mat() -> None:
    assert share_mats([], [MAT], 1.0, lambda: True) == ()
    assert share_mats([("sand", task())], [MAT], 1.0, lambda: True) == ()


def test_a_fabric_that_finds_no_mat_any_more_is_named() -> None:
    tasks: Tasks = [(name, task(square(280), gap_mm=12.7)) for name in ("sea blue", "sand")]
    with pytest.raises(InputError, match="some fabrics can't be laid") as refused:
        shared(tasks, rectangle("mat", 305.0, 305.0, 1))
    (finding,) = refused.value.findings
    assert finding.object == "sand"
    assert "find no room on what there is" in finding.message
