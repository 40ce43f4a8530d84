"""What to buy for a lot: its fabric, web for what is fused, and what is kept of it."""

from __future__ import annotations

import json
from typing import Any

import pytest
from shapely import box

from applique.cutsheets import buying
from applique.cutsheets.buying import bought_for, web_for_all
from applique.cutting.lots import Lot
from applique.cutting.request import CutRequest
from applique.errors import InputError
from applique.nesting.sheets import Progress
from tests.cutting.pieces import cut_piece

REQUEST = CutRequest()


def lot(*kinds: str, name: str = "sea blue", side_mm: float = 100.0) -> Lot:
    """Squares, each of a kind; they can't be turned askew."""
    square = box(0.0, 0.0, side_mm, side_mm)
    pieces = [cut_piece(square, str(k), kind=kind) for k, kind in enumerate(kinds)]
    return Lot(name, "half", tuple(pieces))


def told(progress: Progress) -> bool:
    return True


def never(*given: Any) -> Any:
    raise AssertionError("reckoned anew")


def test_fabric_and_web_each_have_their_own_width() -> None:
    """Of five squares of 90 mm with gaps of 3 mm, 1016 mm of fabric hold all in one row, 431.8 mm
    of web four: two rows."""
    found = bought_for(lot(*["outline"] * 5, side_mm=90.0), REQUEST, 1.0, None, told)
    assert (found.fabric.fabric, found.fabric.pieces) == ("sea blue", 5)
    assert found.fabric.length_mm == pytest.approx(90.0, abs=0.5)
    assert found.web is not None
    assert found.web.length_mm == pytest.approx(183.0, abs=0.5)
    assert (found.web.metre_tenths, found.web.yard_eighths) == (2, 2)


def test_only_what_is_fused_takes_web() -> None:
    both = bought_for(lot("outline", "patch", "allowance"), REQUEST, 1.0, None, told)
    assert both.fabric.pieces == 3
    assert both.web is not None and both.web.pieces == 1
    assert bought_for(lot("patch"), REQUEST, 1.0, None, told).web is None


def test_every_fabric_has_its_own_length_of_web() -> None:
    one = bought_for(lot("outline"), REQUEST, 1.0, None, told)
    two = bought_for(lot("outline", "outline", name="sand"), REQUEST, 1.0, None, told)
    [web] = web_for_all([one, two], REQUEST)
    assert (web.fabric, web.pieces) == ("fusible web", 3)
    assert web.usable_width_mm == pytest.approx(431.8)
    assert web.length_mm == pytest.approx(200.0, abs=0.5)
    assert web_for_all([bought_for(lot("patch"), REQUEST, 1.0, None, told)], REQUEST) == []


def test_what_is_kept_is_used_for_the_same_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    pieces = lot("outline", "patch")
    first = bought_for(pieces, REQUEST, 1.0, None, told)
    kept = json.loads(json.dumps(first.as_record()))
    monkeypatch.setattr(buying, "needed_of", never)
    assert bought_for(pieces, REQUEST, 1.0, kept, told) == first


@pytest.mark.parametrize(
    ("changed", "request_"),
    [
        (lot("outline", "outline"), REQUEST),
        (lot("outline", side_mm=90.0), REQUEST),
        (lot("outline"), CutRequest(usable_width_mm=500.0)),
        (lot("outline"), CutRequest(web_width_mm=500.0)),
        (lot("outline"), CutRequest(gap_mm=5.0)),
    ],
    ids=["more", "smaller", "narrower fabric", "wider web", "gap"],
)
def test_what_has_changed_is_reckoned_anew(
    changed: Lot, request_: CutRequest, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = bought_for(lot("outline"), REQUEST, 1.0, None, told).as_record()
    monkeypatch.setattr(buying, "needed_of", never)
    with pytest.raises(AssertionError, match="reckoned anew"):
        bought_for(changed, request_, 1.0, kept, told)


@pytest.mark.parametrize("damage", [{"web": None}, {"fabric": None}, {"web": {"pieces": -1}}])
def test_a_damaged_record_is_none(damage: dict[str, Any], monkeypatch: pytest.MonkeyPatch) -> None:
    kept = bought_for(lot("outline"), REQUEST, 1.0, None, told).as_record() | damage
    monkeypatch.setattr(buying, "needed_of", never)
    with pytest.raises(AssertionError, match="reckoned anew"):
        bought_for(lot("outline"), REQUEST, 1.0, kept, told)


def test_a_piece_wider_than_the_fabric_is_named() -> None:
    narrow = CutRequest(usable_width_mm=80.0)
    with pytest.raises(InputError, match=r"^sea blue: 0 \(needs 100.0 mm\): wider than the usable"):
        bought_for(lot("outline"), narrow, 1.0, None, told)


@pytest.mark.parametrize("kinds", [("outline",), ("outline", "patch")])
def test_where_the_web_is_too_narrow_the_fabric_is_told_all_the_same(
    kinds: tuple[str, ...],
) -> None:
    narrow = CutRequest(web_width_mm=80.0)
    found = bought_for(lot(*kinds), narrow, 1.0, None, told)
    assert (found.fabric.fabric, found.fabric.pieces, found.web) == ("sea blue", len(kinds), None)
    [problem] = found.problems
    assert str(problem).startswith("fusible web for sea blue: 0 (needs 100.0 mm)")
    # It is told again the next time.
    kept = json.loads(json.dumps(found.as_record()))
    assert bought_for(lot(*kinds), narrow, 1.0, kept, told).problems != ()


def test_where_nothing_is_fused_the_web_may_be_as_narrow_as_it_likes() -> None:
    found = bought_for(lot("patch"), CutRequest(web_width_mm=80.0), 1.0, None, told)
    assert (found.web, found.problems) == (None, ())


def test_without_time_nothing_is_told_unless_it_is_kept() -> None:
    assert bought_for(lot("outline"), REQUEST, 1.0, None, lambda progress: False) is None
    kept = bought_for(lot("outline"), REQUEST, 1.0, None, told).as_record()
    assert bought_for(lot("outline"), REQUEST, 1.0, kept, lambda progress: False) is not None
