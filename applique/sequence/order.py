"""The order in which a block is sewn."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from applique.geometry.offset import grown_mitred
from applique.model import LaidPiece, Step, Thread
from applique.sequence.fewest import Schedule, Tasks, fewest_blocks
from applique.sequence.stages import PieceWork, Stage
from applique.settings import Settings


@dataclass(frozen=True, eq=False)
class Order:
    """Steps in sewing order. `bound` is how many colour blocks are certainly needed, None where
    nothing was searched."""

    steps: tuple[Step, ...]
    bound: int | None = None


def ordered(works: Sequence[PieceWork], settings: Settings) -> Order:
    """Order a block's pieces, given in stacking order, by the document's settings."""
    if not works:
        return Order(())
    if settings.edges == "last":
        return _edges_last(works, settings)
    if settings.order == "piece":
        return Order(_piece_by_piece(works))
    tasks = _tasks([work.laid.piece.thread.colour for work in works], works, settings)
    schedule = fewest_blocks(tasks)
    return Order(_scheduled(works, schedule, None), schedule.bound)


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


def _edges_last(works: Sequence[PieceWork], settings: Settings) -> Order:
    """Everything laid and tacked first, then the edges by colour, a lower edge before the edges
    above it."""
    colours = [work.laid.piece.thread.colour for work in works]
    below = [sorted(found) for found in _stacking(works)]
    edges = fewest_blocks(Tasks(colours, below, [0] * len(works), limit=len(works)))
    laying = [PieceWork(work.laid, work.stages[:-1]) for work in works]
    bound = None
    if settings.order == "piece":
        steps = list(_piece_by_piece(laying))
    else:
        first_edge = works[edges.block.index(min(edges.block))]
        rounds = fewest_blocks(_tasks([""] * len(works), laying, settings))
        steps = list(_scheduled(laying, rounds, first_edge.laid.piece.thread))
        # The last tack-downs and the first edges share a block.
        bound = rounds.bound + edges.bound - 1
    for group in _by_block(works, edges):
        for work in _nearest_first(group, steps):
            steps.extend(work.stages[-1].steps)
    return Order(tuple(steps), bound)


def _tasks(colours: Sequence[str], works: Sequence[PieceWork], settings: Settings) -> Tasks:
    """Finishing the pieces as tasks for the search; a piece follows those it lies on and those
    that its patch, or whose patch, would be in the way."""
    below = _stacking(works)
    for first, second in _patch_conflicts(works):
        below[max(first, second)].add(min(first, second))
    stops = [work.stops for work in works]
    return Tasks(colours, [sorted(found) for found in below], stops, settings.loose_pieces)


def _stacking(works: Sequence[PieceWork]) -> list[set[int]]:
    """For each piece the indices of those it lies on."""
    index = {work.label: k for k, work in enumerate(works)}
    return [{index[label] for label in work.laid.below_labels if label in index} for work in works]


def _patch_conflicts(works: Sequence[PieceWork]) -> list[tuple[int, int]]:
    """Pairs of pieces of which one's patch, larger than the piece, lies over the other."""
    patched = [k for k, work in enumerate(works) if _is_patched(work.laid)]
    if not patched:
        return []
    footprints = [_footprint(work.laid) for work in works]
    first, second = shapely.STRtree(footprints).query(
        [footprints[k] for k in patched], predicate="intersects"
    )
    pairs = [(patched[a], int(b)) for a, b in zip(first.tolist(), second.tolist(), strict=True)]
    return [(a, b) for a, b in pairs if a != b]


def _is_patched(laid: LaidPiece) -> bool:
    return laid.piece.settings.method == "cut-in-hoop"


def _footprint(laid: LaidPiece) -> shapely.Geometry:
    if _is_patched(laid):
        return grown_mitred(laid.cut, laid.piece.settings.patch_margin_mm)
    return laid.cut


def _scheduled(
    works: Sequence[PieceWork], schedule: Schedule, covered_thread: Thread | None
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
        for work in _nearest_first(final[number], steps):
            steps.extend(_in_thread(work.stages[-1], thread))
        placed = [work for work in following if work.stops == 1]
        placed += [work for work in after if work.stops == 2]
        for work in _nearest_first(placed, steps):
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
    return next(block[0].laid.piece.thread for block in blocks if block)


def _nearest_first(works: Sequence[PieceWork], before: Sequence[Step]) -> list[PieceWork]:
    """Pieces in an order with short ways between them: from where the needle is to the nearest
    start, again and again, never a piece before one that it lies on."""
    works = [work for work in works if _sewn(work)]
    if len(works) < 2:
        return list(works)
    here = before[-1].paths[-1][-1] if before else None
    starts = np.array([_sewn(work)[0].paths[0][0] for work in works])
    ends = np.array([_sewn(work)[-1].paths[-1][-1] for work in works])
    waits_for = _stacking(works)
    left = set(range(len(works)))
    order: list[int] = []
    while left:
        free = [k for k in sorted(left) if not waits_for[k] & left]
        away = np.zeros(len(free)) if here is None else ((starts[free] - here) ** 2).sum(axis=1)
        nearest = free[int(np.argmin(away))]
        left.remove(nearest)
        order.append(nearest)
        here = ends[nearest]
    return [works[k] for k in order]


def _sewn(work: PieceWork) -> tuple[Step, ...]:
    """The steps of the piece's last stage, or of its first where the last has none."""
    return work.stages[-1].steps or work.stages[0].steps
