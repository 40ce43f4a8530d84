"""A sewn line, and edge runs made ready for sewing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from shapely import LinearRing, LineString, MultiLineString

from applique.geometry.lines import without_jitter
from applique.geometry.nicks import without_nicks
from applique.geometry.walk import Walk, step_lengths
from applique.model import EdgeRun


@dataclass(frozen=True, eq=False)
class SewnLine:
    """Penetrations without a trim, (n, 2) mm, and where small ties may lie unseen.

    `start_line` leads on from the first point, `end_line` leads back from the last one; both are
    polylines (k, 2).
    """

    points: np.ndarray
    start_line: np.ndarray
    end_line: np.ndarray


def plain_line(points: np.ndarray) -> SewnLine:
    """A line whose ties lie on its own first and last stitches."""
    return SewnLine(points, points, points[::-1])


def without_short(points: np.ndarray, shortest_mm: float) -> np.ndarray:
    """Points (n, 2) without those that a stitch of less than `shortest_mm` leads to."""
    while True:
        short = step_lengths(points) < shortest_mm
        if not short.any():
            return points
        # Of several in a row the first goes; whether the next is still too short shows then.
        first = short & ~np.concatenate([[False], short[:-1]])
        points = points[np.concatenate([[True], ~first])]


def from_lowest(run: EdgeRun) -> EdgeRun:
    """A closed run begun at its lowest place on the page, where a start shows least: a quilt is
    looked at from above its lower edges. An open run stays as it is."""
    if not run.closed:
        return run
    first = int(np.argmax(run.points[:, 1]))
    return EdgeRun(np.roll(run.points, -first, axis=0), True, run.ring)


def from_nearest(run: EdgeRun, place: np.ndarray) -> EdgeRun:
    """A closed run begun at its vertex nearest to a place (2,)."""
    if not run.closed:
        return run
    offsets = run.points - place
    first = int(np.argmin((offsets * offsets).sum(axis=1)))
    return EdgeRun(np.roll(run.points, -first, axis=0), True, run.ring)


def sewing_order(runs: Iterable[EdgeRun]) -> list[EdgeRun]:
    """Edge runs ring by ring, the last ring first: the tack-down ends there, so no trim is needed
    between the two. The runs of one ring keep their order along it."""
    return sorted(runs, key=lambda run: -run.ring)


def sewn_runs(runs: Iterable[EdgeRun]) -> list[EdgeRun]:
    """Edge runs in sewing order as rungs stand on them: without the noise and the nicks of their
    drawing. (A blanket stitch has so few bites that none has to turn about a nick.)"""
    return [
        EdgeRun(
            without_nicks(without_jitter(run.points, run.closed), run.closed), run.closed, run.ring
        )
        for run in sewing_order(runs)
    ]


def shared_lines(runs: Iterable[EdgeRun], band_mm: float) -> MultiLineString:
    """The lines between which narrow places are shared: open runs without as much of their ends as
    the band is wide, because past its end a run has nothing to share with, and what faces it there
    has to cover its own band."""
    shortened = []
    for run in runs:
        walk = Walk(run.points, run.closed)
        off = 0.0 if run.closed else min(band_mm, walk.length / 4)
        points = run.points if run.closed else walk.section(off, walk.length - off)
        shortened.append(EdgeRun(points, run.closed, run.ring))
    return lines_of(shortened)


def lines_of(runs: Iterable[EdgeRun]) -> MultiLineString:
    """Edge runs as lines, to measure distances from."""
    return MultiLineString(
        [LinearRing(run.points) if run.closed else LineString(run.points) for run in runs]
    )
