"""Order, pauses and travel of whole blocks."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import translate

from applique.layering.stack import lay
from applique.model import Block, LaidPiece, Piece, Step, Thread
from applique.sequence.keep import out_of_order
from applique.sequence.order import count_blocks, ordered
from applique.sequence.pauses import with_pauses
from applique.sequence.precedence import precedence
from applique.sequence.stages import work_of
from applique.sequence.travel import with_travel
from applique.settings import resolve
from applique.stitches.piece import sew
from tests.shapes import circle, piece, rectangle, square
from tests.strategies import scattered_pieces

BLUE, RED, SAND = Thread("#2f6f8f"), Thread("#b2392f"), Thread("#dcc08b")


def program(
    *pieces: Piece, travel: float = 30.0, **wanted
) -> tuple[tuple[Step, ...], dict[str, LaidPiece], int | None]:
    chosen = resolve({name.replace("_", "-"): value for name, value in wanted.items()})
    laid, _ = lay(Block("", (0, 0), None, "", pieces, (), chosen))
    last = chosen.edges == "last"
    comes_first = precedence([item for item in laid if not item.hidden])
    works = [work_of(item, sew(item, last)[0], last) for item in laid if not item.hidden]
    order = ordered(works, chosen, comes_first)
    by_label = {item.piece.label: item for item in laid}
    in_order = with_pauses(order.steps, by_label, comes_first.laying, last)
    steps = with_travel(in_order, by_label, travel)
    return steps, by_label, order.bound


def names(steps: Sequence[Step]) -> list[str]:
    return [f"{step.piece}{step.kind[0]}" for step in steps if step.kind != "travel"]


APART = [
    piece(translate(square(20), 60 * k, 0), label=str(k + 1), thread=thread)
    for k, thread in enumerate([BLUE, RED, BLUE, RED])
]
STACKED = [
    piece(translate(square(40), 20 * k, 0), label=str(k + 1), thread=thread)
    for k, thread in enumerate([BLUE, RED, BLUE])
]


def test_piece_by_piece_follows_the_stacking() -> None:
    steps, _, bound = program(*APART)
    assert names(steps) == ["1p", "1t", "1e", "2p", "2t", "2e", "3p", "3t", "3e", "4p", "4t", "4e"]
    assert count_blocks(steps) == 8
    assert bound is None


def test_fewest_sews_pieces_of_one_colour_together() -> None:
    steps, _, bound = program(*APART, order="fewest")
    # One block of placement lines, then one for each colour.
    assert count_blocks(steps) == bound == 3
    assert {step.thread for step in steps[:2]} == {steps[2].thread}


def test_fewest_keeps_the_stacking() -> None:
    steps, _, bound = program(*STACKED, order="fewest")
    assert count_blocks(steps) == bound == 4
    places = names(steps)
    assert places.index("1e") < places.index("2p") < places.index("2e") < places.index("3p")


def test_loose_pieces_are_limited() -> None:
    many = [piece(translate(square(20), 60 * k, 0), label=str(k), thread=BLUE) for k in range(9)]
    for limit in (1, 3, 4):
        steps, _, _ = program(*many, order="fewest", loose_pieces=limit)
        for step in steps:
            assert step.pause.count("Lay ") <= limit
        assert count_blocks(steps) == -(-9 // limit) + 1


def test_patches_do_not_lie_over_what_is_still_to_be_sewn() -> None:
    # Two patches 12.7 mm larger all round overlap, though the pieces are 20 mm apart.
    near = [
        piece(translate(square(20), 40 * k, 0), label=str(k), thread=BLUE, method="cut-in-hoop")
        for k in range(2)
    ]
    steps, _, _ = program(*near, order="fewest")
    places = names(steps)
    assert places.index("0e") < places.index("1p")


def test_patches_far_apart_are_worked_together() -> None:
    far = [
        piece(translate(square(20), 80 * k, 0), label=str(k), thread=BLUE, method="cut-in-hoop")
        for k in range(2)
    ]
    steps, _, bound = program(*far, order="fewest")
    assert count_blocks(steps) == bound == 3


def test_edges_last_lays_everything_first() -> None:
    for order in ("piece", "fewest"):
        steps, _, _ = program(*STACKED, order=order, edges="last")
        kinds = [step.kind for step in steps if step.kind != "travel"]
        assert kinds.index("edge") > max(k for k, kind in enumerate(kinds) if kind == "tack")
        edges = [step.piece for step in steps if step.kind == "edge"]
        assert edges.index("1") < edges.index("2") < edges.index("3")


def test_edges_last_go_by_colour() -> None:
    steps, _, _ = program(*APART, edges="last")
    threads = [step.thread for step in steps if step.kind == "edge"]
    assert len(set(threads[:2])) == len(set(threads[2:])) == 1


# Pauses


def test_a_fabric_is_laid_after_its_line_and_before_its_tack() -> None:
    steps, _, _ = program(*STACKED)
    for step in steps:
        assert bool(step.pause) == (step.kind == "placement")
    assert steps[0].pause == "Lay brick red over the line of 1."


@pytest.mark.parametrize("given", [{"order": "fewest"}, {"edges": "last"}, {}])
def test_every_piece_is_laid_exactly_once_and_in_time(given: dict[str, str]) -> None:
    steps, laid, _ = program(*APART, *STACKED_HIGHER, **given)
    for label in laid:
        said = [k for k, step in enumerate(steps) if f"the line of {label}." in step.pause]
        placed = [k for k, s in enumerate(steps) if (s.piece, s.kind) == (label, "placement")]
        held = [k for k, s in enumerate(steps) if s.piece == label and s.kind in ("tack", "edge")]
        assert len(said) == 1
        assert max(placed) <= said[0] < min(held)


STACKED_HIGHER = [
    piece(translate(square(40), 20 * k, 100), label=f"h{k}", thread=thread)
    for k, thread in enumerate([SAND, RED, SAND, BLUE])
]


def test_patches_are_laid_then_trimmed() -> None:
    steps, _, _ = program(piece(square(40), method="cut-in-hoop", fabric="sand"))
    assert [step.pause for step in steps] == [
        "Lay a patch of sand, 12.7 mm larger, over the line of 1.",
        "Take the hoop off the machine and trim 1 close to its line, holes too, blades away from "
        "fingers.",
        "",
        "",
    ]


def test_a_pause_the_user_wrote_is_kept() -> None:
    steps, laid, _ = program(*STACKED)
    noted = [*steps[:2], replace(steps[2], pause="Wind a bobbin.")]
    again = with_pauses([*noted, *steps[3:]], laid, {}, False)
    assert again[2].pause == "Wind a bobbin."
    assert again[0].pause == steps[0].pause


# Travel


def test_a_gap_that_will_be_covered_is_run() -> None:
    # A mast laid over a sail: the sail's edge is broken by it and goes on beneath.
    sail = piece(square(60), thread=SAND)
    mast = piece(rectangle(24, -20, 14, 100), label="2", thread=RED)
    steps, laid, _ = program(sail, mast)
    travels = [step for step in steps if step.kind == "travel"]
    assert travels
    for step in travels:
        for path in step.paths:
            inside = laid["2"].piece.outline.shape.buffer(-0.7)
            assert all(inside.covers(point) for point in _points(path))
    kinds = [step.kind for step in steps]
    first = kinds.index("travel")
    assert steps[first - 1].links[-1] == "run"
    assert steps[first].links == ("run",)
    assert steps[first - 1].piece == steps[first + 1].piece == "1"


def test_a_gap_in_sight_is_trimmed() -> None:
    steps, _, _ = program(*APART)
    assert all(step.kind != "travel" for step in steps)
    assert all(step.links[-1] == "trim" for step in steps if step.kind == "edge")


def test_a_long_gap_is_trimmed_even_where_it_would_be_covered() -> None:
    sail = piece(square(60), thread=SAND)
    board = piece(rectangle(10, -20, 40, 100), label="2", thread=RED)
    steps, _, _ = program(sail, board, travel=12.0)
    assert all(step.kind != "travel" for step in steps)


def test_no_run_crosses_fabric_that_already_lies() -> None:
    # The same two pieces with everything laid before the edges: the mast lies already.
    sail = piece(square(60), thread=SAND)
    mast = piece(rectangle(24, -20, 14, 100), label="2", thread=RED)
    steps, _, _ = program(sail, mast, edges="last")
    assert all(step.kind != "travel" for step in steps)


def test_circles_in_a_row_are_sewn_the_short_way() -> None:
    row = [piece(circle(8, 40 * x), label=str(x), thread=BLUE) for x in (0, 3, 1, 2)]
    steps, _, _ = program(*row, order="fewest")
    edges = [int(step.piece) for step in steps if step.kind == "edge"]
    assert abs(np.diff(edges)).sum() <= 4


def _points(path: np.ndarray):
    import shapely

    return shapely.points(path)


# Any block


@given(scattered_pieces(), st.sampled_from(["with-piece", "last"]), st.integers(1, 4))
@settings(max_examples=60)
def test_any_block_is_ordered_laid_and_bounded_rightly(
    pieces: list[Piece], edges: str, limit: int
) -> None:
    steps, laid, bound = program(*pieces, order="fewest", edges=edges, loose_pieces=limit)
    seen = [item for item in laid.values() if not item.hidden]
    comes_first = precedence(seen)
    assert bound is not None and bound <= count_blocks(steps)
    assert out_of_order(steps, comes_first, edges == "last") is None
    laid_at = {
        label: [k for k, step in enumerate(steps) if f"the line of {label}." in step.pause]
        for label in laid
    }
    for item in seen:
        label = item.piece.label
        (moment,) = laid_at[label]
        own = [step.kind for step in steps[: moment + 1] if step.piece == label]
        assert own == ["placement"]
        later = [upper for upper, lower in comes_first.laying.items() if label in lower]
        begun = [k for k, step in enumerate(steps) if step.piece in later]
        assert moment < min(begun, default=len(steps))
    if edges == "with-piece":
        assert max(step.pause.count("Lay ") for step in steps) <= limit
