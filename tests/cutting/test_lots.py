"""Everything that is cut from one fabric, over all blocks and copies."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from applique.cutting.lots import CARD, CutBlock, Lot, letters_of, lots_of
from applique.cutting.nested import rectangle
from applique.cutting.request import CutRequest
from applique.errors import InputError
from applique.geometry.curves import polyline
from applique.model import CutLine

MAT = rectangle("mat", 100.0, 100.0)


def line(piece: str, fabric: str = "sea blue", kind: str = "outline", **given: Any) -> CutLine:
    size = 10.0 + len(piece)
    corners = np.array([[0.0, 0.0], [size, 0.0], [size, 8.0], [0.0, 8.0]])
    return CutLine(piece, fabric, kind, (polyline(corners, closed=True),), **given)


WHALE = CutBlock("whale", (line("1"), line("2", "sand"), line("17b")))
GULL = CutBlock("gull", (line("1", "sand"), line("3")))


def marks(lots: tuple[Lot, ...]) -> dict[str, list[str]]:
    return {lot.name: [piece.mark for piece in lot.pieces] for lot in lots}


def test_the_pieces_of_one_block_bear_their_labels() -> None:
    lots = lots_of([WHALE], CutRequest())
    assert marks(lots) == {"sea blue": ["1", "17b"], "sand": ["2"]}
    assert letters_of([WHALE]) == {}


def test_a_block_may_be_made_several_times() -> None:
    lots = lots_of([WHALE, replace(GULL, copies=2)], CutRequest())
    assert marks(lots) == {
        "sea blue": ["A-1", "A-17b", "B-3", "B-3"],
        "sand": ["A-2", "B-1", "B-1"],
    }


def test_a_block_of_which_nothing_is_cut_keeps_its_letter() -> None:
    assert marks(lots_of([CutBlock("whale", ()), GULL], CutRequest())) == {
        "sand": ["B-1"],
        "sea blue": ["B-3"],
    }


def test_the_pieces_of_several_blocks_bear_a_letter_too() -> None:
    lots = lots_of([WHALE, GULL], CutRequest())
    assert marks(lots) == {"sea blue": ["A-1", "A-17b", "B-3"], "sand": ["A-2", "B-1"]}
    assert letters_of([WHALE, GULL]) == {"A": "whale", "B": "gull"}
    assert {piece.block for piece in lots[0].pieces} == {"whale", "gull"}


def test_letters_go_on_after_z() -> None:
    assert list(letters_of([WHALE] * 28))[-3:] == ["Z", "AA", "AB"]


def test_copies_are_told_apart_by_their_names_alone() -> None:
    (lot, _) = lots_of([WHALE], CutRequest(copies=3))
    assert [piece.mark for piece in lot.pieces] == ["1", "17b"] * 3
    task = lot.task((MAT,), 3.0, 6.0)
    assert task.names == ("1", "17b", "1 (2)", "17b (2)", "1 (3)", "17b (3)")
    assert len(task.shapes) == 6
    assert (task.stocks, task.gap_mm, task.margin_mm, task.turn) == ((MAT,), 3.0, 6.0, "any")


def test_parts_of_one_piece_are_told_apart_likewise() -> None:
    """A block may hold two cut lines of the same piece and fabric."""
    (lot,) = lots_of([CutBlock("whale", (line("5"), line("5")))], CutRequest())
    assert lot.task((MAT,), 3.0, 6.0).names == ("5", "5 (2)")


@pytest.mark.parametrize(
    ("only", "found"),
    [
        ({"1"}, {"sea blue": ["A-1"], "sand": ["B-1"]}),  # A label means it in every block.
        ({"A-1"}, {"sea blue": ["A-1"]}),
        ({"A-17b", "3"}, {"sea blue": ["A-17b", "B-3"]}),
    ],
)
def test_spoiled_pieces_are_cut_again_alone(only: set[str], found: dict[str, list[str]]) -> None:
    assert marks(lots_of([WHALE, GULL], CutRequest(only=frozenset(only)))) == found


@pytest.mark.parametrize("only", [{"99"}, {"1", "99"}, {"B-17b"}])
def test_a_piece_that_is_not_there_is_named(only: set[str]) -> None:
    missing = (only - {"1"}).pop()
    with pytest.raises(InputError, match=f"there is no piece {missing} among the cut lines"):
        lots_of([WHALE, GULL], CutRequest(only=frozenset(only)))


def test_without_cut_lines_the_remedy_is_told() -> None:
    with pytest.raises(InputError, match="there are no cut lines; use Make Layers first"):
        lots_of([CutBlock("whale", ())], CutRequest())


def test_templates_are_cut_from_card_last_and_turn_freely() -> None:
    block = CutBlock(
        "whale",
        (
            line("4", "sea blue", "template", turn="none"),
            line("4", "sea blue", "allowance", turn="none"),
            line("5", "sand", "template"),
            line("6", "sand"),
        ),
    )
    lots = lots_of([block], CutRequest())
    assert [(lot.name, lot.turn) for lot in lots] == [
        ("sea blue", "none"),
        ("sand", "any"),
        (CARD, "any"),
    ]
    assert [piece.mark for piece in lots[-1].pieces] == ["4", "5"]


def test_a_request_may_override_how_a_fabric_turns() -> None:
    request = CutRequest(turns={"sand": "half"})
    turns = {lot.name: lot.turn for lot in lots_of([WHALE], request)}
    assert turns == {"sea blue": "any", "sand": "half"}


def test_blocks_that_differ_about_a_fabrics_turning_are_told_what_to_do() -> None:
    blocks = [CutBlock("a", (line("1", turn="none"),)), CutBlock("b", (line("1", turn="half"),))]
    with pytest.raises(InputError, match=r"sea blue: .*\(half, none\).*--turn"):
        lots_of(blocks, CutRequest())
    (lot,) = lots_of(blocks, CutRequest(turns={"sea blue": "none"}))
    assert lot.turn == "none"


@pytest.mark.parametrize(("face", "left"), [("right", 0.0), ("wrong", -11.0)])
def test_the_face_that_lies_up_decides_whether_pieces_are_mirrored(face: Any, left: float) -> None:
    (lot, _) = lots_of([WHALE], CutRequest(face=face))
    assert lot.pieces[0].shape.bounds[0] == left
    assert lot.pieces[0].writable == (face == "wrong")
