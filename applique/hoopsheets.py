"""The files of a hooping plan: stitches and template of each hooping, the overview, the plan."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from applique.export.machine import MachineFile, machine_file
from applique.geometry.curves import polyline
from applique.hooping import Hoopings
from applique.hoops.filed import file_plan
from applique.hoops.layered import Layered
from applique.hoops.plan import HoopingPlan
from applique.hoops.record import as_record
from applique.hoops.request import HoopRequest
from applique.model import Curve, Laid, LaidDetail, LaidPiece, Plan
from applique.names import plain_names
from applique.paper.drawing import Printout, shape_curves
from applique.paper.hooping import hooping_printout
from applique.paper.hooping_pieces import ShownPiece
from applique.paper.pattern import pattern_printout
from applique.paper.pdf import pdf_bytes
from applique.pictures.hoopings import hoopings_picture
from applique.pictures.scene import FabricShape
from applique.report import Finding, note
from applique.sequence.centre import is_lopsided, offset_from_centre
from applique.settings import resolve

_LONGEST_NAME = 60
"""So much of a block's name is in its files' names."""

BACKGROUND = "#ffffff"
"""The colour of a background of which nothing is known."""


@dataclass(frozen=True, eq=False)
class Results:
    """All files by name; of each hooping its stitch file as read back, and the plan of it."""

    files: Mapping[str, bytes]
    stitched: tuple[MachineFile, ...]
    plans: tuple[Plan, ...]
    findings: tuple[Finding, ...]


def files_of(
    hoopings: Hoopings,
    layered: Layered,
    request: HoopRequest,
    suffix: str,
    paper_mm: tuple[float, float],
    stem: str = "",
) -> Results:
    """Everything that is written of a plan: stitch files in the format of a suffix, templates on
    paper of a size. The files' names begin with `stem`, or with the block's name in plain letters.
    Nothing is written, if any of it can't be made."""
    plan = hoopings.plan
    name = stem or stem_of(plan)
    shown = shown_pieces(layered, plan)
    plans = tuple(
        file_plan(hooping, f"{plan.name} {hooping.number}".strip(), plan.block_centre)
        for hooping in plan.hoopings
    )
    stitched = tuple(machine_file(each, suffix) for each in plans)
    files: dict[str, bytes] = {}
    for hooping, made in zip(plan.hoopings, stitched, strict=True):
        base = f"{name}-hooping-{hooping.number}"
        files[stitch_file_name(name, hooping.number, suffix)] = made.data
        printout = hooping_printout(plan, hooping, shown, request.frame, paper_mm)
        files[f"{base}.pdf"] = pdf_bytes(printout)
    patterns = _patterns(layered, plan, paper_mm)
    for safe, printout in zip(plain_names(patterns, "piece"), patterns.values(), strict=True):
        files[f"{name}-pattern-{safe}.pdf"] = pdf_bytes(printout)
    colours = {fabric.name: fabric.colour for fabric in layered.block.fabrics}
    background = colours.get(layered.block.background, BACKGROUND)
    fabrics = [
        FabricShape(item.piece.label, item.piece.colour, item.cut)
        for item in layered.laid
        if isinstance(item, LaidPiece)
    ]
    files[f"{name}-hoopings.png"] = hoopings_picture(plan, fabrics, background, request.frame)
    record = json.dumps(as_record(plan, request.frame), indent=1, ensure_ascii=False)
    files["plan.json"] = record.encode() + b"\n"
    return Results(files, stitched, plans, tuple(_lopsided(plans)))


def shown_pieces(layered: Layered, plan: HoopingPlan) -> list[ShownPiece]:
    """The block's pieces as the templates show them, from the lowest."""
    first: dict[str, int] = {}
    divided: set[str] = set()
    for hooping in plan.hoopings:
        divided.update(label for label in hooping.labels if label in first)
        for label in hooping.labels:
            first.setdefault(label, hooping.number)
    shown = []
    for item in layered.laid:
        label = item.part.label
        colour = item.piece.colour if isinstance(item, LaidPiece) else item.detail.thread.colour
        curves = _curves_of(item)
        shown.append(ShownPiece(label, colour, curves, first.get(label, 0), label in divided))
    return shown


def _curves_of(item: Laid) -> tuple[Curve, ...]:
    """What is drawn of a piece or detail."""
    if isinstance(item, LaidDetail):
        lines = tuple(polyline(run.points, run.closed) for run in item.lines)
        return lines or shape_curves(item.shape)
    as_drawn = item.whole.equals(item.piece.outline.shape)
    return (as_drawn and item.piece.outline.curves) or shape_curves(item.whole)


def stem_of(plan: HoopingPlan) -> str:
    """What the files of a plan begin with: the block's name, in plain letters."""
    [safe] = plain_names([plan.name[:_LONGEST_NAME]], "block")
    return safe


def stitch_file_name(stem: str, number: int, suffix: str) -> str:
    """What the stitch file of a hooping is called."""
    return f"{stem}-hooping-{number}.{suffix}"


def stitch_file_names(plan: HoopingPlan, suffix: str) -> list[str]:
    """What the stitch files of a plan are called, hooping by hooping."""
    return [stitch_file_name(stem_of(plan), each.number, suffix) for each in plan.hoopings]


def _patterns(
    layered: Layered, plan: HoopingPlan, paper_mm: tuple[float, float]
) -> dict[str, Printout]:
    """The printed patterns of the pieces whose edges are sewn on the sewing machine."""
    wanted = {label for label, _ in plan.by_machine}
    return {
        item.piece.label: _pattern(item, plan.name, paper_mm)
        for item in layered.laid
        if isinstance(item, LaidPiece) and item.piece.label in wanted
    }


def _pattern(item: LaidPiece, name: str, paper_mm: tuple[float, float]) -> Printout:
    """The pattern of a piece, with the pitch of its blanket stitch, or of the usual one where its
    edge in the hoop would be another."""
    piece, settings = item.piece, item.piece.settings
    if settings.edge != "blanket":
        left, top, right, bottom = piece.outline.shape.bounds
        settings = resolve({"edge": "blanket"}, narrow_side_mm=min(right - left, bottom - top))
    return pattern_printout(
        name=name,
        label=f"{piece.label}, {piece.fabric}",
        curves=piece.outline.curves or shape_curves(piece.outline.shape),
        edges=item.edges,
        pitch_mm=settings.edge_spacing_mm,
        bite_mm=settings.edge_inside_mm,
        paper_mm=paper_mm,
    )


def _lopsided(plans: Sequence[Plan]) -> list[Finding]:
    """A note for each file that a machine which centres on the stitches would sew beside its
    place."""
    told = []
    for number, plan in enumerate(plans, start=1):
        if is_lopsided(plan):
            right, down = offset_from_centre(plan)
            text = (
                f"the middle of its stitches lies {right:+.1f} mm across and {down:+.1f} mm down "
                "from the field's middle; a machine that centres on the stitches needs this "
                "offset, or --box"
            )
            told.append(note("lopsided", f"hooping {number}", text))
    return told
