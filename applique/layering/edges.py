"""Where a piece's outline gets an edge stitch.

An edge that runs under a piece above it gets no stitch there; it ends a little past the stitches
that will cover it. What reaches the seam line goes into the seam without an edge.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.corners import CORNER_TO_THE_EYE_DEGREES, find_corners
from applique.geometry.rings import rings_of
from applique.geometry.stretches import Stretch, outside
from applique.geometry.walk import Walk, unit
from applique.layering.cover import Cover, within_seams
from applique.layering.crossing import may_end_early
from applique.model import EdgeRun, Frame, Piece

COVERED_BY_MM = 0.5
"""Where edges are sewn last, a lower edge stays this far inside the satin that will cover it."""

FLICKER = 1.5
LONGEST_FLICKER_MM = 6.0
"""A stretch shorter than this that comes no further from a cover than so many times the touching
distance is taken for covered, so that wavy neighbours don't get an edge in dashes."""

_TAIL_MM = 4.0
"""Corners within the run-on are looked for on no more of the line than this ahead of it."""

_BEYOND_MM = 1.0
"""So much more of the line is looked at to tell whether an edge ends at a corner."""

_SAMPLE_MM = 0.1
"""Step of the embroidery frame: how finely the end of an edge is placed."""


def edge_runs(
    piece: Piece, cover: Cover, frame: Frame | None, edges_last: bool
) -> tuple[EdgeRun, ...]:
    """The stretches of the outline that get an edge stitch, run on under their covers.

    `frame` is None unless the piece reaches the seam line.
    """
    covered = cover.touching
    if frame is not None:
        covered = shapely.union(covered, _seam_region(piece.outline.shape, frame))
    rings = rings_of(piece.outline.shape)
    if covered.is_empty:
        return tuple(EdgeRun(ring, True, k) for k, ring in enumerate(rings))
    runs: list[EdgeRun] = []
    for k, ring in enumerate(rings):
        walk = Walk(ring, closed=True)
        ends = _EdgeEnds(walk, piece, cover, edges_last)
        free = [stretch for stretch in outside(walk, covered) if ends.is_free(stretch)]
        longer = [ends.run_on(stretch) for stretch in free]
        run_on = min(piece.settings.run_on_mm, piece.settings.underlap_mm)
        runs.extend(_run(walk, stretch, k, run_on) for stretch in _merged(longer, walk.length))
    return tuple(runs)


def covered_depth(upper: Piece) -> float:
    """How far inside a piece's outline its edge hides what was sewn on it before, in mm."""
    if not upper.settings.edge_covers:
        return 0.0
    return max(upper.settings.edge_inside_mm - COVERED_BY_MM, 0.0)


def _seam_region(shape: MultiPolygon, frame: Frame) -> BaseGeometry:
    """Everything at or beyond the seam line, as far as the shape reaches."""
    return shapely.box(*shape.bounds).buffer(1.0).difference(within_seams(frame))


class _EdgeEnds:
    """Lengthens the free stretches of one ring under what covers their ends."""

    def __init__(self, walk: Walk, piece: Piece, cover: Cover, edges_last: bool) -> None:
        self._walk = walk
        self._settings = piece.settings
        self._cover = cover
        self._edges_last = edges_last

    def is_free(self, stretch: Stretch) -> bool:
        """Whether a stretch outside the covers is more than a flicker of two outlines that run
        beside each other at about the distance that counts as touching."""
        if self._cover.union.is_empty or stretch.length_mm > LONGEST_FLICKER_MM:
            return True
        places = self._walk.at(np.linspace(stretch.start_mm, stretch.stop_mm, 7)[1:-1])
        away = shapely.distance(self._cover.union, shapely.points(places))
        return bool(away.max() > FLICKER * self._settings.touch_mm)

    def run_on(self, stretch: Stretch) -> Stretch:
        if stretch.length_mm >= self._walk.length:
            return stretch
        return Stretch(
            stretch.start_mm - self._reach(stretch.start_mm, -1),
            stretch.stop_mm + self._reach(stretch.stop_mm, 1),
        )

    def _reach(self, end_mm: float, direction: int) -> float:
        """How far the edge runs on from an end, at most the underlap.

        Under a cover it goes past the inner rail of the upper piece's edge by the run-on; at a
        seam, or beside a piece that it only touches, by the run-on alone.
        """
        limit = self._settings.underlap_mm
        nearby = min(self._settings.run_on_mm, limit)
        if self._cover.union.is_empty:
            return nearby
        steps = np.arange(1, int(limit / _SAMPLE_MM) + 1) * _SAMPLE_MM
        places = self._walk.at(end_mm + direction * steps)
        inside = shapely.contains_xy(self._cover.union, places[:, 0], places[:, 1])
        if not inside.any():
            return nearby
        depth = shapely.distance(self._cover.union.boundary, shapely.points(places))
        deep = inside & (depth >= self._needed_depth(end_mm))
        last = int(np.argmax(deep)) if deep.any() else len(steps) - 1
        if self._edges_last:
            return float(steps[last])
        early = (inside & (depth >= nearby))[: last + 1]
        early &= self._may_end_early(places[: last + 1])
        return float(steps[np.argmax(early)]) if early.any() else float(steps[last])

    def _may_end_early(self, places: np.ndarray) -> np.ndarray:
        """Where along the run-on (n, 2) to end for the sake of upper edges that cross it, (n,)."""
        near = self._settings.edge_inside_mm + self._settings.edge_outside_mm
        shapes = np.array([upper.outline.shape for upper in self._cover.pieces], dtype=object)
        met = shapely.dwithin(shapes, shapely.multipoints(places), near)
        uppers = [self._cover.pieces[k] for k in np.flatnonzero(met)]
        return may_end_early(places, self._settings, uppers, self._cover.union)

    def _needed_depth(self, end_mm: float) -> float:
        end = shapely.points(self._walk.at(np.array([end_mm])))[0]
        near = self._settings.touch_mm + _SAMPLE_MM
        uppers = [
            upper for upper in self._cover.pieces if shapely.dwithin(upper.outline.shape, end, near)
        ]
        if self._edges_last:
            # On top of the upper fabric: stay within what its satin will cover.
            depths = [min(covered_depth(upper), self._settings.run_on_mm) for upper in uppers]
            return min(depths, default=0.0)
        inner_rails = [upper.settings.edge_inside_mm for upper in uppers]
        return max(inner_rails, default=0.0) + self._settings.run_on_mm


def _run(walk: Walk, stretch: Stretch, ring: int, run_on_mm: float) -> EdgeRun:
    if stretch.length_mm >= walk.length - _SAMPLE_MM:
        return EdgeRun(walk.points, True, ring)
    points = walk.section(stretch.start_mm - _BEYOND_MM, stretch.stop_mm + _BEYOND_MM)
    points = _ended(points, run_on_mm)
    return EdgeRun(_ended(points[::-1], run_on_mm)[::-1], False, ring)


def _ended(points: np.ndarray, run_on_mm: float) -> np.ndarray:
    """A line (n, 2) without its last `_BEYOND_MM`. If there is a corner within the `run_on_mm` that
    are then its last, it goes straight on from there: an edge that ends at a corner runs on beneath
    its cover instead of turning along it."""
    walk = Walk(points, closed=False)
    end = walk.length - _BEYOND_MM
    tail_mm = max(end - run_on_mm - _TAIL_MM, 0.0)
    tail = Walk(walk.section(tail_mm, walk.length), closed=False)
    corners = tail_mm + find_corners(tail, CORNER_TO_THE_EYE_DEGREES).start_mm
    corners = corners[(corners > end - run_on_mm) & (corners < end)]
    if len(corners) == 0:
        return walk.section(0.0, end)
    corner = float(corners[0])
    kept = walk.section(0.0, corner)
    onward = unit(walk.at(corner) - walk.at(max(corner - run_on_mm, 0.0)))
    return np.vstack([kept[:-1], kept[-1] + onward * (end - corner)])


def _merged(stretches: Sequence[Stretch], length: float) -> list[Stretch]:
    """Stretches in order round a ring, those that now overlap joined."""
    merged: list[Stretch] = []
    for stretch in stretches:
        if merged and stretch.start_mm <= merged[-1].stop_mm:
            merged[-1] = Stretch(merged[-1].start_mm, max(merged[-1].stop_mm, stretch.stop_mm))
        else:
            merged.append(stretch)
    if len(merged) > 1 and merged[-1].stop_mm - length >= merged[0].start_mm:
        first = merged.pop(0)
        merged[-1] = Stretch(merged[-1].start_mm, max(merged[-1].stop_mm, first.stop_mm + length))
    return merged
