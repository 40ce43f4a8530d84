"""How the needle gets from one path to the next: run where that will be covered, else trimmed.

A covered run becomes a `travel` step of its own, so that it can be made anew whenever the order
changes. It never crosses fabric that already lies, and stays well inside what will lie on it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from applique.geometry.offset import shrunk
from applique.geometry.rings import rings_of
from applique.geometry.walk import Walk
from applique.model import LaidPiece, Link, Step, Thread

INSIDE_MM = 0.8
"""A covered run stays this far inside the fabric that will lie on it (common practice)."""

STITCH_MM = 3.0
"""Stitch length of a covered run."""

NEAR_RING_MM = 6.0
"""The ends of one piece's edge lie no further from its outline than the widest stitch reaches."""


@dataclass(frozen=True, eq=False)
class _Ways:
    """What covers a run at a given moment: the shapes of pieces, and when each is laid."""

    shapes: np.ndarray
    laid_at: np.ndarray
    tree: shapely.STRtree
    limit_mm: float

    def covered(self, way: np.ndarray, moment: int) -> bool:
        """Whether a line (n, 2) lies under fabric that is laid after step `moment`."""
        line = LineString(way)
        found = self.tree.query(line, predicate="intersects")
        later = self.shapes[found[self.laid_at[found] > moment]]
        if len(later) == 0:
            return False
        return bool(shrunk(shapely.union_all(later), INSIDE_MM).covers(line))


def with_travel(
    steps: Sequence[Step], laid: Mapping[str, LaidPiece], limit_mm: float
) -> tuple[Step, ...]:
    """Steps with covered runs put in between, up to `limit_mm` long; all other gaps are trimmed."""
    ways = _ways(steps, laid, limit_mm)
    if ways is None:
        return tuple(steps)
    result: list[Step] = []
    for index, step in enumerate(steps):
        following = steps[index + 1] if index + 1 < len(steps) else None
        goes_on = following is not None and not step.pause and following.thread == step.thread
        target = following.paths[0][0] if following is not None and goes_on else None
        result.extend(_linked(step, target, index, ways, laid))
    return tuple(result)


def _ways(steps: Sequence[Step], laid: Mapping[str, LaidPiece], limit_mm: float) -> _Ways | None:
    first: dict[str, int] = {}
    for index, step in enumerate(steps):
        if step.piece:
            first.setdefault(step.piece, index)
    labels = [label for label in first if label in laid]
    if not labels or limit_mm <= 0:
        return None
    shapes = np.array([laid[label].piece.outline.shape for label in labels], dtype=object)
    moments = np.array([first[label] for label in labels])
    return _Ways(shapes, moments, shapely.STRtree(shapes), limit_mm)


def _linked(
    step: Step,
    target: np.ndarray | None,
    moment: int,
    ways: _Ways,
    laid: Mapping[str, LaidPiece],
) -> list[Step]:
    """A step, cut up where a covered run goes between its paths. `target` is where the next step
    begins if the thread goes on, else None."""
    parts: list[Step] = []
    paths: list[np.ndarray] = []
    links: list[Link] = []
    for k, path in enumerate(step.paths):
        last = k + 1 == len(step.paths)
        goal = target if last else step.paths[k + 1][0]
        way = None
        if step.links[k] == "trim" and goal is not None:
            way = _way(path[-1], goal, step, moment, ways, laid)
        paths.append(path)
        links.append("run" if way is not None else step.links[k])
        if way is not None or last:
            parts.append(replace(step, paths=tuple(paths), links=tuple(links), pause=""))
            paths, links = [], []
        if way is not None and len(way):
            parts.append(_travel(way, step.thread))
    parts[-1] = replace(parts[-1], pause=step.pause)
    return parts


def _travel(way: np.ndarray, thread: Thread) -> Step:
    return Step(kind="travel", piece="", thread=thread, paths=(way,), links=("run",))


def _way(
    start: np.ndarray,
    stop: np.ndarray,
    step: Step,
    moment: int,
    ways: _Ways,
    laid: Mapping[str, LaidPiece],
) -> np.ndarray | None:
    """Penetrations between two places, (n, 2) without the places themselves; None to trim."""
    if math.dist(start, stop) > ways.limit_mm:
        return None
    candidates = [np.array([start, stop])]
    if step.piece in laid:
        candidates.extend(_along_outline(start, stop, laid[step.piece].piece.outline.shape))
    for candidate in candidates:
        walk = Walk(candidate, closed=False)
        if walk.length <= ways.limit_mm and ways.covered(candidate, moment):
            count = max(1, math.ceil(walk.length / STITCH_MM))
            return walk.at(walk.length * np.arange(1, count) / count)
    return None


def _along_outline(start: np.ndarray, stop: np.ndarray, shape: BaseGeometry) -> list[np.ndarray]:
    """The two ways between two places along the ring that both are near to."""
    ends = shapely.points(np.array([start, stop]))
    for ring in rings_of(shape):
        line = shapely.linearrings(ring)
        if shapely.distance(line, ends).max() > NEAR_RING_MM:
            continue
        walk = Walk(ring, closed=True)
        first, last = shapely.line_locate_point(line, ends).tolist()
        onwards = walk.section(first, last if last > first else last + walk.length)
        backwards = walk.section(last, first if first > last else first + walk.length)[::-1]
        return [np.vstack([start, way, stop]) for way in (onwards, backwards)]
    return []
