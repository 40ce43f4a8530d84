"""Part of a block sewn again."""

from dataclasses import replace

import numpy as np
import pytest
from lxml import etree

from applique.errors import UsageError
from applique.model import Plan, Step, Thread, ThreadBlock
from applique.pipeline import read_plan
from applique.sequence.plan import plan_of
from applique.sequence.resume import cut_at_long_moves, done_before, from_stop, only_pieces
from applique.svg.tagged import read_steps
from tests.conftest import TESTS

BLUE, RED = Thread("#2f6f8f"), Thread("#b2392f")
LAYERED = sorted((TESTS / "golden").glob("*-layers.svg"))


def line(x: float) -> np.ndarray:
    return np.array([(x, 0.0), (x + 3, 0), (x + 6, 0)])


def step(kind: str, piece: str, x: float, pause: str = "", link: str = "trim") -> Step:
    return Step(kind, piece, BLUE, (line(x),), (link,), pause)


LAY = "Lay {0} over the line of {0}."
STEPS = (
    step("placement", "1", 0),
    step("placement", "2", 10, f"{LAY.format(1)} {LAY.format(2)}", "trim"),
    step("tack", "1", 20, link="run"),
    Step("travel", "", BLUE, (line(26),), ("run",)),
    step("tack", "2", 32, "Put a pin in."),
    step("edge", "1", 40),
    step("edge", "2", 50),
)
PLAN = Plan(
    "Harbour",
    (50.0, 50.0),
    (
        ThreadBlock(BLUE, (line(0),), "Lay sea."),
        ThreadBlock(BLUE, (line(10),)),
        ThreadBlock(RED, (line(20),), "Lay sand."),
        ThreadBlock(BLUE, (line(30),)),
    ),
)


def test_stops_are_counted_from_1() -> None:
    assert from_stop(PLAN, 1).blocks == PLAN.blocks[1:]
    assert from_stop(PLAN, 3).blocks == PLAN.blocks[3:]
    assert from_stop(PLAN, 3).centre == PLAN.centre


@pytest.mark.parametrize("number", [-1, 0, 4, 99])
def test_a_stop_that_there_is_not_is_refused_with_those_there_are(number: int) -> None:
    with pytest.raises(UsageError, match="the stops are 1 to 3"):
        from_stop(PLAN, number)


def test_a_plan_without_stops_has_none_to_go_on_from() -> None:
    with pytest.raises(UsageError, match="in one go"):
        from_stop(replace(PLAN, blocks=PLAN.blocks[:1]), 1)


def test_what_lies_on_the_block_by_a_stop_is_known() -> None:
    assert [(done.stop, done.pause) for done in done_before(PLAN, 3)] == [
        (1, "Lay sea."),
        (3, "Lay sand."),
    ]
    assert len(done_before(PLAN, 2)) == 1


# Pieces


def test_only_the_steps_of_a_piece_are_kept_in_order() -> None:
    kept = only_pieces(STEPS, ["2"])
    assert [one.kind for one in kept] == ["placement", "tack", "edge"]
    assert {one.piece for one in kept} == {"2"}


def test_a_pause_is_kept_for_the_piece_it_concerns_alone() -> None:
    assert [one.pause for one in only_pieces(STEPS, ["2"])] == [LAY.format(2), "Put a pin in.", ""]


def test_a_pause_that_another_piece_held_moves_to_the_step_before_it() -> None:
    assert [one.pause for one in only_pieces(STEPS, ["1"])] == [LAY.format(1), "", ""]


def test_two_pieces_keep_their_common_pause() -> None:
    assert only_pieces(STEPS, ["1", "2"])[1].pause == f"{LAY.format(1)} {LAY.format(2)}"


def test_covered_travel_falls_away_and_the_thread_is_cut_in_its_place() -> None:
    kept = only_pieces(STEPS, ["1", "2"])
    assert "travel" not in [one.kind for one in kept]
    assert kept[2].links == ("trim",)
    assert len(plan_of(kept, "", (0, 0)).blocks[1].runs) == 2


def test_a_trimming_is_kept_with_its_caution() -> None:
    trim = (
        "Take the hoop off the machine and trim 2 close to its line, holes too, blades away from "
        "fingers."
    )
    steps = (step("trim-line", "2", 0), step("edge", "1", 9, trim), step("edge", "2", 18))
    assert only_pieces(steps, ["2"])[0].pause == trim


def test_an_unknown_piece_is_refused_with_those_there_are() -> None:
    with pytest.raises(UsageError, match="nothing is sewn of 9; the pieces are 1, 2"):
        only_pieces(STEPS, ["1", "9"])


# Ties, on the samples


def starts_with_a_tie(run: np.ndarray) -> bool:
    """To and fro three times between the same two places, 0.8 mm or so apart."""
    same = np.allclose(run[0], run[2], atol=0.01) and np.allclose(run[1], run[3], atol=0.01)
    return bool(same and 0.3 < np.hypot(*(run[1] - run[0])) < 1.6)


@pytest.mark.parametrize("path", LAYERED, ids=lambda path: path.stem)
def test_whatever_stop_a_block_goes_on_from_its_thread_is_tied_first(path) -> None:
    plan, _ = read_plan(etree.parse(str(path)).getroot())
    for number in range(1, len(plan.blocks)):
        assert starts_with_a_tie(from_stop(plan, number).blocks[0].runs[0]), number


@pytest.mark.parametrize("path", LAYERED, ids=lambda path: path.stem)
def test_every_run_of_a_piece_alone_is_tied(path) -> None:
    steps = read_steps(etree.parse(str(path)).getroot()).steps
    for label in {one.piece for one in steps if one.piece}:
        for block in plan_of(only_pieces(steps, [label]), "", (0, 0)).blocks:
            assert all(starts_with_a_tie(run) for run in block.runs), label


# Files of other makers


def test_long_moves_become_trims() -> None:
    far = np.array([(0.0, 0.0), (3, 0), (30, 0), (33, 12.1)])
    plan, count = cut_at_long_moves(replace(PLAN, blocks=(ThreadBlock(BLUE, (far,)),)))
    assert count == 1
    assert [len(run) for run in plan.blocks[0].runs] == [2, 2]
    assert cut_at_long_moves(PLAN)[1] == 0
