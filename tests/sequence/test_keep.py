"""An order that is kept: what is renewed takes its old place."""

from dataclasses import replace

import numpy as np
from shapely.affinity import translate

from applique.model import LaidPiece, Step, StepKind, Thread
from applique.sequence.keep import merged, out_of_order, without_travel
from applique.settings import resolve
from tests.shapes import laid, square

THREAD = Thread("#2f6f8f")
SETTINGS = resolve({})


def step(kind: StepKind, piece: str, mark: str = "old") -> Step:
    path = np.array([[0.0, 0.0], [3.0, 0.0]])
    return Step(kind, piece, THREAD, (path,), ("trim",), digest=mark)


def steps_of(piece: str, mark: str = "old") -> list[Step]:
    kinds: tuple[StepKind, ...] = ("placement", "tack", "edge")
    return [step(kind, piece, mark) for kind in kinds]


def block(*labels: str) -> dict[str, LaidPiece]:
    return {
        label: laid(translate(square(20), 50 * k, 0), label=label) for k, label in enumerate(labels)
    }


def names(steps: list[Step]) -> list[str]:
    return [f"{s.piece}{s.kind[0]}{'*' if s.digest == 'new' else ''}" for s in steps]


def test_renewed_steps_take_their_old_places() -> None:
    old = [*steps_of("1"), *steps_of("2"), *steps_of("3")]
    result = merged(old, {"2": steps_of("2", "new")}, block("1", "2", "3"), SETTINGS)
    assert names(result) == ["1p", "1t", "1e", "2p*", "2t*", "2e*", "3p", "3t", "3e"]


def test_a_step_that_falls_away_and_one_that_is_new() -> None:
    old = [*steps_of("1"), *steps_of("2")]
    fewer = [step("placement", "1", "new"), step("edge", "1", "new")]
    assert names(merged(old, {"1": fewer}, block("1", "2"), SETTINGS))[:2] == ["1p*", "1e*"]
    more = [*steps_of("1", "new")[:2], step("underlay", "1", "new"), step("edge", "1", "new")]
    result = merged(old, {"1": more}, block("1", "2"), SETTINGS)
    assert names(result)[:5] == ["1p*", "1t*", "1u*", "1e*", "2p"]


def test_interleaved_orders_stay_interleaved() -> None:
    one, two = steps_of("1"), steps_of("2")
    old = [one[0], two[0], one[1], one[2], two[1], two[2]]
    result = merged(old, {"2": steps_of("2", "new")}, block("1", "2"), SETTINGS)
    assert names(result) == ["1p", "2p*", "1t", "1e", "2t*", "2e*"]


def test_pieces_that_are_gone_are_dropped() -> None:
    result = merged([*steps_of("1"), *steps_of("2")], {}, block("2"), SETTINGS)
    assert names(result) == ["2p", "2t", "2e"]


def test_a_new_piece_enters_between_those_below_and_those_above() -> None:
    pieces = block("1", "2", "3")
    pieces["2"] = replace(pieces["2"], below_labels=("1",), above_labels=("3",))
    old = [*steps_of("1"), *steps_of("3")]
    result = merged(old, {"2": steps_of("2", "new")}, pieces, SETTINGS)
    assert names(result) == ["1p", "1t", "1e", "2p*", "2t*", "2e*", "3p", "3t", "3e"]


def test_a_new_piece_prefers_a_place_in_its_own_thread() -> None:
    other = [replace(s, thread=Thread("#000000")) for s in steps_of("1")]
    old = [*other, *steps_of("2"), *[replace(s, piece="3") for s in other]]
    result = merged(old, {"9": steps_of("9", "new")}, block("1", "2", "3", "9"), SETTINGS)
    assert names(result)[6:9] == ["9p*", "9t*", "9e*"]


def test_stacking_that_is_violated_is_found() -> None:
    pieces = block("1", "2")
    pieces["1"] = replace(pieces["1"], below_labels=("2",))
    assert out_of_order([*steps_of("1"), *steps_of("2")], pieces, False) == ("2", "1")
    assert out_of_order([*steps_of("2"), *steps_of("1")], pieces, False) is None


def test_with_edges_last_only_edges_and_laying_must_be_in_order() -> None:
    pieces = block("1", "2")
    pieces["2"] = replace(pieces["2"], below_labels=("1",))
    one, two = steps_of("1"), steps_of("2")
    right = [one[0], one[1], two[0], two[1], one[2], two[2]]
    assert out_of_order(right, pieces, True) is None
    assert out_of_order(right, pieces, False) == ("1", "2")
    wrong = [one[0], one[1], two[0], two[1], two[2], one[2]]
    assert out_of_order(wrong, pieces, True) == ("1", "2")


def test_travel_is_taken_out_and_its_gap_becomes_a_trim() -> None:
    first = replace(step("edge", "1"), links=("run",))
    travel = Step("travel", "", THREAD, (np.zeros((1, 2)),), ("run",))
    kept = without_travel([first, travel, step("edge", "2")])
    assert [s.kind for s in kept] == ["edge", "edge"]
    assert kept[0].links == ("trim",)
