"""Pieces whose edges are sewn on the sewing machine, between two hoopings.

They take no hooping of their own: what lies beneath such a piece is sewn before it, what lies on it
in a later hooping. Of its placement line the hoop sews what lies in a field anyway; the rest is
found by the printed pattern.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

import numpy as np

from applique.hoops.problem import BoxMm, SizeMm
from applique.model import Link, Step, Thread
from applique.sequence.precedence import Before
from applique.stitches.ties import tied

_SHORTEST_LINE = 4
"""Fewer needle points in a row say too little about where a piece lies."""

TIE_MM = 0.8


def without_machine(before: Before, on_machine: Collection[str]) -> tuple[Before, Before]:
    """What comes before what, for the pieces that are hooped: in the same hooping or an earlier
    one, and, where a piece sewn on the machine lies between the two, in an earlier one."""
    same: dict[str, frozenset[str]] = {}
    apart: dict[str, frozenset[str]] = {}
    for upper, lowers in before.items():
        if upper not in on_machine:
            same[upper] = lowers - set(on_machine)
            apart[upper] = beneath(lowers & set(on_machine), before, on_machine)
    return same, apart


def beneath(labels: Collection[str], before: Before, on_machine: Collection[str]) -> frozenset[str]:
    """The hooped pieces that come before some pieces, also by way of others sewn on the machine."""
    found: set[str] = set()
    waiting, seen = list(labels), set(labels)
    while waiting:
        for lower in before.get(waiting.pop(), frozenset()):
            if lower not in on_machine:
                found.add(lower)
            elif lower not in seen:
                seen.add(lower)
                waiting.append(lower)
    return frozenset(found)


def moments(
    on_machine: Sequence[str],
    before: Before,
    first: Mapping[str, int],
    last: Mapping[str, int],
    count: int,
) -> dict[str, tuple[int, int]]:
    """Of each piece sewn on the machine the earliest and the latest hooping, from 0 for the
    beginning to `count`, after which it can be sewn. `first` and `last` are those in which the
    hooped pieces are sewn."""
    after: dict[str, tuple[int, int]] = {}
    machine = set(on_machine)
    above = {label: [up for up, low in before.items() if label in low] for label in machine}
    for label in on_machine:
        lowers = beneath([label], before, machine)
        earliest = max((last[lower] for lower in lowers if lower in last), default=0)
        uppers = _above(label, above, machine)
        latest = min((first[upper] for upper in uppers if upper in first), default=count + 1) - 1
        after[label] = (earliest, latest)
    return after


def line_within(steps: Sequence[Step], box: BoxMm, window: SizeMm, thread: Thread) -> Step | None:
    """The part of a placement line that a window over the middle of a box takes, in a thread that
    is in the needle anyway; None if it takes none."""
    left, top, right, bottom = box
    middle = np.array([left + right, top + bottom]) / 2
    half = np.array(window) / 2
    paths: list[np.ndarray] = []
    for step in steps:
        for path in step.paths:
            inside = np.asarray((np.abs(path - middle) <= half).all(axis=1))
            paths += [_tied(path[a:b]) for a, b in _stretches(inside)]
    if not paths:
        return None
    links: list[Link] = ["trim" for _ in paths]
    return replace(steps[0], thread=thread, paths=tuple(paths), links=tuple(links), pause="")


def _above(label: str, above: Mapping[str, Sequence[str]], machine: Collection[str]) -> set[str]:
    """The hooped pieces that come after one sewn on the machine, also by way of others."""
    found: set[str] = set()
    waiting, seen = [label], {label}
    while waiting:
        for upper in above.get(waiting.pop(), ()):
            if upper not in machine:
                found.add(upper)
            elif upper not in seen:
                seen.add(upper)
                waiting.append(upper)
    return found


def _stretches(inside: np.ndarray) -> list[tuple[int, int]]:
    """Where runs of True that are long enough begin and end."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], inside, [False]]).astype(int)))
    pairs = edges.reshape(-1, 2).tolist()
    return [(a, b) for a, b in pairs if b - a >= _SHORTEST_LINE]


def _tied(path: np.ndarray) -> np.ndarray:
    """A stretch of a line with ties where it was cut."""
    return tied(path, path, path[::-1], TIE_MM)
