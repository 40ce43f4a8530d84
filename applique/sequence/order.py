"""The order in which a block is sewn."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from applique.model import Step, Thread
from applique.sequence.colours.fewest import Schedule, fewest_blocks
from applique.sequence.colours.tasks import Tasks
from applique.sequence.precedence import Before, Precedence
from applique.sequence.stages import PieceWork, Stage
from applique.sequence.ways.route import shortest_route
from applique.settings import Settings


@dataclass(frozen=True, eq=False)
class Order:
    """Steps in sewing order. `bound` is how many colour blocks are certainly needed, None where
    nothing was searched."""

    steps: tuple[Step, ...]
    bound: int | None = None


def ordered(works: Sequence[PieceWork], settings: Settings, comes_first: Precedence) -> Order:
    """Order a block's pieces, given in stacking order, by the document's settings."""
    if not works:
        return Order(())
    if settings.edges == "last":
        return _edges_last(works, settings, comes_first)
    if settings.order == "piece":
        return Order(_piece_by_piece(works))
    colours = [work.thread.colour for work in works]
    tasks = _laying_tasks(colours, works, comes_first.laying, settings)
    schedule = fewest_blocks(tasks)
    steps = _scheduled(works, schedule, None, comes_first.laying)
    return Order(steps, _certain(schedule.bound, works))


def count_blocks(steps: Sequence[Step]) -> int:
    """How many colour blocks steps make: a pause or another thread begins a new one."""
    count = 0
    thread: Thread | None = None
    stopped = True
    for step in steps:
        if stopped or step.thread != thread:
            count += 1
        thread, stopped = step.thread, bool(step.pause)
    return count


def _piece_by_piece(works: Iterable[PieceWork]) -> tuple[Step, ...]:
    """Each piece from its placement to its edge, the lowest first, in its own thread."""
    return tuple(step for work in works for stage in work.stages for step in stage.steps)


def _edges_last(works: Sequence[PieceWork], settings: Settings, comes_first: Precedence) -> Order:
    """Everything laid and tacked first, then the edges by colour, a lower edge before the edges
    above it."""
    edged = [work for work in works if work.stages[-1].steps]
    colours = [work.thread.colour for work in edged]
    below = _indices(edged, comes_first.edges)
    count = len(edged)
    edges = fewest_blocks(Tasks(colours, below, [0] * count, [False] * count, limit=1))
    laying = [
        PieceWork(work.laid, work.stages[:-1])
        for work in works
        if any(stage.steps for stage in work.stages[:-1])
    ]
    bound = None
    if settings.order == "piece":
        steps = list(_piece_by_piece(laying))
    else:
        tasks = _laying_tasks([""] * len(laying), laying, comes_first.laying, settings)
        rounds = fewest_blocks(tasks)
        first = next(iter(_by_block(edged, edges)), works)[0]
        steps = list(_scheduled(laying, rounds, first.thread, comes_first.laying))
        # The last tack-downs and the first edges share a block.
        bound = rounds.bound + max(edges.bound - 1, 0)
    for group in _by_block(edged, edges):
        for work in _short_way(group, -1, steps, comes_first.edges):
            steps.extend(work.stages[-1].steps)
    return Order(tuple(steps), bound)


def _laying_tasks(
    colours: Sequence[str], works: Sequence[PieceWork], before: Before, settings: Settings
) -> Tasks:
    """Laying and finishing the pieces as tasks for the search. What nothing holds down afterwards
    is not loose for a while but for good: no limit would help it."""
    held = [bool(work.stages[-1].steps) for work in works]
    stops = [work.stops for work in works]
    return Tasks(colours, _indices(works, before), stops, held, settings.loose_pieces)


def _certain(bound: int, works: Sequence[PieceWork]) -> int:
    """The blocks that are certainly needed, when finishing some of the pieces takes no stitch."""
    idle = sum(1 for work in works if not work.stages[-1].steps)
    return max(bound - idle, 1)


def _indices(works: Sequence[PieceWork], before: Before) -> list[list[int]]:
    """For each piece the indices of those that come before it."""
    index = {work.label: k for k, work in enumerate(works)}
    return [
        sorted(index[label] for label in before[work.label] if label in index) for work in works
    ]


def _scheduled(
    works: Sequence[PieceWork], schedule: Schedule, covered_thread: Thread | None, before: Before
) -> tuple[Step, ...]:
    """Blocks written out: trim lines that are due, the pieces to finish, then the placement lines
    of what is laid at the next stop. Covered lines are sewn in `covered_thread`, or else in the
    thread of their block."""
    final = [*_by_block(works, schedule), [], []]
    steps: list[Step] = []
    for number in range(schedule.count):
        thread = covered_thread or _next_thread(final[number:])
        following, after = final[number + 1], final[number + 2]
        for work in (work for work in following if work.stops == 2):
            steps.extend(_in_thread(work.stages[1], thread))
        for work in _short_way(final[number], -1, steps, before):
            steps.extend(_in_thread(work.stages[-1], thread))
        placed = [work for work in following if work.stops == 1]
        placed += [work for work in after if work.stops == 2]
        for work in _short_way(placed, 0, steps, before):
            steps.extend(_in_thread(work.stages[0], thread))
    return tuple(steps)


def _by_block(works: Sequence[PieceWork], schedule: Schedule) -> list[list[PieceWork]]:
    blocks: list[list[PieceWork]] = [[] for _ in range(schedule.count)]
    for work, number in zip(works, schedule.block, strict=True):
        blocks[number].append(work)
    return blocks


def _in_thread(stage: Stage, thread: Thread) -> list[Step]:
    if not stage.covered:
        return list(stage.steps)
    return [replace(step, thread=thread) for step in stage.steps]


def _next_thread(blocks: Iterable[Sequence[PieceWork]]) -> Thread:
    """The thread of the first block that finishes anything: what only gets covered is sewn in the
    thread that is needed next."""
    return next(block[0].thread for block in blocks if block)


def _short_way(
    works: Sequence[PieceWork], stage: int, sewn: Sequence[Step], before: Before
) -> list[PieceWork]:
    """Pieces of which a stage is sewn, in an order with short ways between them from where the
    needle is, never a piece before one that it must follow. Those of which it is nothing are left
    out."""
    works = [work for work in works if work.stages[stage].steps]
    if len(works) < 2:
        return works
    here = sewn[-1].paths[-1][-1] if sewn else None
    steps = [work.stages[stage].steps for work in works]
    starts = np.array([own[0].paths[0][0] for own in steps])
    ends = np.array([own[-1].paths[-1][-1] for own in steps])
    return [works[k] for k in shortest_route(starts, ends, _indices(works, before), here)]
