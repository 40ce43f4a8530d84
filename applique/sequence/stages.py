"""A piece's steps as stages: what is sewn without a stop for the user in between."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from applique.model import Laid, LaidDetail, Step, StepKind, Thread

_LAYING: tuple[StepKind, ...] = ("placement", "trim-line")
_FINISHING: tuple[StepKind, ...] = ("tack", "underlay", "edge", "detail")


@dataclass(frozen=True, eq=False)
class Stage:
    """Steps of one piece sewn without a stop between them. `covered` stages vanish under fabric or
    satin, so any thread will do."""

    steps: tuple[Step, ...]
    covered: bool


@dataclass(frozen=True, eq=False)
class PieceWork:
    """All stages of a piece: placement, trim line if there is one, then the rest, which is two
    stages (tack-down, edge) where edges are sewn last. A detail is a single stage, and a piece that
    lies already, being sewn in stretches, has no placement."""

    laid: Laid
    stages: tuple[Stage, ...]

    @property
    def label(self) -> str:
        """The piece's label."""
        return self.laid.part.label

    @property
    def thread(self) -> Thread:
        """The thread it is finished in."""
        return self.laid.part.thread

    @property
    def stops(self) -> int:
        """How many times the machine stops for the user within the piece."""
        kinds = [step.kind for stage in self.stages for step in stage.steps[:1]]
        return sum(kind in _LAYING for kind in kinds)


def work_of(laid: Laid, steps: Sequence[Step], edges_last: bool) -> PieceWork:
    """Sort the steps of a piece or detail into its stages."""
    if isinstance(laid, LaidDetail):
        return PieceWork(laid, (Stage(tuple(steps), covered=False),))
    covers = laid.piece.settings.edge_covers
    laying = [
        Stage(_of_kinds(steps, ("placement",)), covered=True),
        Stage(_of_kinds(steps, ("trim-line",)), covered=covers),
    ]
    stages = [stage for stage in laying if stage.steps]
    if edges_last:
        stages.append(Stage(_of_kinds(steps, ("tack",)), covered=covers))
        stages.append(Stage(_of_kinds(steps, ("underlay", "edge", "detail")), covered=False))
    else:
        stages.append(Stage(_of_kinds(steps, _FINISHING), covered=False))
    return PieceWork(laid, tuple(stages))


def _of_kinds(steps: Iterable[Step], kinds: tuple[StepKind, ...]) -> tuple[Step, ...]:
    return tuple(step for step in steps if step.kind in kinds)
