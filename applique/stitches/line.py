"""A sewn line, and the lines set off from an outline that running stitches follow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

from applique.geometry.offset import MITRE_LIMIT, arc_segments, left_of
from applique.geometry.rings import rings_of
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
    return SewnLine(points, points[:3], points[-3:][::-1])


def set_in(run: EdgeRun, distance_mm: float) -> list[EdgeRun]:
    """An edge run moved towards the fabric by `distance_mm` (outwards if negative).

    It may fall apart, or vanish where the fabric is narrower than twice the distance.
    """
    if distance_mm == 0:
        return [run]
    if not run.closed:
        return [EdgeRun(line, False, run.ring) for line in left_of(run.points, distance_mm)]
    solid = Polygon(run.points)
    towards = -distance_mm if solid.exterior.is_ccw else distance_mm
    moved = shapely.buffer(
        solid,
        towards,
        quad_segs=arc_segments(abs(distance_mm)),
        join_style="mitre",
        mitre_limit=MITRE_LIMIT,
    )
    outers = [Polygon(part.exterior) for part in shapely.get_parts(moved) if not part.is_empty]
    rings = [ring for outer in outers for ring in rings_of(outer)]
    if not solid.exterior.is_ccw:
        rings = [ring[::-1] for ring in rings]
    return [EdgeRun(ring, True, run.ring) for ring in rings]


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


def sewing_order(runs: tuple[EdgeRun, ...]) -> list[EdgeRun]:
    """Edge runs ring by ring, the last ring first: the tack-down ends there, so no trim is needed
    between the two. The runs of one ring keep their order along it."""
    return sorted(runs, key=lambda run: -run.ring)
