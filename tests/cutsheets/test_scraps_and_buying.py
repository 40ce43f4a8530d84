"""What each fabric is cut from where there are scraps, and what is to be bought."""

from __future__ import annotations

from dataclasses import replace

import pytest

from applique.cutsheets import cutting
from applique.cutsheets.cutting import cut_lots
from applique.cutsheets.result import Cut
from applique.cutting.nested import rectangle
from applique.cutting.request import CutRequest, Scrap
from applique.nesting import solver
from tests.cutsheets.documents import MAT, REQUEST, cut, kept_of, line, lots_in, never


@pytest.fixture(autouse=True)
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the solver, which these tests don't need."""
    monkeypatch.setattr(solver, "is_there", lambda: False)


def cut_from(found: Cut) -> dict[str, list[str]]:
    """The names of the sheets that each fabric is cut from."""
    return {done.name: [sheet.stock.name for sheet in done.sheets] for done in found.done}


def notes(found: Cut) -> dict[str, str]:
    """What is told by the way, but that the solver is not there."""
    return {it.code: it.message for it in found.findings if it.code != "no-solver"}


# Scraps


def scrap(name: str, fabric: str = "", width_mm: float = 60.0) -> Scrap:
    return Scrap(fabric, replace(rectangle(name, width_mm, 60.0), count=1))


def with_scraps(*scraps: Scrap) -> Cut:
    """The whale's one piece of sand and one of sea blue, each of which a scrap holds."""
    request = CutRequest(sheets=(MAT,), scraps=scraps)
    return cut(lots_in(line("1"), line("2", "sand", 20.0), request=request), request)


def test_a_scrap_of_no_fabric_serves_any_but_not_two() -> None:
    assert cut_from(with_scraps(scrap("left"))) == {"sea blue": ["left"], "sand": ["mat"]}
    two = with_scraps(scrap("left"), scrap("more"))
    assert cut_from(two) == {"sea blue": ["left"], "sand": ["more"]}


def test_a_scrap_that_the_first_fabric_can_not_use_is_left_for_the_next() -> None:
    """The piece of sea blue needs 42 mm, that of sand 32."""
    assert cut_from(with_scraps(scrap("left", width_mm=36.0))) == {
        "sea blue": ["mat"],
        "sand": ["left"],
    }


def test_a_fabrics_own_scrap_serves_it_alone() -> None:
    assert cut_from(with_scraps(scrap("left", "sand"))) == {"sea blue": ["mat"], "sand": ["left"]}


def test_what_was_cut_from_scraps_needs_no_second_search(monkeypatch: pytest.MonkeyPatch) -> None:
    request = CutRequest(sheets=(MAT,), scraps=(scrap("left"),))
    lots = lots_in(request=request)
    first = cut(lots, request)
    assert cut_from(first)["sea blue"][0] == "left"
    monkeypatch.setattr(cutting, "nest", never)
    again = cut(lots, request, kept_of(first, lots))
    assert again.problems == ()
    assert cut_from(again) == cut_from(first)


# What to buy


def test_fabric_and_web_to_buy_are_told_but_not_for_spoiled_pieces() -> None:
    found = cut(lots_in())
    bought = [(it.fabric, it.pieces) for it in found.needed]
    assert bought == [("sea blue", 2), ("sand", 1), ("fusible web", 3)]
    assert found.needed[0].length_mm == pytest.approx(30.0, abs=5.5)
    only = CutRequest(sheets=(MAT,), only=frozenset({"1"}))
    again = cut(lots_in(request=only), only)
    assert again.needed == ()
    assert [done.pieces for done in again.done] == [1]


def test_where_the_web_is_too_narrow_the_fabrics_line_stays() -> None:
    narrow = CutRequest(sheets=(MAT,), web_width_mm=28.0)
    found = cut(lots_in(line("1"), line("2", "sand", 20.0)), narrow)
    assert [done.name for done in found.done] == ["sea blue", "sand"]
    bought = [(it.fabric, it.pieces) for it in found.needed]
    assert bought == [("sea blue", 1), ("sand", 1), ("fusible web", 1)]
    [problem] = found.problems
    assert str(problem).startswith("fusible web for sea blue: 1 (needs 30.0 mm): wider than")


def test_where_the_fabric_is_too_narrow_its_sheets_are_there_all_the_same() -> None:
    narrow = CutRequest(sheets=(MAT,), usable_width_mm=28.0)
    found = cut(lots_in(line("1"), line("2", "sand", 20.0)), narrow)
    assert [done.name for done in found.done] == ["sea blue", "sand"]
    assert [it.fabric for it in found.needed] == ["sand", "fusible web"]
    assert [str(it).split(":")[0] for it in found.problems] == ["sea blue"]


@pytest.mark.parametrize(
    "request_", [REQUEST, replace(REQUEST, mixed=True)], ids=["alone", "mixed"]
)
def test_when_time_is_up_it_is_told_of_which_fabrics_it_is_not_known_what_to_buy(
    request_: CutRequest,
) -> None:
    found = cut_lots(lots_in(), request_, 1.5, {}, lambda progress: False)
    assert found.problems == ()
    assert sum(done.pieces for done in found.done) == 3
    assert found.needed == ()
    wanted = "the time ended before it was known how much to buy of sea blue, sand"
    assert notes(found) == {"to-buy": wanted}


def test_what_is_known_already_needs_no_time() -> None:
    lots = lots_in()
    first = cut(lots)
    again = cut_lots(lots, REQUEST, 1.5, kept_of(first, lots), lambda progress: False)
    assert again.needed == first.needed
    assert notes(again) == {}


def test_templates_of_card_are_not_bought() -> None:
    found = cut(lots_in(line("1", kind="allowance"), line("1", size=20.0, kind="template")))
    assert [(done.name, done.pieces) for done in found.done] == [("sea blue", 1), ("card", 1)]
    assert [it.fabric for it in found.needed] == ["sea blue"]
