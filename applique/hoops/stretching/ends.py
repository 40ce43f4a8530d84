"""The steps of one part put together again from the fragments of its paths, with ties where they
were cut."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from applique.hoops.stretching.fragments import Way, tie_line
from applique.model import Link, Step
from applique.stitches.steps import JOINED_MM
from applique.stitches.ties import tied

_ON_OWN_MM = 0.25
"""A stitch this near to what is sewn anyway is not seen: half a wide satin spacing."""

_IN_SIGHT_MM = 0.5
"""No more than this of a stitch from one fragment to the next may show: a satin's shortest."""


@dataclass(frozen=True, eq=False)
class Fragment:
    """Some of the penetrations of a path, from `first` to `last`: path `path` of step `step`, the
    `number`th of all paths of the piece."""

    way: Way
    number: int
    step: int
    path: int
    first: int
    last: int

    @property
    def points(self) -> np.ndarray:
        """Its penetrations, (n, 2) mm."""
        return self.way.points[self.first : self.last + 1]

    @property
    def starts(self) -> bool:
        """Whether it begins where its path does."""
        return self.first == 0

    @property
    def ends(self) -> bool:
        """Whether it ends where its path does."""
        return self.last == len(self.way.points) - 1


def part_of(
    steps: Sequence[Step], fragments: Sequence[Fragment], tie_length_mm: float
) -> tuple[Step, ...]:
    """The steps of a part from its fragments, which come in the order they are sewn in."""
    runs = _runs_on(steps, fragments)
    parts: list[Step] = []
    for index, step in enumerate(steps):
        own = [k for k, fragment in enumerate(fragments) if fragment.step == index]
        if own:
            paths = [_tied(steps, fragments, runs, k, tie_length_mm) for k in own]
            links: list[Link] = ["run" if runs[k] else "trim" for k in own]
            parts.append(replace(step, paths=tuple(paths), links=tuple(links)))
    return tuple(parts)


def _runs_on(steps: Sequence[Step], fragments: Sequence[Fragment]) -> list[bool]:
    """For each fragment whether the thread goes on to the next one: as it did in the piece, or
    where a short stitch to the next fragment of the same path lies on what is sewn there."""
    runs = []
    for here, after in itertools.pairwise(fragments):
        if here.number == after.number:
            runs.append(_lies_on(here, after))
        else:
            as_before = here.ends and after.starts and after.number == here.number + 1
            runs.append(as_before and steps[here.step].links[here.path] == "run")
    return [*runs, False]


def _lies_on(here: Fragment, after: Fragment) -> bool:
    """Whether the stitch between two fragments is short and lies on their own."""
    ends = np.array([here.points[-1], after.points[0]])
    if np.hypot(*(ends[1] - ends[0])) > JOINED_MM:
        return False
    sewn = shapely.MultiLineString([here.points, after.points])
    shown = shapely.difference(shapely.linestrings(ends), shapely.buffer(sewn, _ON_OWN_MM))
    return bool(shown.length <= _IN_SIGHT_MM)


def _tied(
    steps: Sequence[Step],
    fragments: Sequence[Fragment],
    runs: Sequence[bool],
    index: int,
    tie_length_mm: float,
) -> np.ndarray:
    """The penetrations (n, 2) of a fragment with ties where a thread starts or ends that did not
    in the piece."""
    it = fragments[index]
    led_to = index > 0 and runs[index - 1]
    start_line = None
    if not led_to and not (it.starts and _began(steps, it)):
        start_line = tie_line(it.way, it.first, it.last)
    end_line = None
    if not runs[index] and not (it.ends and steps[it.step].links[it.path] == "trim"):
        end_line = tie_line(it.way, it.last, it.first)
    return tied(it.points, start_line, end_line, tie_length_mm)


def _began(steps: Sequence[Step], fragment: Fragment) -> bool:
    """Whether a thread began with the path of a fragment in the piece."""
    if fragment.path > 0:
        return steps[fragment.step].links[fragment.path - 1] == "trim"
    return fragment.step == 0 or steps[fragment.step - 1].links[-1] == "trim"
