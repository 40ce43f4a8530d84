"""The run sheet of a block: of one file for all of it, or of its hoopings.

run sheet:    card, steps, plan -> blocks -> stops -> RunSheet
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate

import numpy as np
from lxml import etree

from applique.hoops.filed import file_plan
from applique.hoops.frame import background_mm
from applique.hoops.plan import HoopingPlan
from applique.hoops.request import HoopRequest
from applique.model import Plan, Step, Thread
from applique.paper.content import Card, CardPiece
from applique.paper.run_content import (
    CutSize,
    FabricCuts,
    NeedleTable,
    Rethreading,
    RunSheet,
    Sitting,
)
from applique.paper.words import method_words, size_words
from applique.pipeline import read_plan
from applique.renewal import relabelled
from applique.runsheets.lining import (
    block_task,
    hooping_task,
    lining_told,
    sewing_machine_tasks,
)
from applique.runsheets.needles import Threading, threading
from applique.runsheets.stops import Filed, Needling, filed, stops_of
from applique.runsheets.wishes import Wishes
from applique.runsheets.words import first_thread_task, thread_of
from applique.svg.read import survey_block
from applique.svg.tagged import read_steps

_OVERSIZE = "1 to 2 in (25 to 50 mm) larger, trimmed after sewing"


def run_sheet_of_block(
    root: etree._Element, card: Card, file_name: str, wishes: Wishes
) -> RunSheet:
    """The sheet of a layered document that is sewn from one file of all its stitches. `card` is
    that document's. Raises InputError where it holds no stitches, or some that can't be sewn."""
    plan, _ = read_plan(root)
    steps = relabelled(read_steps(root).steps, survey_block(root).block.parts)
    return run_sheet_of_steps(steps, plan, card, file_name, wishes)


def run_sheet_of_steps(
    steps: Sequence[Step], plan: Plan, card: Card, file_name: str, wishes: Wishes
) -> RunSheet:
    """The same where the document has been read already: its steps under the labels that their
    pieces have now, and the plan of its file."""
    sitting = Sitting(
        number=1,
        title="All in one hooping",
        file_name=file_name,
        field=f"the field must hold {size_words(_extents_mm(plan))}",
        lining=(),
        begin=(block_task(wishes.guidance.stabiliser),),
        begin_minutes=wishes.handwork.hooping_minutes,
        stops=(),
    )
    return _sheet(card, [sitting], [filed(steps, plan, card)], _trimmed_later(card), wishes)


def run_sheet_of_hoopings(
    plan: HoopingPlan,
    request: HoopRequest,
    card: Card,
    file_names: Sequence[str],
    wishes: Wishes,
) -> RunSheet:
    """The sheet of a block that is sewn in hoopings, each from a file. `card` is the block's.
    Raises OutputError where a stitch lies outside a field."""
    sittings = []
    files = []
    for hooping, name in zip(plan.hoopings, file_names, strict=True):
        sittings.append(
            Sitting(
                number=hooping.number,
                title=f"Hooping {hooping.number} of {len(plan.hoopings)}",
                file_name=name,
                field=f"hoop {hooping.field.told}, {'turned' if hooping.turned else 'upright'}",
                lining=lining_told(hooping, plan, request),
                begin=(hooping_task(hooping, request, wishes.guidance.stabiliser),),
                begin_minutes=wishes.handwork.hooping_minutes,
                stops=(),
            )
        )
        own = file_plan(hooping, plan.name, plan.block_centre)
        after = sewing_machine_tasks(hooping, plan)
        files.append(filed(hooping.steps, own, card, after))
    background = _trimmed_later(card)
    if request.hold != "laid on":
        least = size_words(background_mm(plan, request.frame))
        background = f"{least} at least, for the frames to grip; trimmed after sewing"
    return _sheet(card, sittings, files, background, wishes)


def _sheet(
    card: Card,
    sittings: Sequence[Sitting],
    files: Sequence[Filed],
    background: str,
    wishes: Wishes,
) -> RunSheet:
    """A sheet of sittings, each with the stops of its file."""
    many = wishes.machine.needles == "many"
    begun = list(sittings) if many else _threaded(sittings, files, card, wishes)
    needled = _threading(files, wishes.machine.needle_count) if many else None
    needlings = [None] * len(files) if needled is None else _shared_out(needled, files)
    filled = tuple(
        replace(sitting, stops=stops_of(file, card, wishes, needling))
        for sitting, file, needling in zip(begun, files, needlings, strict=True)
    )
    return RunSheet(
        card=card,
        sittings=filled,
        needles=None if needled is None else _table(needled, needlings, filled, card),
        cuts=tuple(_cuts(name, pieces) for name, pieces in card.by_fabric.items()),
        background=background,
        guidance=wishes.guidance,
        stitches_per_minute=wishes.machine.stitches_per_minute,
    )


# Threads


def _threaded(
    sittings: Sequence[Sitting], files: Sequence[Filed], card: Card, wishes: Wishes
) -> list[Sitting]:
    """Sittings of a machine with one needle, before each of which it gets its first thread."""
    result = []
    before: Thread | None = None
    for sitting, file in zip(sittings, files, strict=True):
        first = file.blocks[0].thread
        if first != before:
            task = first_thread_task(thread_of(first, card))
            minutes = sitting.begin_minutes + wishes.handwork.threading_minutes
            sitting = replace(sitting, begin=(*sitting.begin, task), begin_minutes=minutes)
        result.append(sitting)
        before = file.blocks[-1].thread
    return result


def _threading(files: Sequence[Filed], count: int) -> Threading:
    threads = [block.thread for file in files for block in file.blocks]
    ends = list(accumulate(len(file.blocks) for file in files))
    pauses = [bool(block.pause) for file in files for block in file.blocks]
    standing = {k for k, pause in enumerate(pauses) if pause} | {end - 1 for end in ends}
    return threading(threads, count, standing)


def _shared_out(needled: Threading, files: Sequence[Filed]) -> list[Needling]:
    """What the needles do, file by file."""
    result = []
    start = 0
    for file in files:
        end = start + len(file.blocks)
        changes = tuple(
            replace(change, after=change.after - start)
            for change in needled.changes
            if start <= change.after < end
        )
        result.append(Needling(needled.needles[start:end], changes))
        start = end
    return result


def _table(
    needled: Threading,
    needlings: Sequence[Needling | None],
    sittings: Sequence[Sitting],
    card: Card,
) -> NeedleTable:
    changes = [
        Rethreading(
            sitting.number,
            change.after + 1,
            change.needle,
            thread_of(change.out, card),
            thread_of(change.into, card),
        )
        for sitting, needling in zip(sittings, needlings, strict=True)
        if needling is not None
        for change in needling.changes
    ]
    by_hand = tuple(
        (sitting.number, tuple(stop.number for stop in sitting.stops if stop.set_by_hand))
        for sitting in sittings
    )
    threads = tuple(thread_of(thread, card) for thread in needled.first)
    return NeedleTable(threads, tuple(changes), by_hand)


# Sizes


def _extents_mm(plan: Plan) -> tuple[float, float]:
    stitches = np.vstack([run for block in plan.blocks for run in block.runs])
    # A file's origin is the middle of the field, whatever lies to either side of it.
    width, height = (2 * np.abs(stitches - np.array(plan.centre)).max(axis=0)).tolist()
    return width, height


def _trimmed_later(card: Card) -> str:
    if card.frame is None:
        return ""
    more = 2 * card.frame.seam_allowance
    cut = size_words((card.frame.width + more, card.frame.height + more))
    return f"{cut} with its seam allowance; cut it {_OVERSIZE}"


def _cuts(fabric: str, pieces: Sequence[CardPiece]) -> FabricCuts:
    sizes = tuple(CutSize(piece.label, method_words(piece), _cut_mm(piece)) for piece in pieces)
    return FabricCuts(fabric, pieces[0].colour, sizes)


def _cut_mm(piece: CardPiece) -> tuple[float, float]:
    width, height = piece.size_mm
    return width + 2 * piece.extra_mm, height + 2 * piece.extra_mm
