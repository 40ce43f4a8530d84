"""The colour blocks of a block's files, each with what is done at its end."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from applique.export.formats import FORMATS
from applique.export.machine import palette_of
from applique.export.threads import block_colours
from applique.model import Plan, Step, Thread
from applique.paper.content import Card, Pause
from applique.paper.pauses import pauses_of
from applique.paper.run_content import RunStop, Task
from applique.runsheets.blocks import StepBlock, blocks_of
from applique.runsheets.minutes import filed_stitches, machine_minutes
from applique.runsheets.needles import Change
from applique.runsheets.wishes import Wishes
from applique.runsheets.words import (
    keep_task,
    pause_tasks,
    sewn_words,
    thread_of,
    thread_task,
)

_NOTHING = Pause(0)


@dataclass(frozen=True, eq=False)
class Filed:
    """A file's steps, its plan (one thread block for each of `blocks`), what is done at the pause
    of each block, and what at the very end."""

    plan: Plan
    blocks: tuple[StepBlock, ...]
    pauses: tuple[Pause, ...]
    at_end: tuple[Task, ...] = ()


def filed(steps: Sequence[Step], plan: Plan, card: Card, at_end: Iterable[Task] = ()) -> Filed:
    """The steps of a file beside its plan."""
    blocks = blocks_of(steps)
    told, _ = pauses_of(steps, [piece.label for piece in card.pieces])
    pauses = iter(told)
    at_blocks = tuple(next(pauses) if block.pause else _NOTHING for block in blocks)
    return Filed(plan, blocks, at_blocks, tuple(at_end))


@dataclass(frozen=True)
class Needling:
    """What a machine with several needles does in one file: the needle of each block, and what is
    threaded anew, `after` counting the blocks of this file."""

    needles: tuple[int, ...]
    changes: tuple[Change, ...]


def stops_of(
    file: Filed, card: Card, wishes: Wishes, needling: Needling | None
) -> tuple[RunStop, ...]:
    """The colour blocks of a file. `needling` is None for a machine with one needle."""
    minutes = machine_minutes(file.plan, wishes.pace)
    stitches = filed_stitches(file.plan)
    screen = _screen_colours(file.plan, wishes.machine.format)
    pieces = {piece.label: piece for piece in card.pieces}
    threads = [block.thread for block in file.blocks]
    last = len(file.blocks) - 1
    result = []
    for k, (block, pause) in enumerate(zip(file.blocks, file.pauses, strict=True)):
        following = threads[min(k + 1, last)]
        tasks = pause_tasks(pause, pieces, following)
        by_hand = needling is not None and k != last and bool(tasks or _changes(needling, k))
        hand = _laying_minutes(pause, wishes)
        if needling is not None:
            changed = [_rethread(change, card) for change in _changes(needling, k)]
            tasks += changed
            hand += len(changed) * wishes.handwork.threading_minutes
        elif k != last:
            tasks.append(_next_thread(block.thread, following, screen[k + 1], card))
            hand += (following != block.thread) * wishes.handwork.threading_minutes
        result.append(
            RunStop(
                number=k + 1,
                sewn=sewn_words(block.steps, card),
                thread=thread_of(block.thread, card),
                needle=0 if needling is None else needling.needles[k],
                stitches=stitches[k],
                machine_minutes=minutes[k],
                hand_minutes=hand,
                tasks=tuple(tasks) if k != last else (*tasks, *file.at_end),
                set_by_hand=by_hand,
            )
        )
    return tuple(result)


def _screen_colours(plan: Plan, suffix: str) -> list[str]:
    """The colour of each block that the file bids the machine show, "" where it holds none."""
    format = FORMATS[suffix]
    if format.colours == "none":
        return [""] * len(plan.blocks)
    colours = block_colours(plan.blocks, format, palette_of(format))
    return [f"#{red:02x}{green:02x}{blue:02x}" for red, green, blue in colours]


def _next_thread(thread: Thread, following: Thread, screen: str, card: Card) -> Task:
    words = thread_of(following, card)
    return keep_task(words, screen) if following == thread else thread_task(words)


def _changes(needling: Needling, block: int) -> list[Change]:
    return [change for change in needling.changes if change.after == block]


def _rethread(change: Change, card: Card) -> Task:
    out, into = thread_of(change.out, card), thread_of(change.into, card)
    words = f"Rethread needle {change.needle}: take out {out.words}, put in {into.words}."
    return Task("needle", words)


def _laying_minutes(pause: Pause, wishes: Wishes) -> float:
    work = wishes.handwork
    laid, trimmed = len(pause.laid), len(pause.trimmed)
    return laid * work.laying_minutes + trimmed * work.trimming_minutes
