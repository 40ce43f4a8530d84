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
from applique.hoops.frame import clamped_on
from applique.hoops.grouping.group import group
from applique.hoops.layered import Layered
from applique.hoops.parts import Part, Parts, fits_one, larger_than_all, parts_of, problem_of
from applique.hoops.plan import HoopingPlan
from applique.hoops.problem import Grouping, ImpossibleOrder, Problem, Progress, TooLarge
from applique.hoops.request import HoopRequest
from applique.layering.details import lay_all
from applique.model import Step
from applique.renewal import agreement_of, held_steps, only
from applique.report import Finding, errors_in, note, ordered, warning
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
        raise InputError("there are no stitches to hoop; use Make Layers first")
    faults = errors_in(stitch_faults(found.steps))
    if faults:
        raise InputError("some of the stitches can't be sewn", faults)
    block = survey_block(root).block
    agreement = agreement_of(block, found.steps)
    if agreement.gone:
        gone = ", ".join(agreement.gone)
        raise InputError(f"there are stitches of pieces that are gone: {gone}; use Refresh Layers")
    findings = list(found.findings)
    if agreement.misfits():
        text = (
            f"the layers are not those of the drawing any more at {', '.join(agreement.misfits())};"
            " use Refresh Layers or Make Layers first"
        )
        findings.append(warning("stale", "", text))
    steps = held_steps(found.steps, block.parts)
    if any(not step.piece for step in steps):
        text = "steps that belong to no piece are left out: every hooping gets marks of its own"
        findings.append(note("unowned", "", text))
    sewn = [step for step in steps if step.piece]
    if not sewn:
        raise InputError("no piece has stitches to hoop; use Make Layers first")
    laid, stacking = lay_all(only(block, {step.piece for step in sewn}))
    seen = tuple(item for item in laid if not item.hidden)
    return Layered(block, seen, tuple(sewn), precedence(seen), (*findings, *stacking))


def plan_hoopings(layered: Layered, request: HoopRequest, told: Told | None = None) -> Hoopings:
    """The fewest hoopings that keep the sewing order.

    Raises InputError, naming the pieces, where there are none.
    """
    windows = [way.window for way in request.placings]
    _check_fields(layered, request)
    on_machine = _on_the_machine(layered, request)
    parts = parts_of(layered, windows, on_machine)
    if not parts.parts:
        raise InputError("every piece is left to the sewing machine; there is nothing to hoop")
    _check_fixed(parts, request)
    problem = problem_of(
        parts.parts, layered.before, on_machine, windows, request.fixed, request.keep_out
    )
    grouping = _grouped(problem, parts.parts, told)
    _check_filled(grouping)
    plan = assembled(layered, parts.parts, on_machine, problem, grouping, request)
    findings = [*layered.findings, *_told_of_parts(parts, plan), *_told_of_crosses(plan)]
    if request.hold != "laid on":
        findings += clamped_on(plan.hoopings, _edge_points(layered.steps), request.frame)
    return Hoopings(plan, ordered(findings))


def _grouped(problem: Problem, parts: Sequence[Part], told: Told | None) -> Grouping:
    try:
        return group(problem, told)
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
    boxes: dict[str, np.ndarray] = {}
    for step in layered.steps:
        points = np.vstack(step.paths)
        corners = np.array([points.min(axis=0), points.max(axis=0)])
        known = boxes.setdefault(step.piece, corners)
        known[0], known[1] = np.minimum(known[0], corners[0]), np.maximum(known[1], corners[1])
    fitting = [fits_one((*box[0].tolist(), *box[1].tolist()), windows) for box in boxes.values()]
    if not any(fitting):
        size = {label: box[1] - box[0] for label, box in boxes.items()}
        label = min(size, key=lambda name: float(size[name].prod()))
        width, height = (compact(side, 1) for side in size[label].tolist())
        raise InputError(
            f"no piece fits any of the fields; the smallest, {label}, takes {width} x {height} mm "
            "with its stitches; give a larger field"
        )


def _on_the_machine(layered: Layered, request: HoopRequest) -> frozenset[str]:
    unknown = sorted(request.by_machine - layered.labels)
    if unknown:
        raise InputError(f"there is no piece {', '.join(unknown)} to sew on the sewing machine")
    if request.too_large == "stretches":
        return request.by_machine
    windows = [way.window for way in request.placings]
    return request.by_machine | larger_than_all(layered, windows)


def _check_fixed(parts: Parts, request: HoopRequest) -> None:
    counts = {part.label: part.count for part in parts.parts}
    for label, number in request.fixed.items():
        if label not in counts:
            raise InputError(f"there is no piece {label} to put into a hooping")
        if number > len(parts.parts):
            raise InputError(
                f"{label} can't be sewn in hooping {number}: there are fewer pieces than that"
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


def _told_of_parts(parts: Parts, plan: HoopingPlan) -> list[Finding]:
    """What is said of pieces that are sewn in stretches or on the sewing machine."""
    told = [_told_of_stretches(label, parts, plan) for label in _in_stretches(parts)]
    for label in parts.shortened:
        text = (
            "a part of its placement line lies beyond the field and is left out; lay it by the "
            "rest of the line and by its printed template"
        )
        told.append(note("placement", label, text))
    for label, number in plan.by_machine:
        when = f"after hooping {number}" if number else "before the first hooping"
        text = (
            f"its edge is sewn on the sewing machine {when}: lay it by its printed pattern and by "
            "what of its placement line the hoop has sewn"
        )
        told.append(note("sewing-machine", label, text))
    return told


def _in_stretches(parts: Parts) -> list[str]:
    return list(dict.fromkeys(part.label for part in parts.parts if part.count > 1))


def _told_of_stretches(label: str, parts: Parts, plan: HoopingPlan) -> Finding:
    """In which hoopings a piece is sewn, and where its stretches meet: a warning if some joins can
    be neither hidden nor straight."""
    numbers = ", ".join(str(it.number) for it in plan.hoopings if label in it.labels)
    joins = [join for name, join in parts.joins if name == label]
    near = "; ".join(f"{x:.0f}, {y:.0f}" for x, y in (join.place for join in joins))
    text = f"is larger than every field; its stretches are sewn in hoopings {numbers}"
    if joins:
        text += f" and meet near {near} mm"
    if all(join.hidden or join.straight for join in joins):
        return note("stretches", label, text)
    return warning("stretches", label, f"{text}, where the edge bends; look at the join")


def _told_of_crosses(plan: HoopingPlan) -> list[Finding]:
    """What is said of crosses that have to be drawn."""
    drawn = [cross for cross in plan.crosses if cross.making == "pen"]
    told = []
    for number in sorted({number for cross in drawn for number in cross.used_in}):
        names = " and ".join(cross.name for cross in drawn if number in cross.used_in)
        text = (
            f"shared crosses would leave it too far off; before the first hooping, draw {names} "
            "through its printed template with a pen that washes out"
        )
        told.append(warning("drawn-cross", f"hooping {number}", text))
    return told


def _edge_points(steps: Sequence[Step]) -> dict[str, np.ndarray]:
    """The penetrations of each piece's edge."""
    points: dict[str, list[np.ndarray]] = {}
    for step in steps:
        if step.kind in ("edge", "detail"):
            points.setdefault(step.piece, []).extend(step.paths)
    return {label: np.vstack(paths) for label, paths in points.items()}
