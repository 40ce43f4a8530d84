"""A block's stitch files, with all that is read beside the machine: templates, run sheet, and the
page that plays the sewing."""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from applique.building.asked import HoopingsAsked
from applique.building.record import FACTS
from applique.building.task import Given, Made
from applique.building.works.swatched import patch_prints
from applique.carding import card_from
from applique.export.machine import machine_file
from applique.export.reading import reading_of_made
from applique.files import parse_svg
from applique.hooping import plan_hoopings, read_layered
from applique.hoops.frame import background_mm
from applique.hoops.layered import Layered
from applique.hoops.request import HoopRequest
from applique.hoopsheets import files_of, stitch_file_name
from applique.model import Plan, Step
from applique.pages.runsheet import run_sheet_page
from applique.pages.stitchout import stitch_out_page
from applique.paper.card import card_printout
from applique.paper.content import Card
from applique.paper.pdf import pdf_bytes
from applique.paper.run_content import RunSheet
from applique.paper.runsheet import run_sheet_printout
from applique.quilt.facts import SizeMm, facts_of
from applique.quilt.yardage import background_cut_mm
from applique.renewal import relabelled
from applique.report import Finding
from applique.runsheets.sheet import run_sheet_of_hoopings, run_sheet_of_steps
from applique.runsheets.wishes import Wishes
from applique.sequence.plan import plan_of
from applique.stitchouts import SewnFile, hooped_files, stitch_out_of
from applique.svg.tagged import read_steps


@dataclass(frozen=True, eq=False)
class _Sewing:
    """The stitch files of a block and the papers that came with them, by name; what is played of
    them; the run sheet; what is hooped each time, and how large the background must be."""

    files: Mapping[str, bytes]
    played: Sequence[SewnFile]
    plans: Sequence[Plan]
    sheet: RunSheet
    hooped: Sequence[SizeMm]
    background_mm: SizeMm | None
    findings: Sequence[Finding]


def make(asked: HoopingsAsked, given: Given) -> Made:
    """The stitch files, read back, and the papers and pages for them."""
    root = parse_svg(io.BytesIO(given.files[asked.files.layers]), asked.files.layers).getroot()
    layered = read_layered(root)
    steps = relabelled(read_steps(root).steps, layered.block.parts)
    card, _ = card_from(layered.block, layered.laid, steps)
    wishes = Wishes(asked.machine, asked.handwork, asked.guidance)
    if asked.hooping is None:
        sewing = _in_one(layered, steps, card, wishes, asked)
    else:
        sewing = _hooped(layered, card, wishes, asked.hooping, asked)
    files = asked.files
    played = stitch_out_of(layered, sewing.played).printed(patch_prints(asked.swatches))
    links = {"stitch-out": _beside(files.stitch_out), "card": _beside(files.card)}
    printout, _ = card_printout(card, asked.paper_mm)
    made = {f"{files.hoopings}/{name}": data for name, data in sewing.files.items()}
    made[files.card] = pdf_bytes(printout)
    made[files.run_sheet] = run_sheet_page(sewing.sheet, links)
    made[files.run_sheet_pdf] = pdf_bytes(run_sheet_printout(sewing.sheet, asked.paper_mm))
    made[files.stitch_out] = stitch_out_page(played)
    frame = layered.block.frame
    finished = (0.0, 0.0) if frame is None else (frame.width, frame.height)
    allowance = 0.0 if frame is None else frame.seam_allowance
    facts = facts_of(
        name=layered.block.name,
        finished_mm=finished,
        seam_allowance_mm=allowance,
        pieces=len(card.pieces),
        plans=sewing.plans,
        hand_minutes=sewing.sheet.hand_minutes,
        hoopings=sewing.hooped,
        background=layered.block.background,
        background_mm=background_cut_mm(finished, allowance, sewing.background_mm),
        findings=sewing.findings,
        pace=wishes.pace,
    )
    return Made(made, {FACTS: facts.as_dict()}, tuple(sewing.findings))


def _in_one(
    layered: Layered, steps: Sequence[Step], card: Card, wishes: Wishes, asked: HoopingsAsked
) -> _Sewing:
    """One file for all of the block."""
    suffix = asked.machine.format
    plan = plan_of(steps, layered.block.name, layered.block.centre)
    name = f"{asked.files.stem}.{suffix}"
    made = machine_file(plan, suffix)
    played = SewnFile("", reading_of_made(made, plan.name, suffix), tuple(steps), plan.centre)
    return _Sewing(
        files={name: made.data},
        played=[played],
        plans=[plan],
        sheet=run_sheet_of_steps(steps, plan, card, name, wishes),
        hooped=[_whole(layered)],
        background_mm=None,
        findings=layered.findings,
    )


def _hooped(
    layered: Layered, card: Card, wishes: Wishes, request: HoopRequest, asked: HoopingsAsked
) -> _Sewing:
    """A file for each of the fewest hoopings."""
    suffix = asked.machine.format
    hoopings = plan_hoopings(layered, request)
    results = files_of(hoopings, layered, request, suffix, asked.paper_mm, asked.files.stem)
    plan = hoopings.plan
    names = [stitch_file_name(asked.files.stem, it.number, suffix) for it in plan.hoopings]
    readings = [
        reading_of_made(made, filed.name, suffix)
        for made, filed in zip(results.stitched, results.plans, strict=True)
    ]
    grip = 2 * request.frame.grip_mm
    return _Sewing(
        files=results.files,
        played=hooped_files(plan, readings),
        plans=results.plans,
        sheet=run_sheet_of_hoopings(plan, request, card, names, wishes),
        hooped=[(it.field.width_mm + grip, it.field.height_mm + grip) for it in plan.hoopings],
        background_mm=None if request.hold == "laid on" else background_mm(plan, request.frame),
        findings=[*hoopings.findings, *results.findings],
    )


def _whole(layered: Layered) -> SizeMm:
    """What is hooped of a block whose hoop is not known: all of it, and what is trimmed off."""
    frame = layered.block.frame
    if frame is None:
        return (0.0, 0.0)
    return background_cut_mm((frame.width, frame.height), frame.seam_allowance)


def _beside(file: str) -> str:
    """A link to a file from another in the same folder."""
    return file.rpartition("/")[2]
