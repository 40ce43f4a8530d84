"""An order that is kept: renewed steps take the places of the old ones."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from applique.model import Link, Step
from applique.sequence.precedence import Before, Precedence
from applique.settings import Settings
from applique.stitches.steps import JOINED_MM

BY_HAND = "by hand"
"""Stands for the fingerprint of stitches that were edited: no stitches have it."""

RANK = {"placement": 0, "trim-line": 1, "tack": 2, "underlay": 3, "edge": 4, "detail": 5}
"""Steps of one piece in the order they are sewn in."""

_EDGE_KINDS = ("underlay", "edge", "detail")


def without_travel(steps: Sequence[Step]) -> list[Step]:
    """Steps without covered runs, which are made anew. What such a run had divided is one step
    again; the links that led into runs are trims."""
    kept: list[Step] = []
    led_on = False
    for step in steps:
        if kept and led_on and (step.kind == "travel" or _continues(kept[-1], step)):
            kept[-1] = _ended(kept[-1])
        if step.kind != "travel":
            if kept and led_on and _continues(kept[-1], step):
                kept[-1] = _joined(kept[-1], step)
            else:
                kept.append(step)
        led_on = step.links[-1] == "run"
    return kept


def with_short_links(steps: Sequence[Step]) -> list[Step]:
    """Steps whose last link is "run" only where the next step goes on close by: what a hand moved
    or deleted must not leave a float across the block."""
    result = list(steps)
    for k, step in enumerate(result):
        if step.links[-1] == "run" and not _goes_on(step, result[k + 1 : k + 2]):
            result[k] = _ended(step)
    return result


def merged(
    existing: Sequence[Step],
    renewed: Mapping[str, Sequence[Step]],
    labels: Collection[str],
    before: Before,
    settings: Settings,
) -> list[Step]:
    """The existing order with the steps of some pieces renewed.

    Steps of pieces that are not among `labels` are dropped. A piece that was not there before
    enters as a whole at the first place that stacking and thread allow.
    """
    remaining = {label: list(steps) for label, steps in renewed.items()}
    last_place = {step.piece: k for k, step in enumerate(existing)}
    result: list[Step] = []
    for k, step in enumerate(existing):
        if step.piece and step.piece not in labels:
            continue
        if step.piece not in renewed:
            result.append(step)
            continue
        due = remaining[step.piece]
        rank = RANK[step.kind] if k != last_place[step.piece] else len(RANK)
        while due and RANK[due[0].kind] <= rank:
            result.append(_in_its_place(due.pop(0), step, settings))
    for label, steps in remaining.items():
        if steps:
            place = _first_place(result, label, steps, before)
            result[place:place] = steps
    return result


def out_of_order(
    steps: Sequence[Step], comes_first: Precedence, edges_last: bool
) -> tuple[str, str] | None:
    """Labels of a lower and an upper piece that are sewn against their stacking, or None.

    A piece must follow everything of the pieces that come before it; where edges are sewn last, it
    must follow their laying, and its edge theirs.
    """
    first, last = _span(steps, lambda step: True)
    laying_last = last
    if edges_last:
        _, laying_last = _span(steps, lambda step: step.kind not in _EDGE_KINDS)
    wrong = _against(comes_first.laying, first, laying_last)
    if wrong is None and edges_last:
        edge_first, edge_last = _span(steps, lambda step: step.kind in _EDGE_KINDS)
        wrong = _against(comes_first.edges, edge_first, edge_last)
    return wrong


def _against(
    before: Before, first: Mapping[str, int], last: Mapping[str, int]
) -> tuple[str, str] | None:
    for upper, lowers in before.items():
        for lower in sorted(lowers):
            if _follows(lower, upper, first, last):
                return lower, upper
    return None


def _follows(lower: str, upper: str, first: Mapping[str, int], last: Mapping[str, int]) -> bool:
    """Whether something of the lower piece comes after the upper one has begun."""
    return lower in last and upper in first and last[lower] > first[upper]


def _span(
    steps: Iterable[Step], counts: Callable[[Step], bool]
) -> tuple[dict[str, int], dict[str, int]]:
    """The first and the last place of each piece among the steps that count."""
    first: dict[str, int] = {}
    last: dict[str, int] = {}
    for k, step in enumerate(steps):
        if step.piece and counts(step):
            first.setdefault(step.piece, k)
            last[step.piece] = k
    return first, last


def _in_its_place(step: Step, old: Step, settings: Settings) -> Step:
    """A renewed step; in the fewest order a covered line keeps the thread it was sewn in."""
    covered = step.kind in ("placement", "trim-line") and settings.order == "fewest"
    return replace(step, thread=old.thread) if covered and step.kind == old.kind else step


def _first_place(steps: Sequence[Step], label: str, own: Sequence[Step], before: Before) -> int:
    """Where a new piece enters: after all that come before it, ahead of all that come after it, and
    there behind a step in its own thread if there is one."""
    lower = before[label]
    earliest = max((k + 1 for k, step in enumerate(steps) if step.piece in lower), default=0)
    later = (k for k, step in enumerate(steps) if label in before.get(step.piece, ()))
    latest = min(later, default=len(steps))
    divides = _between_pieces(steps)
    places = range(earliest, max(latest, earliest) + 1)
    between = [place for place in places if divides[place]]
    for place in between:
        if place > 0 and steps[place - 1].thread == own[0].thread:
            return place
    return between[0] if between else earliest


def _between_pieces(steps: Sequence[Step]) -> list[bool]:
    """For each place among the steps, the end included, whether no piece is begun before it and
    finished after it."""
    first, last = _span(steps, lambda step: True)
    begun = [0] * (len(steps) + 1)
    for piece, start in first.items():
        if start < last[piece]:
            begun[start + 1] += 1
            begun[last[piece] + 1] -= 1
    return [unfinished == 0 for unfinished in itertools.accumulate(begun)]


def _continues(step: Step, following: Step) -> bool:
    """Whether a step is the second part of the one before it."""
    first, second = (
        (part.kind, part.piece, part.thread, part.digest) for part in (step, following)
    )
    return first == second and bool(step.digest)


def _joined(step: Step, following: Step) -> Step:
    edited = step.edited or following.edited
    pauses = dict.fromkeys(part.pause for part in (step, following) if part.pause)
    return replace(
        step,
        paths=step.paths + following.paths,
        links=step.links + following.links,
        pause=" ".join(pauses),
        edited=edited,
        made=BY_HAND if edited else step.made,
    )


def _ended(step: Step) -> Step:
    """The step with a trim after its last path."""
    links: tuple[Link, ...] = (*step.links[:-1], "trim")
    return replace(step, links=links)


def _goes_on(step: Step, following: Sequence[Step]) -> bool:
    if not following or step.pause:
        return False
    after = following[0]
    near = math.dist(step.paths[-1][-1], after.paths[0][0]) <= JOINED_MM
    return after.piece == step.piece and after.thread == step.thread and near
