"""What the stitch-out page plays: stitches as files hold them, read back, in their places.

stitch-out: layered block, its files -> read back -> stops of the steps -> StitchOut -> page
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from lxml import etree

from applique.errors import OutputError
from applique.export.machine import machine_file
from applique.export.reading import Reading, reading_of_made
from applique.hooping import Told, plan_hoopings, read_layered
from applique.hoops.filed import file_plan
from applique.hoops.layered import Layered
from applique.hoops.lining.steps import UNTHREADED
from applique.hoops.plan import HoopingPlan
from applique.hoops.request import HoopRequest
from applique.layering.fabric import patch_of, raw_edge
from applique.model import Frame, LaidPiece, Step
from applique.pages.stitchout_content import BoxMm, Patch, PlayedBlock, Sitting, StitchOut
from applique.paper.pauses import pauses_of
from applique.pipeline import read_plan
from applique.renewal import relabelled
from applique.report import Finding, ordered
from applique.svg.tagged import read_steps

MARGIN_MM = 5.0
"""How much of the background is shown round everything, as in the proof's picture."""

BACKGROUND = "#e9ecef"
"""The colour of a background of which nothing is known: a pale grey on which all threads show."""

CHANGE_THREAD = "Change the thread."
"""What is done at a stop that no pause asks for."""


@dataclass(frozen=True, eq=False)
class SewnFile:
    """A stitch file as it was read back, and the steps it was made of, in sewing order: these know
    the true threads, the pauses and the pieces. `centre` is where its origin lies, in mm on the
    page; `turned` says that the block lies turned in the frame, by a quarter clockwise.
    `field_box_mm` is the hoop's field on the block, None where none is known."""

    title: str
    reading: Reading
    steps: tuple[Step, ...]
    centre: tuple[float, float]
    turned: bool = False
    field_box_mm: BoxMm | None = None


def stitch_out_of_block(root: etree._Element, suffix: str) -> tuple[StitchOut, tuple[Finding, ...]]:
    """A layered document's sewing from one file of all its stitches, in the format of a suffix, and
    what was noticed. Raises InputError where it holds no stitches, or some that can't be sewn."""
    plan, findings = read_plan(root)
    layered = read_layered(root)
    reading = reading_of_made(machine_file(plan, suffix), plan.name, suffix)
    steps = tuple(relabelled(read_steps(root).steps, layered.block.parts))
    content = stitch_out_of(layered, [SewnFile("", reading, steps, plan.centre)])
    return content, ordered([*layered.findings, *findings])


def stitch_out_of_hoopings(
    root: etree._Element, request: HoopRequest, suffix: str, told: Told | None = None
) -> tuple[StitchOut, tuple[Finding, ...]]:
    """The same from the files of its fewest hoopings; `told` hears of the search for them. Raises
    InputError also where there are none."""
    layered = read_layered(root)
    hoopings = plan_hoopings(layered, request, told)
    plan = hoopings.plan
    filed = [file_plan(it, plan.name, plan.block_centre) for it in plan.hoopings]
    readings = [reading_of_made(machine_file(it, suffix), it.name, suffix) for it in filed]
    return stitch_out_of(layered, hooped_files(plan, readings)), hoopings.findings


def hooped_files(plan: HoopingPlan, readings: Sequence[Reading]) -> list[SewnFile]:
    """The files of a plan, one of each hooping, as they were read back."""
    return [
        SewnFile(
            f"Hooping {hooping.number}",
            reading,
            hooping.steps,
            hooping.centre,
            hooping.turned,
            hooping.field_box_mm,
        )
        for hooping, reading in zip(plan.hoopings, readings, strict=True)
    ]


def stitch_out_of(layered: Layered, files: Sequence[SewnFile]) -> StitchOut:
    """A block's sewing from its files, in the order in which they are sewn.

    Raises OutputError if a file has other stops than the steps it was made of.
    """
    patches = _patches(layered, files)
    waiting = dict(patches)
    sittings = [_sitting(file, tuple(patches), waiting) for file in files]
    # What no stop lays lies beneath everything.
    first = sittings[0].blocks[0]
    first = replace(first, laid=(*waiting.values(), *first.laid))
    sittings[0] = replace(sittings[0], blocks=(first, *sittings[0].blocks[1:]))
    block = layered.block
    colours = {fabric.name: fabric.colour for fabric in block.fabrics}
    boxes = [shape.bounds for p in patches.values() for shape in (p.shape, p.untrimmed) if shape]
    return StitchOut(
        title=block.name,
        background_colour=colours.get(block.background, BACKGROUND),
        area_mm=_area([*boxes, *_runs_box(sittings), *_raw_box(block.frame)]),
        seam_box_mm=_seam_box(block.frame),
        sittings=tuple(sittings),
    )


def stitch_out_of_file(reading: Reading, title: str) -> StitchOut:
    """The sewing of a machine file of which nothing else is known: its own colours, no fabrics."""
    blocks = [
        PlayedBlock(block.thread.colour, block.thread.name, "", block.runs)
        for block in reading.plan.blocks
    ]
    sittings = (Sitting("", None, tuple(blocks)),)
    return StitchOut(title, BACKGROUND, _area(_runs_box(sittings)), None, sittings)


def on_page(points: np.ndarray, file: SewnFile) -> np.ndarray:
    """Points (n, 2) of mm round a file's origin as they lie on the page. A quarter turn clockwise
    in the frame (`hoops.filed`) is undone."""
    upright = np.stack([points[:, 1], -points[:, 0]], axis=1) if file.turned else points
    return np.asarray(upright + np.array(file.centre))


def _patches(layered: Layered, files: Sequence[SewnFile]) -> dict[str, Patch]:
    """The fabric of every piece, by label, in stacking order."""
    pieces = [item for item in layered.laid if isinstance(item, LaidPiece)]
    labels = [item.piece.label for item in pieces]
    trimmed = {
        label
        for file in files
        for pause in pauses_of(file.steps, labels)[0]
        for label in pause.trimmed
    }
    return {
        item.piece.label: Patch(
            label=item.piece.label,
            fabric=item.piece.fabric,
            colour=item.piece.colour,
            shape=item.cut,
            untrimmed=patch_of(item) if item.piece.label in trimmed else None,
        )
        for item in pieces
    }


def _sitting(file: SewnFile, labels: Sequence[str], waiting: dict[str, Patch]) -> Sitting:
    """One file as it is played. `labels` are those of all pieces; what the file lays is taken from
    the patches that are waiting."""
    groups, block_of = _grouped(file.steps)
    sewn = file.reading.plan.blocks
    if len(groups) != len(sewn):
        raise OutputError(
            f"{file.title or 'the file'}: has {len(sewn) - 1} stops where its layers have "
            f"{len(groups) - 1}; write it anew"
        )
    laid: list[list[str]] = [[] for _ in range(len(groups) + 1)]
    trimmed: list[list[str]] = [[] for _ in range(len(groups) + 1)]
    paused = [number for number, step in zip(block_of, file.steps, strict=True) if step.pause]
    for number, pause in zip(paused, pauses_of(file.steps, labels)[0], strict=True):
        laid[number + 1] += pause.laid
        trimmed[number + 1] += pause.trimmed
    announced = frozenset(label for at_stop in laid for label in at_stop)
    blocks = []
    words = ""
    for number, steps in enumerate(groups):
        own_labels = _labels(steps)
        # A piece without a placement line is there when its first stitch is sewn.
        unannounced = [name for name in own_labels if name not in announced]
        due = [waiting.pop(name) for name in [*laid[number], *unannounced] if name in waiting]
        own = PlayedBlock(
            colour="" if steps[0].thread == UNTHREADED else steps[0].thread.colour,
            thread_name=steps[0].thread.name,
            screen_colour=_screen_colour(file.reading, number, steps[0]),
            runs=tuple(on_page(run, file) for run in sewn[number].runs),
            laid=tuple(due),
            trimmed=tuple(trimmed[number]),
            words=words,
            labels=tuple(own_labels),
        )
        blocks.append(own)
        words = steps[-1].pause or CHANGE_THREAD
    words = groups[-1][-1].pause
    if laid[-1] or trimmed[-1]:
        due = [waiting.pop(name) for name in laid[-1] if name in waiting]
        blocks.append(PlayedBlock("", "", "", (), tuple(due), tuple(trimmed[-1]), words))
    return Sitting(file.title, file.field_box_mm, tuple(blocks))


def _grouped(steps: Sequence[Step]) -> tuple[list[list[Step]], list[int]]:
    """The steps sewn between two stops, as `sequence.plan` parts them, and for each step the number
    of its group; a step after which nothing was begun yet has that of the group before."""
    groups: list[list[Step]] = []
    block_of: list[int] = []
    begun = False
    for step in steps:
        if begun and (groups[-1][-1].pause or groups[-1][-1].thread != step.thread):
            begun = False
        if not begun and step.paths:
            groups.append([])
            begun = True
        if begun:
            groups[-1].append(step)
        block_of.append(max(len(groups) - 1, 0))
    return groups, block_of


def _labels(steps: Iterable[Step]) -> list[str]:
    """The pieces and details that are sewn, in the order of their first stitches."""
    named = (step.piece for step in steps if step.piece and step.kind != "travel")
    return list(dict.fromkeys(named))


def _screen_colour(reading: Reading, number: int, step: Step) -> str:
    """The colour that the file stores in the place of the thread's, "" if it stores none or that
    one."""
    stored = reading.plan.blocks[number].thread.colour
    return "" if reading.colours == "none" or stored == step.thread.colour else stored


def _runs_box(sittings: Iterable[Sitting]) -> list[BoxMm]:
    """The box of all penetrations."""
    runs = [run for s in sittings for block in s.blocks for run in block.runs if len(run)]
    if not runs:
        return []
    points = np.vstack(runs)
    left, top = points.min(axis=0).tolist()
    right, bottom = points.max(axis=0).tolist()
    return [(left, top, right, bottom)]


def _seam_box(frame: Frame | None) -> BoxMm | None:
    return None if frame is None else (frame.left, frame.top, frame.right, frame.bottom)


def _raw_box(frame: Frame | None) -> list[BoxMm]:
    edge = raw_edge(frame)
    return [] if edge.is_empty else [edge.bounds]


def _area(boxes: Sequence[BoxMm]) -> BoxMm:
    """What is shown: everything, with a margin."""
    corners = np.array(boxes).reshape(-1, 4)
    left, top = (corners[:, :2].min(axis=0) - MARGIN_MM).tolist()
    right, bottom = (corners[:, 2:].max(axis=0) + MARGIN_MM).tolist()
    return left, top, right, bottom
