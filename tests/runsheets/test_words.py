"""What a colour block sews and what is done at its end, in words."""

from __future__ import annotations

import numpy as np
import pytest

from applique.hoops.lining.steps import TAKE_OUT, UNTHREADED, check_steps
from applique.hoops.plan import Cross
from applique.model import Step, StepKind, Thread
from applique.paper.content import Card, CardPiece, Pause
from applique.paper.run_content import RunThread, Task
from applique.runsheets.blocks import blocks_of
from applique.runsheets.colour_names import colour_name
from applique.runsheets.words import (
    PRESS,
    joined,
    keep_task,
    pause_tasks,
    sewn_words,
    thread_of,
    thread_task,
)
from applique.sequence.plan import plan_of
from tests.shapes import rectangle

SEA = Thread("#2f6f8f")
RED = Thread("#b2392f", "crab red")


def piece(label: str, method: str = "cut-first", extra_mm: float = 0.0, edge: str = "satin"):
    shape = rectangle(0, 0, 20, 20)
    colour = "#2f6f8f"
    return CardPiece(
        label, "sea blue", colour, edge, method, (), shape, shape, shape, extra_mm=extra_mm, pause=1
    )


def card(*pieces: CardPiece) -> Card:
    return Card("Sea", None, "sky", "#cfe3ea", pieces)


def step(kind: StepKind, label: str, thread: Thread = SEA, pause: str = "") -> Step:
    path = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0]])
    return Step(kind, label, thread, (path,), ("trim",), pause)


def tasks_of(pause: Pause, *pieces: CardPiece, following: Thread = SEA) -> list[str]:
    by_label = {each.label: each for each in pieces}
    return [task.words for task in pause_tasks(pause, by_label, following)]


def test_pieces_sewn_alike_are_told_together() -> None:
    steps = [
        step("tack", "3"), step("edge", "3"), step("travel", ""), step("edge", "3"),
        step("tack", "4"), step("edge", "4"), step("placement", "5"),
    ]  # fmt: skip
    told = sewn_words(steps, card(piece("3"), piece("4"), piece("5")))
    assert told == "tack-downs and satin edges of 3 and 4; placement line of 5"


@pytest.mark.parametrize(
    ("edge", "told"),
    [
        ("satin", "satin edge of 7"),
        ("blanket", "blanket-stitch edge of 7"),
        ("zigzag", "zigzag edge of 7"),
        ("straight", "straight edge of 7"),
    ],
)
def test_an_edge_is_called_by_its_stitch(edge: str, told: str) -> None:
    assert sewn_words([step("edge", "7")], card(piece("7", edge=edge))) == told


def test_marks_and_strays_are_told_where_they_are_sewn() -> None:
    begun = [step("baste", ""), step("placement", "1"), step("align", ""), step("align", "")]
    told = sewn_words(begun, card(piece("1")))
    assert told == "basting box; placement line of 1; 2 crosses for lining up"
    assert sewn_words([step("edge", "")], card()) == "stitches that belong to no piece"
    assert sewn_words([step("detail", "net")], card()) == "detail net"


def test_names_with_a_comma_are_set_apart() -> None:
    assert joined(["sky, left", "sky, right", "hill"]) == "“sky, left”, “sky, right” and hill"
    assert joined(["4"]) == "4"
    assert joined([]) == ""


def test_fabric_is_laid_as_its_method_wants_it() -> None:
    pieces = (piece("4"), piece("9", "cut-in-hoop", 12.7), piece("12", "turned", 6.35))
    assert tasks_of(Pause(1, ("4", "9", "12")), *pieces) == [
        "Lay sea blue over the line of 4.",
        "Lay a patch of sea blue, 12.7 mm larger all round, over the line of 9.",
        "Lay sea blue, edge turned, over the line of 12.",
        PRESS,
    ]
    two = tasks_of(Pause(1, ("9", "10")), piece("9", "cut-in-hoop", 12.7),
                   piece("10", "cut-in-hoop", 12.7))  # fmt: skip
    assert two == [
        "Lay patches of sea blue, 12.7 mm larger all round, over the lines of 9 and 10.",
    ]


def test_trimming_and_pressing_are_done_safely() -> None:
    [trim] = tasks_of(Pause(1, (), ("9",)), piece("9"))
    assert trim == (
        "Trim 9 close to its line, holes too: hoop off the machine, not unhooped, blades away from "
        "fingers."
    )
    for words in ("hoop off the machine", "pad beneath", "mini iron", "never on the hoop"):
        assert words in PRESS


def test_her_own_words_come_first() -> None:
    told = pause_tasks(Pause(1, ("4",), (), "Mind the cat."), {"4": piece("4")}, SEA)
    assert told[0] == Task("own", "Mind the cat.")


def test_what_is_said_of_threads_is_said_once() -> None:
    """The words of a cross's check end with the thread that follows, which the sheet tells
    itself."""
    [check] = check_steps([Cross("A", (0.0, 0.0), "needle", 1, (2,))], RED)
    assert check.pause.endswith("Then thread crab red.")
    [told] = tasks_of(Pause(1, (), (), check.pause), following=RED)
    assert told.endswith("hoop it again.")
    assert tasks_of(Pause(1, (), (), TAKE_OUT), following=UNTHREADED) == []
    empty = thread_of(UNTHREADED, card())
    assert thread_task(empty).words == TAKE_OUT
    assert keep_task(empty, "").words == "Leave the needle empty, whatever the screen says."


def test_a_thread_without_a_name_matches_its_fabric() -> None:
    assert thread_of(RED, card(piece("4"))).words == "crab red"
    assert thread_of(SEA, card(piece("4"))).words == "grey blue, to match sea blue"
    assert thread_of(Thread("#ffffff"), card(piece("4"))).words == "white"


def test_a_thread_is_kept_whatever_the_screen_says() -> None:
    thread = RunThread("#2f6f8f", "grey blue", "sea blue")
    assert (
        keep_task(thread, "#7db3dc").words == "The screen says light blue: keep thread grey blue."
    )
    assert keep_task(thread, "#5c7d95").words == "Keep thread grey blue, as the screen says."
    assert keep_task(thread, "").words == "Keep thread grey blue, whatever the screen says."


@pytest.mark.parametrize(
    ("colour", "name"),
    [("#ffffff", "white"), ("#000000", "black"), ("#808080", "grey"), ("#ff0000", "red"),
     ("#ffa500", "orange"), ("#ffff00", "yellow"), ("#008000", "green"), ("#006400", "dark green"),
     ("#808000", "olive"), ("#40e0d0", "turquoise"), ("#add8e6", "pale blue"), ("#0000ff", "blue"),
     ("#000080", "dark blue"), ("#ff00ff", "magenta"), ("#8b0000", "dark red")],
)  # fmt: skip
def test_colours_have_plain_names(colour: str, name: str) -> None:
    """Colours of CSS Color 4, section 6.1, under nearly the names that they have there."""
    assert colour_name(colour) == name


def test_steps_are_shared_out_as_the_plan_shares_them() -> None:
    steps = [
        step("placement", "1", SEA, "Lay it."), step("tack", "1"), step("edge", "1", RED),
        step("placement", "2", RED), step("edge", "2", SEA),
    ]  # fmt: skip
    blocks, plan = blocks_of(steps), plan_of(steps, "", (0.0, 0.0))
    assert [block.thread for block in blocks] == [block.thread for block in plan.blocks]
    assert [block.pause for block in blocks] == [block.pause for block in plan.blocks]
    assert [len(block.steps) for block in blocks] == [1, 1, 2, 1]
