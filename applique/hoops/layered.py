"""A layered block as the hooping plan takes it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from applique.model import Block, Laid, LaidPiece, Step
from applique.report import Finding
from applique.sequence.precedence import Before, Precedence


@dataclass(frozen=True, eq=False)
class Layered:
    """A layered block: its pieces and details as they lie, in stacking order, without those that
    are hidden; its steps without travel, in the document's order; which come before which."""

    block: Block
    laid: tuple[Laid, ...]
    steps: tuple[Step, ...]
    comes_first: Precedence
    findings: tuple[Finding, ...]

    @property
    def labels(self) -> frozenset[str]:
        """The labels of all pieces, details aside."""
        return frozenset(i.piece.label for i in self.laid if isinstance(i, LaidPiece))

    @property
    def before(self) -> Before:
        """What must be sewn before anything of a piece is, if not in the same hooping."""
        if self.block.settings.edges == "last":
            return self.comes_first.everything
        return self.comes_first.laying

    def steps_of(self, label: str) -> tuple[Step, ...]:
        """All steps of a piece or detail."""
        return tuple(self._by_label.get(label, ()))

    @cached_property
    def _by_label(self) -> Mapping[str, list[Step]]:
        held: dict[str, list[Step]] = {}
        for step in self.steps:
            held.setdefault(step.piece, []).append(step)
        return held
