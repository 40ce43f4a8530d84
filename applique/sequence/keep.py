"""An order that is kept: renewed steps take the places of the old ones."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace

from applique.model import LaidPiece, Link, Step
from applique.settings import Settings

_RANK = {"placement": 0, "trim-line": 1, "tack": 2, "underlay": 3, "edge": 4, "detail": 5}


def without_travel(steps: Sequence[Step]) -> list[Step]:
    """Steps without covered runs, which are made anew; the links that led into them are trims."""
    kept: list[Step] = []
    for step in steps:
        if step.kind != "travel":
            kept.append(step)
        elif kept:
            links: tuple[Link, ...] = (*kept[-1].links[:-1], "trim")
            kept[-1] = replace(kept[-1], links=links)
    return kept


def merged(
    existing: Sequence[Step],
    renewed: Mapping[str, Sequence[Step]],
    laid: Mapping[str, LaidPiece],
    settings: Settings,
) -> list[Step]:
    """The existing order with the steps of some pieces renewed.

    Steps of pieces that are no longer in `laid` are dropped. A piece that was not there before
    enters as a whole at the first place that stacking and thread allow.
    """
    remaining = {label: list(steps) for label, steps in renewed.items()}
    last_place = {step.piece: k for k, step in enumerate(existing)}
    result: list[Step] = []
    for k, step in enumerate(existing):
        if step.piece and step.piece not in laid:
            continue
        if step.piece not in renewed:
            result.append(step)
            continue
        due = remaining[step.piece]
        rank = _RANK[step.kind] if k != last_place[step.piece] else len(_RANK)
        while due and _RANK[due[0].kind] <= rank:
            result.append(_in_its_place(due.pop(0), step, settings))
    for label, steps in remaining.items():
        if steps:
            place = _first_place(result, laid[label], steps)
            result[place:place] = steps
    return result


def out_of_order(
    steps: Sequence[Step], laid: Mapping[str, LaidPiece], edges_last: bool
) -> tuple[str, str] | None:
    """Labels of a lower and an upper piece that are sewn against their stacking, or None.

    A piece's placement line must follow everything of the pieces below it; where edges are sewn
    last, it must follow their laying, and its edge theirs.
    """
    first, last = _span(steps, lambda step: True)
    laying_last = last
    edge_first: dict[str, int] = {}
    edge_last: dict[str, int] = {}
    if edges_last:
        _, laying_last = _span(steps, lambda step: step.kind not in ("underlay", "edge", "detail"))
        edge_first, edge_last = _span(steps, lambda step: step.kind in ("underlay", "edge"))
    for label, piece in laid.items():
        for lower in piece.below_labels:
            if _follows(lower, label, first, laying_last):
                return lower, label
            if _follows(lower, label, edge_first, edge_last):
                return lower, label
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
    """A renewed step that keeps what belongs to the place: whatever the user wrote on the group
    and, in the fewest order, the thread a covered line was sewn in."""
    if step.kind != old.kind:
        return step
    covered = step.kind in ("placement", "trim-line") and settings.order == "fewest"
    thread = old.thread if covered else step.thread
    return replace(step, thread=thread, pause=old.pause, foreign=old.foreign)


def _first_place(steps: Sequence[Step], piece: LaidPiece, own: Sequence[Step]) -> int:
    """Where a new piece enters: after all pieces below it, before all above it, and there behind a
    step in its own thread if there is one."""
    below, above = set(piece.below_labels), set(piece.above_labels)
    earliest = max((k + 1 for k, step in enumerate(steps) if step.piece in below), default=0)
    latest = min((k for k, step in enumerate(steps) if step.piece in above), default=len(steps))
    places = range(earliest, max(latest, earliest) + 1)
    between = [place for place in places if _between_pieces(steps, place)]
    for place in between:
        if place > 0 and steps[place - 1].thread == own[0].thread:
            return place
    return between[0] if between else earliest


def _between_pieces(steps: Sequence[Step], place: int) -> bool:
    """Whether no piece is begun before a place and finished after it."""
    before = {step.piece for step in steps[:place]}
    after = {step.piece for step in steps[place:]}
    return not (before & after - {""})
