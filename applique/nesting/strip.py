"""The shortest strip: the solver's layouts, each shaken down, the shortest kept."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import shapely
from shapely import Polygon

from applique.cutting.nested import Placement
from applique.nesting.convex import Body, body_of
from applique.nesting.shake import shaken
from applique.nesting.solver import Effort, Item, Layout, Run, SolverFailedError

WORKERS = 2
"""Threads of one run: two find shorter strips than two runs of one thread (measured)."""

_LOOKS_EVERY_S = 0.1
_EXPLORING_SHARE = 0.8
"""The solver's own: the rest of the time it works on its best layout alone."""

_SHAKING_SHARE = 0.05
"""Kept of the time for the last shakes."""

_KEPT = 3
"""So many of a run's last layouts are shaken: the shortest is not always the one that shakes down
furthest."""


@dataclass(frozen=True, eq=False)
class Strip:
    """A strip of `height` and what is to lie in it: simple polygons and the angles each may be
    turned by, None for all."""

    shapes: tuple[Polygon, ...]
    angles: tuple[tuple[float, ...] | None, ...]
    height: float

    @cached_property
    def bodies(self) -> tuple[Body, ...]:
        """The shapes as convex parts."""
        return tuple(body_of(shape) for shape in self.shapes)

    def items(self) -> list[Item]:
        """The shapes as the solver takes them."""
        return [
            Item(shapely.get_coordinates(shape.exterior)[:-1], angles)
            for shape, angles in zip(self.shapes, self.angles, strict=True)
        ]


def shortest(
    strip: Strip, seconds: float, seed: int, enough: float, may_go_on: Callable[[float], bool]
) -> Layout | None:
    """The shortest layout found within so many seconds, or the first no longer than `enough`.

    `may_go_on` hears the best length so far (infinite at first). None if there was no time for one.
    Raises SolverFailedError if the solver ends without one.
    """
    begun = time.monotonic()
    end = begun + seconds
    stop_at = begun + seconds * (1 - _SHAKING_SHARE)
    exploring = max(1, int(seconds * _EXPLORING_SHARE))
    compressing = max(0, int(seconds) - exploring + 1)
    run = Run(strip.items(), strip.height, Effort(exploring, compressing, WORKERS, seed))
    last: list[Layout] = []
    length = float("inf")
    try:
        while run.look(_LOOKS_EVERY_S):
            if run.best is not None and (not last or run.best is not last[-1]):
                last = [*last[1 - _KEPT :], run.best]
                length = run.best.length_mm
            if length <= enough or time.monotonic() >= stop_at or not may_go_on(length):
                break
    finally:
        run.stop()
    if run.failed:
        raise SolverFailedError
    best = run.best
    for layout in reversed(last):
        if time.monotonic() >= end:
            break
        best = _shorter(best, shaken_layout(strip, layout, lambda: time.monotonic() < end))
    return best


def shaken_layout(strip: Strip, layout: Layout, may_go_on: Callable[[], bool]) -> Layout:
    """A layout shaken down, as long as `may_go_on` says so."""
    bodies = [strip.bodies[it.index].moved(it.matrix()) for it in layout.placements]
    moves = shaken(bodies, strip.height, may_go_on)
    placements = tuple(
        Placement(it.index, it.angle_degrees, it.x_mm + float(dx), it.y_mm + float(dy))
        for it, (dx, dy) in zip(layout.placements, moves, strict=True)
    )
    ends = [body.hull[:, 0].max() + dx for body, dx in zip(bodies, moves[:, 0], strict=True)]
    return Layout(float(max(ends)), placements)


def _shorter(one: Layout | None, other: Layout) -> Layout:
    return other if one is None or other.length_mm < one.length_mm else one
