"""Every fabric on its sheets: what is laid and bought, what fails, and what is used again."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from applique.cutsheets import cutting, mixing
from applique.cutsheets.reading import read_lots
from applique.cutsheets.result import Cut
from applique.cutting.nested import NestedSheet, Nesting, NestingTask, Placement, rectangle
from applique.cutting.request import CutRequest
from applique.cutting.validity import faults_of_curves
from applique.nesting import solver
from applique.nesting.sheets import PLAIN, PLAIN_SINCE_FAILED, SOLVER
from tests.cutsheets.documents import (
    MAT,
    REQUEST,
    crossing,
    cut,
    document,
    kept_of,
    line,
    lots_in,
    never,
    whale,
)

MIXED = CutRequest(sheets=(MAT,), mixed=True)


@pytest.fixture(autouse=True)
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the solver, which these tests don't need."""
    monkeypatch.setattr(solver, "is_there", lambda: False)


def places(found: Cut) -> list[Placement]:
    return [it.placement for done in found.done for sheet in done.sheets for it in sheet.cuts]


# Sheets


def test_every_fabric_is_laid_on_its_sheets_and_the_lines_stand_the_check() -> None:
    found = cut(read_lots([("whale", whale()), ("gull", whale())], REQUEST))
    assert found.problems == ()
    assert [(done.name, done.pieces) for done in found.done] == [("sea blue", 4), ("sand", 2)]
    for done in found.done:
        assert 1 <= done.bound <= len(done.sheets)
        assert 0.0 < done.used_share < 1.0
        for sheet in done.sheets:
            lines = [(it.piece.mark, it.curves) for it in sheet.cuts]
            assert faults_of_curves(lines, MAT, REQUEST.gap_mm, REQUEST.margin_mm) == []
    marks = sorted(it.piece.mark for sheet in found.done[0].sheets for it in sheet.cuts)
    assert marks == ["A-1", "A-17b", "B-1", "B-17b"]


def test_what_can_not_be_cut_stops_no_other_fabric() -> None:
    found = cut(lots_in(line("1"), line("2", "sand", 500.0), crossing("3", "coral")))
    assert [done.name for done in found.done] == ["sea blue"]
    assert len(found.problems) == 2
    findings = [it.sentence() for problem in found.problems for it in problem.findings]
    told = " ".join([*map(str, found.problems), *findings])
    assert "2 (needs 42.0 x 512.0 mm, margin included): fits on no sheet" in told
    assert "coral: some of its cut lines can't be cut" in told
    assert "3: it has a cut line that crosses or touches itself" in told


def test_a_piece_as_large_as_the_room_on_a_sheet_is_laid() -> None:
    just = CutRequest(sheets=(rectangle("just so", 120.0, 42.0),))
    found = cut(lots_in(line("1", size=108.0)), just)
    assert found.problems == ()
    assert len(found.done[0].sheets) == 1


# The solver at fault


def on_top_of_each_other(task: NestingTask, packer: str) -> Nesting:
    places = [Placement(k, 0.0, 6.0, 6.0) for k in range(len(task.shapes))]
    return Nesting((NestedSheet(task.stocks[0], tuple(places)),), 1, packer)


def test_a_layout_of_the_solver_that_fails_the_check_makes_way_for_the_plain_packers(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    nest = cutting.nest
    asked: list[float] = []

    def at_fault(task: NestingTask, seconds: float, told: Any) -> Nesting:
        asked.append(seconds)
        return on_top_of_each_other(task, SOLVER) if seconds else nest(task, seconds, told)

    monkeypatch.setattr(cutting, "nest", at_fault)
    found = cut(lots_in(line("1"), line("2")))
    assert found.problems == ()
    [done] = found.done
    assert (done.packer, len(done.sheets)) == (PLAIN, 1)
    assert len(asked) == 2 and asked[0] > 0 == asked[1]
    one, other = (it.shape for it in done.sheets[0].cuts)
    assert one.distance(other) >= REQUEST.gap_mm - 0.001


def test_a_layout_of_the_plain_packer_that_fails_the_check_is_left_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    nest = cutting.nest

    def at_fault(task: NestingTask, seconds: float, told: Any) -> Nesting:
        if len(task.shapes) > 1:
            return on_top_of_each_other(task, PLAIN)
        return nest(task, seconds, told)

    monkeypatch.setattr(cutting, "nest", at_fault)
    found = cut(lots_in())
    assert [done.name for done in found.done] == ["sand"]
    [problem] = found.problems
    assert str(problem).startswith("sea blue: the nesting does not stand the check and is not")


def test_that_the_solver_has_failed_is_told_with_the_fabric(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    nest = cutting.nest

    def failing(task: NestingTask, seconds: float, told: Any) -> Nesting:
        found = nest(task, seconds, told)
        return replace(found, packer=PLAIN_SINCE_FAILED) if len(task.shapes) > 1 else found

    monkeypatch.setattr(cutting, "nest", failing)
    found = cut(lots_in())
    [told] = [it for it in found.findings if it.code == "solver-failed"]
    assert told.object == "sea blue"
    assert told.message.startswith("the solver failed; the plain packer laid everything")


# Again, and shared mats


def test_the_same_pieces_are_not_searched_again(monkeypatch: pytest.MonkeyPatch) -> None:
    lots = lots_in()
    first = cut(lots)
    kept = kept_of(first, lots)
    monkeypatch.setattr(cutting, "nest", never)
    again = cut(lots, kept=kept)
    titles = [sheet.title for done in first.done for sheet in done.sheets]
    assert [sheet.title for done in again.done for sheet in done.sheets] == titles
    assert places(again) == places(first)


def test_what_is_cut_already_stays_right_when_an_outline_changes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    before = read_lots([("whale", whale())], REQUEST)
    first = cut(before)
    smaller = document(
        line("1", size=29.0), line("2", "sand", 20.0, turn="half"), line("17b", size=25.0)
    )
    monkeypatch.setattr(cutting, "nest", never)
    second = cut(read_lots([("whale", smaller)], REQUEST), kept=kept_of(first, before))
    assert places(first) == places(second)
    assert second.problems == ()


def test_fabrics_may_share_a_mat() -> None:
    found = cut(lots_in(), MIXED)
    assert found.problems == ()
    (done,) = found.done
    assert (done.name, done.pieces, len(done.sheets)) == ("mixed", 3, 1)
    assert {region.fabric for region in done.sheets[0].regions} == {"sea blue", "sand"}


def test_shared_mats_are_not_searched_again(monkeypatch: pytest.MonkeyPatch) -> None:
    lots = lots_in(line("1"), line("2", "sand", 20.0), line("3", kind="template"))
    first = cut(lots, MIXED)
    kept = kept_of(first, lots)
    assert set(kept["sheets"]) == {"mixed", "card"}  # type: ignore[call-overload]
    monkeypatch.setattr(cutting, "nest", never)
    monkeypatch.setattr(mixing, "share_mats", never)
    again = cut(lots, MIXED, kept)
    assert places(again) == places(first)
    assert [it.regions for it in again.done[0].sheets] == [
        it.regions for it in first.done[0].sheets
    ]


def test_mats_of_their_own_are_no_record_of_shared_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    lots = lots_in()
    kept = kept_of(cut(lots), lots)
    monkeypatch.setattr(mixing, "share_mats", never)
    with pytest.raises(AssertionError, match="searched again"):
        cut(lots, MIXED, kept)
