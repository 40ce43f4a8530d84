"""The bites of a blanket stitch, found among its needle points.

A bite is a point outside, one in the fabric, and the first again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon

from applique.geometry.lines import length_inside

SAME_MM = 0.01
"""Needle points nearer than this are one hole: a tenth of a frame step."""

OFF_FABRIC_MM = 0.05
"""Half a frame step. A bite off the fabric by no more is held by the web beneath it."""

WHISKER_MM = 0.3
"""A corner may begin with a whisker, or a notch, so long: thinner than thread (0.4 mm)."""

OFF_PIVOT_MM = 0.1
"""Bites that meet no further from a pivot than a frame step share that hole, they don't cross."""


@dataclass(frozen=True, eq=False)
class FoundBites:
    """Each bite once. `pivot` (outside), `inner` and `foot`, where the bite first crosses the
    outline, are (n, 2) mm; `strokes` (n,) is how often it is sewn."""

    pivot: np.ndarray
    inner: np.ndarray
    foot: np.ndarray
    strokes: np.ndarray

    @property
    def way(self) -> np.ndarray:
        """From the pivots to the inner ends, (n, 2) mm."""
        return self.inner - self.pivot

    @property
    def just_within(self) -> np.ndarray:
        """Places a little way in from the feet, (n, 2) mm: where two parts of a piece touch they
        tell which of the two a bite is in."""
        length = np.hypot(*self.way.T)[:, None]
        return self.foot + self.way * np.minimum(OFF_PIVOT_MM / length, 0.5)

    def crossing(self) -> np.ndarray:
        """Which bites cross or touch another, (n,) of bool. They may share a pivot."""
        length = np.hypot(*self.way.T)[:, None]
        start = self.pivot + self.way * np.minimum(OFF_PIVOT_MM / length, 0.5)
        lines = shapely.linestrings(np.stack([start, self.inner], axis=1))
        first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
        return np.isin(np.arange(len(lines)), first[first != second])

    def off_fabric(self, shape: MultiPolygon) -> np.ndarray:
        """Which bites run off the fabric past their feet, or end off it, (n,) of bool."""
        way = self.inner - self.foot
        length = np.hypot(*way.T)[:, None]
        start = self.foot + way * np.minimum(WHISKER_MM / np.maximum(length, SAME_MM), 1.0)
        beyond = np.hypot(*(self.inner - start).T) - length_inside(start, self.inner, shape)
        return (beyond > OFF_FABRIC_MM) | (depth_in(self.inner, shape) < -OFF_FABRIC_MM)

    def pivot_inside(self, shape: MultiPolygon) -> np.ndarray:
        """Which bites have their pivot in the fabric, (n,) of bool."""
        return depth_in(self.pivot, shape) > OFF_FABRIC_MM


def find_bites(paths: Sequence[np.ndarray], shape: MultiPolygon) -> FoundBites:
    """Every to-and-fro into the fabric in the paths, (n, 2) arrays of mm, ties aside."""
    ends = [_to_and_fro(_without_ties(path)) for path in paths]
    pivot, inner = np.concatenate(ends, axis=1) if ends else np.zeros((2, 0, 2))
    depth = depth_in(pivot, shape)
    # Of in, out, in, out again only the way in is a bite; one may even come out on the other side.
    inwards = (depth_in(inner, shape) > depth) | (depth <= OFF_FABRIC_MM)
    real = inwards & (length_inside(pivot, inner, shape) > SAME_MM)
    pivot, inner = pivot[real], inner[real]
    holes = np.round(np.hstack([pivot, inner]) / SAME_MM)
    _, first, strokes = np.unique(holes, axis=0, return_index=True, return_counts=True)
    order = np.argsort(first)
    pivot, inner = pivot[first[order]], inner[first[order]]
    return FoundBites(pivot, inner, _feet(pivot, inner, shape), strokes[order])


def depth_in(points: np.ndarray, shape: MultiPolygon) -> np.ndarray:
    """How far points (n, 2) lie within a shape, (n,) of mm; outside negative."""
    away = shapely.distance(shape.boundary, shapely.points(points))
    return np.where(shapely.contains_xy(shape, points[:, 0], points[:, 1]), away, -away)


def _without_ties(path: np.ndarray) -> np.ndarray:
    """A path without the three stitches to and fro, A B A B, at its start and at its end."""
    if len(path) > 4 and _same(path[0], path[2]) and _same(path[1], path[3]):
        path = path[3:]
    if len(path) > 4 and _same(path[-1], path[-3]) and _same(path[-2], path[-4]):
        path = path[:-3]
    return path


def _same(a: np.ndarray, b: np.ndarray) -> bool:
    return bool(np.abs(a - b).max() < SAME_MM)


def _to_and_fro(path: np.ndarray) -> np.ndarray:
    """Points left and come back to at once, and the points between: (2, n, 2)."""
    turns = np.abs(path[:-2] - path[2:]).max(axis=1, initial=0.0) < SAME_MM
    return np.stack([path[:-2][turns], path[1:-1][turns]])


def _feet(pivot: np.ndarray, inner: np.ndarray, shape: MultiPolygon) -> np.ndarray:
    """Where bites first cross the outline, seen from their pivots; else the place nearest to it."""
    boundary = shape.boundary
    nearest = shapely.shortest_line(boundary, shapely.points(pivot))
    feet = shapely.get_coordinates(nearest)[::2].copy()
    lines = shapely.linestrings(np.stack([pivot, inner], axis=1))
    crossings, index = shapely.get_coordinates(
        shapely.intersection(lines, boundary), return_index=True
    )
    away = np.hypot(*(crossings - pivot[index]).T)
    # Written from the furthest to the nearest, so that the nearest one stays.
    order = np.argsort(-away, kind="stable")
    feet[index[order]] = crossings[order]
    return feet
