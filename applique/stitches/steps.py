"""Sewn lines put together as steps, tied wherever the thread starts or ends."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence

import numpy as np

from applique.model import Detail, Link, Piece, Step, StepKind
from applique.stitches.line import SewnLine
from applique.stitches.ties import tied

JOINED_MM = 4.0
"""Lines of one piece whose ends lie this near are sewn on without a trim: one stitch."""

NEAREST_MM = 0.5
"""From the end of one line to the start of the next no stitch is shorter: the lower bound of a
satin's."""

Lines = list[tuple[StepKind, SewnLine]]
"""Lines in sewing order, each with the kind of step it belongs to."""


def near_ends(lines: Lines) -> list[bool]:
    """For each line but the last whether the next one begins so near that no trim is needed."""
    return [
        math.dist(here.points[-1], after.points[0]) <= JOINED_MM
        for (_, here), (_, after) in itertools.pairwise(lines)
    ]


def steps_of(lines: Lines, joined: Sequence[bool], part: Piece | Detail) -> list[Step]:
    """Lines as steps, one for each kind in a row. `joined` tells for each line but the last whether
    the thread goes on to the next one."""
    if not lines:
        return []
    length = part.settings.tie_length_mm
    starts = [True, *(not run for run in joined)]
    ends = [*(not run for run in joined), True]
    steps: list[Step] = []
    paths: list[np.ndarray] = []
    links: list[Link] = []
    for k, (kind, line) in enumerate(lines):
        start_line = line.start_line if starts[k] else None
        end_line = line.end_line if ends[k] else None
        points = line.points if ends[k] else _up_to(line.points, lines[k + 1][1].points[0])
        paths.append(tied(points, start_line, end_line, length))
        links.append("trim" if ends[k] else "run")
        if k + 1 == len(lines) or lines[k + 1][0] != kind:
            steps.append(_step(kind, part, paths, links))
            paths, links = [], []
    return steps


def _up_to(points: np.ndarray, following: np.ndarray) -> np.ndarray:
    """Points (n, 2) without a last one that the place where the thread goes on is too near to, if
    the one before leads there in one stitch."""
    if len(points) <= 2 or math.dist(points[-1], following) >= NEAREST_MM:
        return points
    return points[:-1] if math.dist(points[-2], following) <= JOINED_MM else points


def _step(
    kind: StepKind, part: Piece | Detail, paths: Sequence[np.ndarray], links: Sequence[Link]
) -> Step:
    return Step(
        kind=kind,
        piece=part.label,
        thread=part.thread,
        paths=tuple(paths),
        links=tuple(links),
        source=part.source,
    )
