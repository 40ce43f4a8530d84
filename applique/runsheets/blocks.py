"""Steps as the machine sews them: block by block, each in one thread."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from applique.model import Step, Thread


@dataclass(frozen=True, eq=False)
class StepBlock:
    """The steps of one colour block, and what the machine's pause at its end says."""

    thread: Thread
    steps: tuple[Step, ...]
    pause: str


def blocks_of(steps: Sequence[Step]) -> tuple[StepBlock, ...]:
    """Steps shared out as `sequence.plan.plan_of` does: a pause or another thread begins a new
    block. As there, a block without a stitch is none."""
    groups: list[list[Step]] = []
    for step in steps:
        if not groups or groups[-1][-1].pause or step.thread != groups[-1][-1].thread:
            groups.append([])
        groups[-1].append(step)
    return tuple(
        StepBlock(group[0].thread, tuple(group), group[-1].pause)
        for group in groups
        if any(step.paths for step in group)
    )
