"""Part of a block sewn again: from a stop on, after a needle broke, or a spoiled piece alone.

Nothing is moved, so the stitches lie where the whole block has them. Every stretch begins with its
own ties: after a stop and after a trim the thread starts afresh.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from applique.errors import UsageError
from applique.model import Plan, Step, ThreadBlock
from applique.sequence.keep import with_short_links
from applique.sequence.pauses import own_words
from applique.sequence.plan import LONGEST_STITCH_MM

_CONCERNS = re.compile(
    r"Lay (?:(?!Lay ).)+? over the line of (?P<laid>(?:(?!Lay ).)+?)\.(?= |$)"
    r"|Take the hoop off the machine and trim (?P<trimmed>(?:(?!Take ).)+?) close to its line, "
    r"holes too, blades away from fingers\.(?= |$)"
)
"""The sentences of `pauses`, and the piece that each is about."""


@dataclass(frozen=True)
class Done:
    """What was done at a stop, by its number."""

    stop: int
    pause: str


def from_stop(plan: Plan, number: int) -> Plan:
    """What is sewn after a stop; stops are counted from 1, and block 1 is sewn before stop 1.

    Raises UsageError if the plan has no such stop.
    """
    stops = len(plan.blocks) - 1
    if stops < 1:
        raise UsageError("there is no stop to go on from; the whole is sewn in one go")
    if not 1 <= number <= stops:
        raise UsageError(f"there is no stop {number}; the stops are 1 to {stops}")
    return replace(plan, blocks=plan.blocks[number:])


def done_before(plan: Plan, number: int) -> tuple[Done, ...]:
    """What the user did at the stops up to a number: it lies on the block and stays there."""
    blocks = plan.blocks[:number]
    return tuple(Done(k, block.pause) for k, block in enumerate(blocks, start=1) if block.pause)


def only_pieces(steps: Sequence[Step], labels: Collection[str]) -> tuple[Step, ...]:
    """All steps of some pieces in their order, with the pauses that concern these pieces.

    Covered travel falls away: what covered it may not be sewn again. Raises UsageError for a label
    that has no steps.
    """
    known = list(dict.fromkeys(step.piece for step in steps if step.piece))
    unknown = [label for label in labels if label not in known]
    if unknown:
        raise UsageError(
            f"nothing is sewn of {', '.join(unknown)}; the pieces are {', '.join(known)}"
        )
    kept: list[Step] = []
    goes_on = False
    for step in steps:
        if step.piece not in labels:
            if kept and goes_on:
                kept[-1] = _trimmed(kept[-1])
            if kept:
                kept[-1] = _paused(kept[-1], _about(step.pause, labels))
            goes_on = False
            continue
        own = own_words(step.pause)
        kept.append(_paused(replace(step, pause=own), _about(step.pause, labels)))
        goes_on = True
    return tuple(with_short_links(kept))


def _trimmed(step: Step) -> Step:
    return replace(step, links=(*step.links[:-1], "trim"))


def _paused(step: Step, sentences: Sequence[str]) -> Step:
    return replace(step, pause=" ".join(filter(None, (step.pause, *sentences))))


def _about(pause: str, labels: Collection[str]) -> list[str]:
    """The sentences of a pause that are about some pieces."""
    return [
        found[0]
        for found in _CONCERNS.finditer(pause)
        if (found["laid"] or found["trimmed"]) in labels
    ]


def cut_at_long_moves(plan: Plan) -> tuple[Plan, int]:
    """A plan read from a file whose long moves without a trim are trimmed, and how many these
    are: no single stitch of ours is so long."""
    count = 0
    blocks: list[ThreadBlock] = []
    for block in plan.blocks:
        runs: list[np.ndarray] = []
        for run in block.runs:
            steps = np.abs(np.diff(run, axis=0)).max(axis=1, initial=0.0)
            # Frame steps are tenths: what is over the limit is so by a tenth at least.
            cuts = np.flatnonzero(steps > LONGEST_STITCH_MM + 0.01) + 1
            count += len(cuts)
            runs.extend(np.split(run, cuts))
        blocks.append(replace(block, runs=tuple(runs)))
    return replace(plan, blocks=tuple(blocks)), count
