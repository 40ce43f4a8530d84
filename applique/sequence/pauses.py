"""Where the machine must stop for the user, and what it says.

Stops follow from the order alone: a fabric is laid after its placement line and before anything
else of its piece is sewn; a patch is trimmed after its trim line and before what follows. The
fewest stops that serve all of these are set, each as late as possible.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from applique.model import LaidPiece, Step, StepKind
from applique.sequence.precedence import Before
from applique.units import compact

_OUR_SENTENCES = re.compile(
    # No second "Lay" inside, so that a sentence of the user's before one of ours stays hers.
    r"Lay (?:(?!Lay ).)+? over the line of (?:(?!Lay ).)+?\.(?: |$)"
    r"|Take the hoop off the machine and trim (?:(?!Take ).)+? close to its line, holes too, "
    r"blades away from fingers\.(?: |$)"
)


@dataclass(frozen=True)
class _Need:
    """The user must act on a piece after step `first` or a later one, up to step `last`."""

    first: int
    last: int
    piece: str
    kind: StepKind


def own_words(pause: str) -> str:
    """What the user wrote into a pause herself, without the sentences that are made here."""
    return _OUR_SENTENCES.sub("", pause).strip()


def with_pauses(
    steps: Sequence[Step], laid: Mapping[str, LaidPiece], before: Before, edges_last: bool
) -> tuple[Step, ...]:
    """Steps with their pauses set anew; what the user wrote into one is kept, before our own. Where
    edges are sewn last, everything is laid and trimmed before the first of them."""
    stops: dict[int, list[_Need]] = {}
    latest = -1
    needs = (need for need in _needs(steps, before, edges_last) if need.piece in laid)
    for need in sorted(needs, key=lambda need: (need.last, need.first)):
        if need.first > latest:
            latest = need.last
        stops.setdefault(latest, []).append(need)
    result = []
    for index, step in enumerate(steps):
        due = sorted(stops.get(index, ()), key=_trims_first)
        sentences = [_sentence(laid[need.piece], need.kind) for need in due]
        words = [own_words(step.pause), *sentences]
        result.append(replace(step, pause=" ".join(word for word in words if word)))
    return tuple(result)


def _trims_first(need: _Need) -> tuple[bool, int]:
    return need.kind != "trim-line", need.first


def _needs(steps: Sequence[Step], before: Before, edges_last: bool) -> list[_Need]:
    """Every fabric to be laid and patch to be trimmed, each in time for what else is sewn of its
    piece, and for the first stitch of any piece that comes after it."""
    latest = _latest(steps, before)
    edges = (index for index, step in enumerate(steps) if step.kind in ("underlay", "edge"))
    end_of_laying = next(edges, len(steps)) - 1 if edges_last else len(steps)
    needs = []
    waiting: dict[str, tuple[int, StepKind]] = {}
    for index, step in enumerate(steps):
        if not step.piece:
            continue
        asked = waiting.get(step.piece)
        if asked is not None and asked[1] != step.kind:
            last = max(min(index - 1, latest.get(step.piece, index), end_of_laying), asked[0])
            needs.append(_Need(asked[0], last, step.piece, asked[1]))
            del waiting[step.piece]
        if step.kind in ("placement", "trim-line"):
            waiting[step.piece] = (index, step.kind)
    # A piece of which nothing more is sewn here is still laid (its edges go into seams, say).
    needs += [_Need(index, index, piece, kind) for piece, (index, kind) in waiting.items()]
    return needs


def _latest(steps: Sequence[Step], before: Before) -> dict[str, int]:
    """For each piece the last step ahead of all pieces that come after it."""
    latest: dict[str, int] = {}
    seen: set[str] = set()
    for index, step in enumerate(steps):
        if step.piece and step.piece not in seen:
            seen.add(step.piece)
            for lower in before.get(step.piece, ()):
                latest.setdefault(lower, index - 1)
    return latest


def _sentence(laid: LaidPiece, kind: StepKind) -> str:
    piece = laid.piece
    if kind == "trim-line":
        return (
            f"Take the hoop off the machine and trim {piece.label} close to its line, holes too, "
            "blades away from fingers."
        )
    if piece.settings.method == "cut-in-hoop":
        margin = compact(piece.settings.patch_margin_mm, 1)
        return f"Lay a patch of {piece.fabric}, {margin} mm larger, over the line of {piece.label}."
    if piece.settings.method == "turned":
        return f"Lay {piece.fabric}, edge turned, over the line of {piece.label}."
    return f"Lay {piece.fabric} over the line of {piece.label}."
