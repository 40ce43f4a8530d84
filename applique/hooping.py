"""A layered document as hoopings: which piece is sewn in which, and where each is placed.

hoop:    tree -> svg.tagged, svg.read -> parts -> search -> crosses -> HoopingPlan
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from lxml import etree

from applique.errors import InputError
from applique.hoops.assembling import assembled
from applique.hoops.boxes import box_of_steps
from applique.hoops.findings import of_crosses, of_parts
from applique.hoops.frame import clamped_on
from applique.hoops.grouping.group import HASTY, USUAL, group
from applique.hoops.layered import Layered
from applique.hoops.parts import Part, Parts, divisions_of, fits_one, larger_than_all, problem_of
from applique.hoops.plan import HoopingPlan
from applique.hoops.problem import Effort, Grouping, ImpossibleOrder, Problem, Progress, TooLarge
from applique.hoops.request import HoopRequest
from applique.model import Step
from applique.renewal import agreement_of, held_steps, misfits_told, missing_told
from applique.report import Finding, errors_in, note, ordered
from applique.sequence.keep import RANK, out_of_order
from applique.sequence.plan import stitch_faults
from applique.sequence.precedence import precedence
from applique.svg.read import survey_block
from applique.svg.tagged import read_steps
from applique.units import compact

Told = Callable[[Progress], bool]
"""Hears how far the search is, and says whether it may go on."""


@dataclass(frozen=True, eq=False)
class Hoopings:
    """A plan, and what was noticed while it was made."""

    plan: HoopingPlan
    findings: tuple[Finding, ...]


def read_layered(root: etree._Element) -> Layered:
    """Read a layered document; raises InputError if it holds no stitches, or some that can't be
    sewn, or some of pieces that are gone from the drawing."""
    found = read_steps(root)
    if not found.steps:
        raise InputError("there are no stitches; use Make Layers first")
    faults = errors_in(stitch_faults(found.steps))
    if faults:
        raise InputError("some of the stitches can't be sewn", faults)
    block = survey_block(root).block
    agreement = agreement_of(block, found.steps)
    if agreement.gone:
        gone = ", ".join(agreement.gone)
        raise InputError(f"there are stitches of pieces that are gone: {gone}; use Refresh Layers")
    findings = [*found.findings, *misfits_told(agreement)]
    for standing in agreement.standings:
        findings += missing_told(standing, block.settings.edges == "last")
    steps = held_steps(found.steps, block.parts)
    if any(not step.piece for step in steps):
        text = "steps that belong to no piece are left out: every hooping gets marks of its own"
        findings.append(note("unowned", "", text))
    sewn = [step for step in steps if step.piece]
    if not sewn:
        raise InputError("no piece has stitches; use Make Layers first")
    laid = [standing.laid for standing in agreement.standings]
    seen = tuple(item for item in laid if not item.hidden)
    told = (*findings, *agreement.stacking)
    return Layered(block, seen, tuple(sewn), precedence(seen), told)


def plan_hoopings(layered: Layered, request: HoopRequest, told: Told | None = None) -> Hoopings:
    """The fewest hoopings that keep the sewing order.

    Raises InputError, naming the pieces, where there are none.
    """
    windows = [way.window for way in request.placings]
    _check_fields(layered, request)
    if request.order == "kept":
        _check_order(layered)
    on_machine = _on_the_machine(layered, request)
    divisions = divisions_of(layered, windows, on_machine)
    if not divisions[0].parts:
        raise InputError(
            "every piece is left to the sewing machine; leave at least one to the hoops"
        )
    _check_fixed(divisions[0], request)
    problems = [
        problem_of(it.parts, layered.before, on_machine, windows, request.fixed, request.kept_out)
        for it in divisions
    ]
    best = 0
    if len(divisions) > 1:
        counts = [
            _grouped(problem, it.parts, told, HASTY).count
            for problem, it in zip(problems, divisions, strict=True)
        ]
        best = counts.index(min(counts))
    parts, problem = divisions[best], problems[best]
    grouping = _grouped(problem, parts.parts, told, USUAL)
    _check_filled(grouping)
    plan = assembled(layered, parts.parts, on_machine, problem, grouping, request)
    findings = [*layered.findings, *of_parts(parts, plan), *of_crosses(plan)]
    if request.hold != "laid on":
        findings += clamped_on(plan, _edge_points(layered.steps), request.frame)
    return Hoopings(plan, ordered(findings))


def _grouped(
    problem: Problem, parts: Sequence[Part], told: Told | None, effort: Effort
) -> Grouping:
    try:
        return group(problem, told, effort)
    except TooLarge as trouble:
        names = _names(trouble.parts, parts)
        raise InputError(
            f"no field can be put over {names} without reaching into a place to be kept out; give "
            "a smaller place or a larger field"
        ) from None
    except ImpossibleOrder as trouble:
        names = _names(trouble.parts, parts)
        raise InputError(
            f"there is no order in which {names} can be sewn: each must wait for another, or is "
            "fixed to a hooping in which it can't be; change --fix, or what lies on what"
        ) from None


def _names(indices: Sequence[int], parts: Sequence[Part]) -> str:
    return ", ".join(dict.fromkeys(parts[k].label for k in indices))


def _check_fields(layered: Layered, request: HoopRequest) -> None:
    """Raise InputError if not even the smallest piece fits a field."""
    windows = [way.window for way in request.placings]
    boxes = {
        item.part.label: box_of_steps(layered.steps_of(item.part.label)) for item in layered.laid
    }
    if not any(fits_one(box, windows) for box in boxes.values()):
        size = {label: (box[2] - box[0], box[3] - box[1]) for label, box in boxes.items()}
        label = min(size, key=lambda name: size[name][0] * size[name][1])
        width, height = (compact(side, 1) for side in size[label])
        raise InputError(
            f"no piece fits any of the fields; the smallest, {label}, takes {width} x {height} mm "
            "with its stitches; give a larger field"
        )


def _check_order(layered: Layered) -> None:
    """Raise InputError if the document's own order is not one to sew in."""
    edges_last = layered.block.settings.edges == "last"
    wrong = out_of_order(layered.steps, layered.comes_first, edges_last)
    remedy = "use --order fewest, or Make Layers with its order asked for"
    if wrong is not None:
        raise InputError(f"the document sews {wrong[1]} before {wrong[0]} beneath it; {remedy}")
    rank: dict[str, int] = {}
    for step in layered.steps:
        if RANK[step.kind] < rank.get(step.piece, 0):
            raise InputError(
                f"the document sews the {step.kind} of {step.piece} too late; {remedy}"
            )
        rank[step.piece] = RANK[step.kind]


def _on_the_machine(layered: Layered, request: HoopRequest) -> frozenset[str]:
    unknown = sorted(request.by_machine - layered.labels)
    if unknown:
        raise InputError(
            f"there is no piece {', '.join(unknown)} to sew on the sewing machine; check its number"
        )
    if request.too_large == "stretches":
        return request.by_machine
    windows = [way.window for way in request.placings]
    return request.by_machine | larger_than_all(layered, windows)


def _check_fixed(parts: Parts, request: HoopRequest) -> None:
    counts = {part.label: part.count for part in parts.parts}
    for label, number in request.fixed.items():
        if label not in counts:
            raise InputError(f"there is no piece {label} to put into a hooping; check its number")
        if number > len(parts.parts):
            raise InputError(
                f"{label} can't be sewn in hooping {number}, for there are fewer pieces; give a "
                "smaller number"
            )
        if counts[label] > 1:
            raise InputError(
                f"{label} is larger than every field and sewn in stretches, so it can't be put "
                "into one hooping; give a larger field"
            )


def _check_filled(grouping: Grouping) -> None:
    """Raise InputError where a piece is fixed to a later hooping than the plan has use for."""
    empty = sorted(set(range(grouping.count)) - set(grouping.hooping))
    if empty:
        raise InputError(
            f"nothing would be sewn in hooping {empty[0] + 1}; fix pieces to smaller numbers"
        )


def _edge_points(steps: Sequence[Step]) -> dict[str, np.ndarray]:
    """The penetrations of each piece's edge."""
    points: dict[str, list[np.ndarray]] = {}
    for step in steps:
        if step.kind in ("edge", "detail"):
            points.setdefault(step.piece, []).extend(step.paths)
    return {label: np.vstack(paths) for label, paths in points.items()}
