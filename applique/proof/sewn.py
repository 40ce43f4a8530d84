"""Paths as the machine sews them: where a thread starts and ends, and what of them is a tie."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from applique.geometry.walk import without_repeats
from applique.model import Step, StepKind, Thread
from applique.proof.ties import untied

Place = tuple[float, float]


@dataclass(frozen=True, eq=False)
class SewnPath:
    """One path of a step.

    `points` (n, 2) of mm are its penetrations, `before` (2,) the one ahead of them if the thread
    runs on from another path, else None. `starts` and `ends` tell whether a thread starts or ends
    with it. Ties are looked for there only: elsewhere a stitch to and fro is part of the sewing.
    """

    piece: str
    kind: StepKind
    thread: Thread
    points: np.ndarray
    before: np.ndarray | None
    starts: bool
    ends: bool
    tied_at_start: bool
    tied_at_end: bool

    @property
    def plain(self) -> np.ndarray:
        """The path without its ties, (n, 2)."""
        first = 3 if self.tied_at_start else 0
        last = len(self.points) - 3 if self.tied_at_end else len(self.points)
        return self.points[first:last]

    @property
    def whole(self) -> np.ndarray:
        """The path with the stitch that leads to it, (n, 2)."""
        return self.points if self.before is None else np.vstack([self.before, self.points])

    @property
    def loose_ends(self) -> tuple[Place, ...]:
        """Where its thread starts or ends without a tie."""
        places = []
        if self.starts and not self.tied_at_start:
            places.append(self.points[0])
        if self.ends and not self.tied_at_end:
            places.append(self.points[-1])
        return tuple((float(x), float(y)) for x, y in places)


def sewn_paths(steps: Sequence[Step]) -> list[SewnPath]:
    """The paths of all steps of a block, in sewing order.

    A thread runs on over a link "run", from step to step as well, unless the machine stops there.
    """
    found: list[SewnPath] = []
    before: np.ndarray | None = None
    for step, following in itertools.zip_longest(steps, steps[1:]):
        stops = bool(step.pause) or following is None or following.thread != step.thread
        last = len(step.paths) - 1
        for k, (path, link) in enumerate(zip(step.paths, step.links, strict=True)):
            if len(path) == 0:
                continue
            ends = link == "trim" or (stops and k == last)
            found.append(_sewn(step, without_repeats(path), before, ends))
            before = None if ends else path[-1]
    return found


def _sewn(step: Step, points: np.ndarray, before: np.ndarray | None, ends: bool) -> SewnPath:
    starts = before is None
    found = untied(points)
    # Seen from its end, what looks like a tie where no thread starts can't hide the one that is.
    at_end = found.tied_at_end if starts else untied(points[::-1]).tied_at_start
    return SewnPath(
        piece=step.piece,
        kind=step.kind,
        thread=step.thread,
        points=points,
        before=before,
        starts=starts,
        ends=ends,
        tied_at_start=starts and found.tied_at_start,
        tied_at_end=ends and at_end,
    )


def of_kinds(paths: Iterable[SewnPath], *kinds: StepKind) -> list[SewnPath]:
    """The paths that belong to steps of some kinds."""
    return [path for path in paths if path.kind in kinds]
