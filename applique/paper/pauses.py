"""What is laid and trimmed at every pause of the machine, read from the pauses' own words."""

from __future__ import annotations

import re
from collections.abc import Sequence

from applique.model import Step
from applique.paper.content import Pause
from applique.report import Finding, warning
from applique.sequence.pauses import own_words


def pauses_of(
    steps: Sequence[Step], labels: Sequence[str]
) -> tuple[tuple[Pause, ...], list[Finding]]:
    """Every pause of some steps with what is laid and trimmed at it, of the pieces with these
    labels. What no pause names is laid at the first one after its line; a warning where there is
    none."""
    stops = [index for index, step in enumerate(steps) if step.pause]
    placed = _first_steps(steps, "placement")
    trimmed = _first_steps(steps, "trim-line")
    lays: dict[int, list[str]] = {index: [] for index in stops}
    trims: dict[int, list[str]] = {index: [] for index in stops}
    told = []
    for label in sorted(set(labels) & set(placed), key=placed.__getitem__):
        at = _stop_for(rf"over the line of {re.escape(label)}\.", placed[label], stops, steps)
        if at is None:
            text = "no pause follows its placement line, so the card can't say when it is laid"
            told.append(warning("pause", label, f"{text}; use Make Layers"))
        else:
            lays[at].append(label)
    for label in sorted(set(labels) & set(trimmed), key=trimmed.__getitem__):
        at = _stop_for(rf"trim {re.escape(label)} close", trimmed[label], stops, steps)
        if at is not None:
            trims[at].append(label)
    pauses = []
    for number, at in enumerate(stops, start=1):
        # Words about pieces that are gone from the drawing are all there is to say of them.
        words = own_words(steps[at].pause) if lays[at] or trims[at] else steps[at].pause
        pauses.append(Pause(number, tuple(lays[at]), tuple(trims[at]), words))
    return tuple(pauses), told


def _first_steps(steps: Sequence[Step], kind: str) -> dict[str, int]:
    """Where each piece's first step of a kind stands."""
    first: dict[str, int] = {}
    for index, step in enumerate(steps):
        if step.kind == kind:
            first.setdefault(step.piece, index)
    return first


def _stop_for(sentence: str, after: int, stops: Sequence[int], steps: Sequence[Step]) -> int | None:
    """The first stop from a step on that says something; else the first one at all."""
    later = [index for index in stops if index >= after]
    named = [i for i in later if re.search(sentence + r"(?= |$)", steps[i].pause)]
    return next(iter([*named, *later]), None)
