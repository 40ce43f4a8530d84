"""An order that is kept: what is renewed takes its old place."""

from dataclasses import replace

import numpy as np

from applique.model import Step, StepKind, Thread
from applique.sequence.keep import merged, out_of_order, with_short_links, without_travel
from applique.sequence.precedence import Precedence
from applique.settings import resolve

THREAD = Thread("#2f6f8f")
SETTINGS = resolve({})


def step(kind: StepKind, piece: str, mark: str = "old") -> Step:
    path = np.array([[0.0, 0.0], [3.0, 0.0]])
    return Step(kind, piece, THREAD, (path,), ("trim",), digest=mark)


def steps_of(piece: str, mark: str = "old") -> list[Step]:
    kinds: tuple[StepKind, ...] = ("placement", "tack", "edge")
    return [step(kind, piece, mark) for kind in kinds]


ALONE: dict[str, frozenset[str]] = {label: frozenset() for label in "1239"}
TWO_OVER_ONE = {**ALONE, "2": frozenset("1")}


def names(steps: list[Step]) -> list[str]:
    return [f"{s.piece}{s.kind[0]}{'*' if s.digest == 'new' else ''}" for s in steps]


def test_renewed_steps_take_their_old_places() -> None:
    old = [*steps_of("1"), *steps_of("2"), *steps_of("3")]
    result = merged(old, {"2": steps_of("2", "new")}, ["1", "2", "3"], ALONE, SETTINGS)
    assert names(result) == ["1p", "1t", "1e", "2p*", "2t*", "2e*", "3p", "3t", "3e"]


def test_a_step_that_falls_away_and_one_that_is_new() -> None:
    old = [*steps_of("1"), *steps_of("2")]
    fewer = [step("placement", "1", "new"), step("edge", "1", "new")]
    assert names(merged(old, {"1": fewer}, ["1", "2"], ALONE, SETTINGS))[:2] == ["1p*", "1e*"]
    more = [*steps_of("1", "new")[:2], step("underlay", "1", "new"), step("edge", "1", "new")]
    result = merged(old, {"1": more}, ["1", "2"], ALONE, SETTINGS)
    assert names(result)[:5] == ["1p*", "1t*", "1u*", "1e*", "2p"]


def test_interleaved_orders_stay_interleaved() -> None:
    one, two = steps_of("1"), steps_of("2")
    old = [one[0], two[0], one[1], one[2], two[1], two[2]]
    result = merged(old, {"2": steps_of("2", "new")}, ["1", "2"], ALONE, SETTINGS)
    assert names(result) == ["1p", "2p*", "1t", "1e", "2t*", "2e*"]


def test_pieces_that_are_gone_are_dropped() -> None:
    result = merged([*steps_of("1"), *steps_of("2")], {}, ["2"], ALONE, SETTINGS)
    assert names(result) == ["2p", "2t", "2e"]


def test_a_new_piece_enters_between_those_below_and_those_above() -> None:
    before = {**ALONE, "2": frozenset("1"), "3": frozenset("2")}
    old = [*steps_of("1"), *steps_of("3")]
    result = merged(old, {"2": steps_of("2", "new")}, ["1", "2", "3"], before, SETTINGS)
    assert names(result) == ["1p", "1t", "1e", "2p*", "2t*", "2e*", "3p", "3t", "3e"]


def test_a_new_piece_prefers_a_place_in_its_own_thread() -> None:
    other = [replace(s, thread=Thread("#000000")) for s in steps_of("1")]
    old = [*other, *steps_of("2"), *[replace(s, piece="3") for s in other]]
    result = merged(old, {"9": steps_of("9", "new")}, ["1", "2", "3", "9"], ALONE, SETTINGS)
    assert names(result)[6:9] == ["9p*", "9t*", "9e*"]


def test_stacking_that_is_violated_is_found() -> None:
    comes_first = Precedence(laying=TWO_OVER_ONE, edges={})
    assert out_of_order([*steps_of("2"), *steps_of("1")], comes_first, False) == ("1", "2")
    assert out_of_order([*steps_of("1"), *steps_of("2")], comes_first, False) is None


def test_with_edges_last_only_edges_and_laying_must_be_in_order() -> None:
    comes_first = Precedence(laying=TWO_OVER_ONE, edges=TWO_OVER_ONE)
    one, two = steps_of("1"), steps_of("2")
    right = [one[0], one[1], two[0], two[1], one[2], two[2]]
    assert out_of_order(right, comes_first, True) is None
    assert out_of_order(right, comes_first, False) == ("1", "2")
    wrong = [one[0], one[1], two[0], two[1], two[2], one[2]]
    assert out_of_order(wrong, comes_first, True) == ("1", "2")
    assert out_of_order(wrong, Precedence(laying=TWO_OVER_ONE, edges={}), True) is None


def test_travel_is_taken_out_and_its_gap_becomes_a_trim() -> None:
    first = replace(step("edge", "1"), links=("run",))
    travel = Step("travel", "", THREAD, (np.zeros((1, 2)),), ("run",))
    kept = without_travel([first, travel, step("edge", "2")])
    assert [s.kind for s in kept] == ["edge", "edge"]
    assert kept[0].links == ("trim",)


def test_what_a_covered_run_had_divided_is_one_step_again() -> None:
    first = replace(step("edge", "1"), links=("run",), made="a")
    travel = Step("travel", "", THREAD, (np.zeros((1, 2)),), ("run",))
    second = replace(step("edge", "1"), made="b", pause="Wind a bobbin.")
    (whole,) = without_travel([first, travel, second])
    assert len(whole.paths) == 2
    assert whole.links == ("trim", "trim")
    assert whole.pause == "Wind a bobbin."
    assert not whole.edited
    # So is a step that a gap too short for a stitch had divided.
    (close,) = without_travel([first, second])
    assert close.links == ("trim", "trim")


def test_an_edit_of_one_part_is_an_edit_of_the_whole() -> None:
    first = replace(step("edge", "1"), links=("run",), made="a", edited=True)
    second = replace(step("edge", "1"), made="b")
    (whole,) = without_travel([first, second])
    assert whole.edited
    assert whole.made not in ("a", "b")


def test_two_steps_of_one_kind_stay_two_where_no_run_divided_them() -> None:
    assert len(without_travel([step("edge", "1"), step("edge", "1")])) == 2


def test_a_link_that_leads_nowhere_near_becomes_a_trim() -> None:
    tack, edge = replace(step("tack", "1"), links=("run",)), step("edge", "1")
    away = replace(edge, paths=(edge.paths[0] + 20,))
    assert with_short_links([tack, edge])[0].links == ("run",)
    assert with_short_links([tack, away])[0].links == ("trim",)
    assert with_short_links([tack, replace(edge, piece="2")])[0].links == ("trim",)
    assert with_short_links([tack])[0].links == ("trim",)
