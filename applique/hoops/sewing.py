"""The stitches of one hooping in sewing order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from applique.hoops.layered import Layered
from applique.hoops.lining.steps import (
    TAKE_OUT,
    box_step,
    check_steps,
    laid_on_steps,
    middle_steps,
    pricked_steps,
    sewn_steps,
)
from applique.hoops.parts import Part, laid_already, merged_steps
from applique.hoops.plan import Cross
from applique.hoops.problem import BoxMm
from applique.model import Laid, LaidPiece, Step
from applique.sequence.keep import with_short_links
from applique.sequence.order import ordered
from applique.sequence.pauses import with_pauses
from applique.sequence.precedence import Precedence
from applique.sequence.stages import work_of
from applique.sequence.travel import with_travel
from applique.settings import Settings

Order = Literal["fewest", "piece", "kept"]
"""Within a hooping: the fewest colour blocks, piece by piece, or as the document has it."""

Hold = Literal["hooped", "boxed", "laid on"]
"""The block is hooped; hooped, with a basting box sewn first; or laid on hooped stabiliser and held
there by the box."""


@dataclass(frozen=True)
class Standing:
    """How a field stands on the block: its middle, the direction of the hoop's top, and the box of
    everything sewn in it, all in mm on the page."""

    centre: tuple[float, float]
    upwards: tuple[float, float]
    box: BoxMm


@dataclass(frozen=True, eq=False)
class Sewn:
    """What is sewn of the pieces in one hooping, and which of these an earlier one began."""

    labels: tuple[str, ...]
    continued: tuple[str, ...]
    steps: tuple[Step, ...]


def sewn_in(parts: Sequence[Part], begun: frozenset[str], order: Order, layered: Layered) -> Sewn:
    """Put the parts of one hooping in order. `begun` are the labels of the pieces whose fabric an
    earlier hooping laid."""
    settings, comes_first = layered.block.settings, layered.comes_first
    merged = merged_steps([laid_already(p) if p.label in begun else p for p in parts])
    laid = {part.label: part.laid for part in parts}
    held = {label: laid[label] for label in merged}
    if order == "kept":
        steps = _as_in_document(merged, layered.steps)
    else:
        steps = list(_ordered(held, merged, order, settings, comes_first))
    pieces = {label: it for label, it in held.items() if isinstance(it, LaidPiece)}
    in_order = with_pauses(
        with_short_links(steps), pieces, comes_first.laying, settings.edges == "last"
    )
    # Nothing is covered by fabric that lies already.
    covers = {label: it for label, it in pieces.items() if label not in begun}
    # In the order in which they are sewn, not in which they lie.
    labels = tuple(dict.fromkeys(step.piece for step in in_order))
    return Sewn(
        labels,
        tuple(label for label in labels if label in begun),
        with_travel(in_order, covers, settings.travel_limit_mm),
    )


def lined_up(
    steps: Sequence[Step],
    used: Sequence[Cross],
    made: Sequence[Cross],
    hold: Hold,
    field: Standing,
) -> tuple[Step, ...]:
    """The steps of a hooping with what comes before and after: the check of the crosses it is lined
    up by, the basting box, and the crosses that later hoopings need."""
    first, last = steps[0].thread, steps[-1].thread
    if hold == "laid on":
        before = laid_on_steps(used, first)
        before = before or middle_steps(field.centre, field.upwards, field.box, first)
    else:
        before = check_steps(used, first)
    if hold != "hooped":
        before.append(box_step(field.box, first))
    result = [*before, *steps, *sewn_steps(made, last)]
    pricked = pricked_steps(made)
    if pricked:
        pause = f"{result[-1].pause} {TAKE_OUT}".strip()
        result[-1] = replace(result[-1], pause=pause)
    return (*result, *pricked)


def _ordered(
    held: Mapping[str, Laid],
    merged: Mapping[str, Sequence[Step]],
    order: Order,
    settings: Settings,
    comes_first: Precedence,
) -> tuple[Step, ...]:
    edges_last = settings.edges == "last"
    works = [work_of(laid, merged[label], edges_last) for label, laid in held.items()]
    return ordered(works, replace(settings, order=order), comes_first).steps


def _as_in_document(
    merged: Mapping[str, Sequence[Step]], in_document: Sequence[Step]
) -> list[Step]:
    """Steps in the order in which the document has them."""
    remaining = {label: list(steps) for label, steps in merged.items()}
    kept: list[Step] = []
    for step in in_document:
        own = remaining.get(step.piece, [])
        of_kind = [one for one in own if one.kind == step.kind]
        if of_kind:
            kept.extend(of_kind)
            remaining[step.piece] = [one for one in own if one.kind != step.kind]
    return kept
