"""Several fabrics on mats that they share: what can't be laid is told, the rest is."""

from __future__ import annotations

import json
from typing import Any

import pytest
import shapely
from shapely import MultiPolygon, Polygon, box

from applique.cutsheets import mixing
from applique.cutsheets.mixing import mixed_batch
from applique.cutting.lots import Lot
from applique.cutting.nested import rectangle
from applique.cutting.request import CutRequest
from applique.errors import OutputError
from applique.nesting import solver
from applique.nesting.sheets import Progress
from tests.cutting.pieces import cut_piece
from tests.shapes import ell, square

REQUEST = CutRequest(sheets=(rectangle("mat", 120.0, 120.0),), mixed=True)


@pytest.fixture(autouse=True)
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the solver, which these tests don't need."""
    monkeypatch.setattr(solver, "is_there", lambda: False)


def lot(name: str, *sides_mm: float) -> Lot:
    pieces = [
        cut_piece(box(0.0, 0.0, side, side), f"{name} {k}", fabric=name)
        for k, side in enumerate(sides_mm)
    ]
    return Lot(name, "half", tuple(pieces))


def told(progress: Progress) -> bool:
    return True


def never(*given: Any) -> Any:
    raise AssertionError("shared anew")


def test_pieces_of_all_fabrics_are_laid_in_their_rectangles() -> None:
    batch, problems = mixed_batch(
        [lot("sea", 30.0, 30.0), lot("sand", 20.0)], REQUEST, 1.0, None, told
    )
    assert problems == []
    assert batch is not None
    assert (batch.name, batch.pieces, batch.bound, len(batch.sheets)) == ("mixed", 3, 1, 1)
    [sheet] = batch.sheets
    boxes = {region.fabric: box(*region.box_mm) for region in sheet.regions}
    assert set(boxes) == {"sea", "sand"}
    assert sorted(cut.piece.mark for cut in sheet.cuts) == ["sand 0", "sea 0", "sea 1"]
    for cut in sheet.cuts:
        assert boxes[cut.piece.fabric].covers(cut.shape)
    assert boxes["sea"].intersection(boxes["sand"]).area == pytest.approx(0.0, abs=1e-6)


def test_a_fabric_that_can_not_be_laid_leaves_room_for_the_others() -> None:
    lots = [lot("sea", 30.0), lot("sand", 150.0), lot("rock", 20.0)]
    batch, [problem] = mixed_batch(lots, REQUEST, 1.0, None, told)
    assert batch is not None
    assert {region.fabric for region in batch.sheets[0].regions} == {"sea", "rock"}
    assert "sand 0 (needs 162" in problem.findings[0].sentence()


def test_where_none_can_be_laid_there_is_no_batch() -> None:
    batch, problems = mixed_batch([lot("sea", 150.0), lot("sand", 150.0)], REQUEST, 1.0, None, told)
    assert batch is None
    assert {finding.object for each in problems for finding in each.findings} == {"sea", "sand"}


def test_mats_that_do_not_stand_the_check_are_not_written(monkeypatch: pytest.MonkeyPatch) -> None:
    def at_fault(*given: Any) -> list[str]:
        return ["sea and sand overlap"]

    monkeypatch.setattr(mixing, "faults_of_mats", at_fault)
    with pytest.raises(OutputError, match="mixed: the nesting does not stand the check"):
        mixed_batch([lot("sea", 30.0), lot("sand", 20.0)], REQUEST, 1.0, None, told)


def test_kept_mats_are_used_again_for_the_same_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    lots = [lot("sea", 30.0, 30.0), lot("sand", 20.0)]
    first, _ = mixed_batch(lots, REQUEST, 1.0, None, told)
    assert first is not None
    kept = json.loads(json.dumps(first.record))
    monkeypatch.setattr(mixing, "share_mats", never)
    again, problems = mixed_batch(lots, REQUEST, 1.0, kept, told)
    assert problems == []
    assert again is not None and again.record == first.record
    with pytest.raises(AssertionError, match="shared anew"):
        mixed_batch([lot("sea", 30.0), lot("sand", 20.0)], REQUEST, 1.0, kept, told)


def test_what_was_kept_without_a_fabric_that_can_not_be_laid_is_used_again(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """That fabric is told again."""
    lots = [lot("sea", 30.0), lot("sand", 150.0), lot("rock", 20.0)]
    first, _ = mixed_batch(lots, REQUEST, 1.0, None, told)
    assert first is not None
    shared: list[int] = []
    share_mats = mixing.share_mats

    def counted(tasks: Any, *given: Any) -> Any:
        shared.append(len(tasks))
        return share_mats(tasks, *given)

    monkeypatch.setattr(mixing, "share_mats", counted)
    again, [problem] = mixed_batch(lots, REQUEST, 1.0, first.record, told)
    assert again is not None and again.record == first.record
    assert [finding.object for finding in problem.findings] == ["sand"]
    assert shared == [3]  # The two others were not shared anew.


@pytest.mark.parametrize(("drawn", "beside"), [(ell(60.0, 15.0), False), (square(15.0), True)])
def test_words_and_the_test_square_stand_where_fabric_lies(
    drawn: MultiPolygon, beside: bool
) -> None:
    """Between the rectangles and round them the mat is bare, with nothing to write on. In the bend
    of an L of fabric there is room for an inch; a small square's rectangle has none."""
    lots = [Lot("sea", "half", (cut_piece(drawn, "17", fabric="sea"),)), lot("sand", 15.0)]
    batch, problems = mixed_batch(lots, REQUEST, 1.0, None, told)
    assert batch is not None and problems == []
    [sheet] = batch.sheets
    fabric = [box(*region.box_mm) for region in sheet.regions]
    assert len(fabric) == 2
    borders = shapely.union_all([each.boundary for each in fabric]).buffer(1e-6)
    lines = [shapely.linestrings(points) for points in sheet.drawing]
    written = [line for line in lines if not borders.covers(line)]
    assert written
    assert all(any(each.covers(line) for each in fabric) for line in written)
    inch = Polygon(sheet.test_square.segments[:, 0])
    assert any(each.covers(inch) for each in fabric) is not beside
    assert (inch.bounds[0] > sheet.stock.size_mm[0]) is beside
    assert all(inch.distance(cut.shape) > 0 for cut in sheet.cuts)
