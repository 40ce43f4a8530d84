"""The files of cut sheets, by name."""

from __future__ import annotations

import json

import pytest

from applique.cutsheets.files import files_of, named_sheets
from applique.cutsheets.reading import Lots
from applique.cutsheets.result import Cut
from applique.cutting.request import CutRequest, Tool
from applique.nesting import solver
from tests.cutsheets.documents import MAT, REQUEST, cut, line, lots_in

PAPER_MM = (210.0, 297.0)


@pytest.fixture(autouse=True)
def plainly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the solver, which these tests don't need."""
    monkeypatch.setattr(solver, "is_there", lambda: False)


def written(found: Cut, lots: Lots, tool: Tool = "cutter") -> dict[str, bytes]:
    return files_of(found, lots, tool, PAPER_MM)


def test_the_files_are_named_by_fabric_and_number() -> None:
    lots = lots_in()
    found = cut(lots)
    assert set(named_sheets(found)) == {"sea-blue-1", "sand-1"}
    either = {"maps.pdf", "fabric-needed.txt", "nesting.json"}
    pictures = {"pictures/sea-blue-1.png", "pictures/sand-1.png"}
    drawings = {"sea-blue-1.svg", "sand-1.svg"}
    assert set(written(found, lots)) == {
        *either, *pictures, *drawings, "sea-blue-1.dxf", "sand-1.dxf"
    }  # fmt: skip
    assert set(written(found, lots, "scissors")) == {
        *either, *pictures, *drawings, "sea-blue-1.pdf", "sand-1.pdf"
    }  # fmt: skip


@pytest.mark.parametrize(("tool", "suffix"), [("cutter", "dxf"), ("scissors", "pdf")])
def test_spoiled_pieces_have_names_of_their_own_and_touch_nothing_else(
    tool: Tool, suffix: str
) -> None:
    only = CutRequest(sheets=(MAT,), only=frozenset({"17b"}))
    lots = lots_in(request=only)
    assert set(written(cut(lots, only), lots, tool)) == {
        "again-sea-blue-1.svg",
        f"again-sea-blue-1.{suffix}",
        "again-maps.pdf",
        "pictures/again-sea-blue-1.png",
    }


def test_without_anything_done_there_are_no_files() -> None:
    lots = lots_in(line("1", size=500.0))
    assert written(cut(lots), lots) == {}


def test_where_nothing_is_known_of_what_to_buy_there_is_no_file_of_it() -> None:
    lots = lots_in(line("1", kind="template"))
    assert "fabric-needed.txt" not in written(cut(lots), lots)


@pytest.mark.parametrize(
    "request_", [REQUEST, CutRequest(sheets=(MAT,), mixed=True)], ids=["alone", "mixed"]
)
def test_what_was_kept_gives_the_same_bytes(request_: CutRequest) -> None:
    lots = lots_in()
    first = written(cut(lots, request_), lots)
    kept = json.loads(first["nesting.json"])
    assert written(cut(lots, request_, kept), lots) == first
