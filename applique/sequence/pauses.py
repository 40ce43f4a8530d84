"""Where the machine must stop for the user, and what it says.

Stops follow from the order alone: a fabric is laid after its placement line and before anything
else of its piece is sewn; a patch is trimmed after its trim line and before what follows. The
fewest stops that serve all of these are set, each as late as possible.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from applique.model import LaidPiece, Step, StepKind
from applique.units import compact

_OWN_BEGINNINGS = ("Lay ", "Take the hoop off the machine")


@dataclass(frozen=True)
class _Need:
    """The user must act on a piece after step `first` or a later one, up to step `last`."""

    first: int
    last: int
    piece: str
    kind: StepKind


def with_pauses(steps: Sequence[Step], laid: Mapping[str, LaidPiece]) -> tuple[Step, ...]:
    """Steps with their pauses set anew; a pause that the user wrote is kept, before our own."""
    stops: dict[int, list[_Need]] = {}
    latest = -1
    for need in sorted(_needs(steps), key=lambda need: (need.last, need.first)):
        if need.first > latest:
            latest = need.last
        stops.setdefault(latest, []).append(need)
    result = []
    for index, step in enumerate(steps):
        needs = sorted(
            stops.get(index, ()), key=lambda need: (need.kind != "trim-line", need.first)
        )
        sentences = [_sentence(laid[need.piece], need.kind) for need in needs]
        if step.pause and not step.pause.startswith(_OWN_BEGINNINGS):
            sentences.insert(0, step.pause)
        result.append(replace(step, pause=" ".join(sentences)))
    return tuple(result)


def _trims_first(need: _Need) -> tuple[bool, int]:
    return need.kind != "trim-line", need.first


def _needs(steps: Sequence[Step]) -> list[_Need]:
    """Every placement and trim line that something else of the same piece follows."""
    needs = []
    waiting: dict[str, tuple[int, StepKind]] = {}
    for index, step in enumerate(steps):
        if not step.piece:
            continue
        asked = waiting.get(step.piece)
        if asked is not None and asked[1] != step.kind:
            needs.append(_Need(asked[0], index - 1, step.piece, asked[1]))
            del waiting[step.piece]
        if step.kind in ("placement", "trim-line"):
            waiting[step.piece] = (index, step.kind)
    # A piece of which nothing more is sewn here is still laid (its edges go into seams, say).
    for piece, (index, kind) in waiting.items():
        needs.append(_Need(index, index, piece, kind))
    return needs


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
