"""The pieces among which numbers are to stand beside small ones, and the nearest free places."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import shapely
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import polygons_of
from applique.paper.clear import boxes_meet, line_distances, lines_meet_boxes, point_distances
from applique.paper.drawing import BoxMm
from applique.paper.inside import Placed, Subject, box_array, middle_of
from applique.paper.taken import Taken

BOX_PAD_MM = (1.2, 0.8)
"""How much wider and higher than its number a box beside is."""

_ANGLES = np.radians(np.arange(0.0, 360.0, 10.0))
_NEAR_MM = 30.0
_STEP_MM = 1.5
_FAR_STEP_MM = 4.0
_LONGEST_MM = 120.0
"""Distances are tried in small steps while near, in longer ones beyond, up to where the eye loses
a line among others."""

_RINGS = 10
"""How many distances are looked at together; the nearest that will do are taken."""

_ON_A_LINE_MM = 7.0
_ON_A_PIECE_MM = 2.0
_NEAR_SMALL_MM = 25.0
"""How much longer a line may be instead: than one whose box covers an outline, or lies on another
piece, or than one that passes another small piece within `_PASSES_MM` of its middle."""

_PASSES_MM = 2.0


class Ground:
    """The pieces among which boxes are to find a place."""

    def __init__(self, large: Sequence[Subject], small: Sequence[Subject], area_mm: BoxMm) -> None:
        self._area = np.array(area_mm)
        self._index = {subject.key: k for k, subject in enumerate(small)}
        middles = [middle_of(_largest(subject.shape)) for subject in small]
        self._sites = np.array(middles).reshape(-1, 2)
        self._site_boxes = np.hstack([self._sites, self._sites])
        self._small = STRtree([subject.shape for subject in small])
        self._fabric = shapely.union_all([subject.shape for subject in large])
        self._edges = shapely.union_all([subject.shape.boundary for subject in large])
        shapely.prepare(self._fabric)
        shapely.prepare(self._edges)

    def room_about(self, subject: Subject) -> float:
        """How far the three nearest other small pieces are away, together, in mm."""
        away = np.linalg.norm(self._sites - self._site(subject), axis=1)
        return float(np.sort(away)[1:4].sum())

    def beside(
        self, subject: Subject, taken: Taken, scale: float, apart_mm: float
    ) -> Placed | None:
        """The nearest free place for a box of the asked size times `scale`; None if there is
        none."""
        site = self._site(subject)
        size = (np.array(subject.size_mm) + BOX_PAD_MM) * scale
        furthest = min(float(np.hypot(*(self._area[2:] - self._area[:2]))), _LONGEST_MM)
        radii = _radii(float(size.min()) / 2 + 2.0, furthest)
        for k in range(0, len(radii), _RINGS):
            reach = radii[k : k + _RINGS].max() + size / 2 + _PASSES_MM
            around = np.hstack([site - reach, site + reach])[None, :]
            others = self._others(subject, around)
            ring = np.repeat(radii[k : k + _RINGS], len(_ANGLES))
            angles = np.tile(_ANGLES, len(ring) // len(_ANGLES))
            centres = site + ring[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
            boxes = box_array(centres, size)
            starts = _starts(site, centres, size)
            free = self._free(site, others, taken.near(around), boxes, starts, apart_mm)
            if len(free):
                centres, boxes, starts = centres[free], boxes[free], starts[free]
                best = int(np.argmin(ring[free] + self._costs(site, others, boxes, starts)))
                return _placed(subject.key, centres[best], size, scale, starts[best], site)
        return None

    def _site(self, subject: Subject) -> np.ndarray:
        """Where a line ends on a piece."""
        return np.asarray(self._sites[self._index[subject.key]])

    def _others(self, subject: Subject, around: np.ndarray) -> np.ndarray:
        """Where lines end on the other small pieces within a box (1, 4)."""
        near = boxes_meet(self._site_boxes, around)[:, 0]
        near[self._index[subject.key]] = False
        return np.asarray(self._sites[near])

    def _free(
        self,
        site: np.ndarray,
        others: np.ndarray,
        taken: Taken,
        boxes: np.ndarray,
        starts: np.ndarray,
        apart_mm: float,
    ) -> np.ndarray:
        """The indices of the boxes that, with lines from `starts`, are in nothing's way."""
        grow = np.array([-apart_mm, -apart_mm, apart_mm, apart_mm])
        inside = (boxes[:, :2] >= self._area[:2]) & (boxes[:, 2:] <= self._area[2:])
        left = np.flatnonzero(inside.all(axis=1))
        ends = np.broadcast_to(site, starts.shape)
        tests: tuple[Callable[[np.ndarray], Any], ...] = (
            lambda k: boxes_meet(boxes[k], taken.boxes + grow).any(axis=1),
            lambda k: self._covers_small(boxes[k] + grow),
            lambda k: lines_meet_boxes(taken.starts, taken.ends, boxes[k] + grow).any(axis=0),
            lambda k: (point_distances(others, starts[k], ends[k]) <= apart_mm).any(axis=0),
            lambda k: lines_meet_boxes(starts[k], ends[k], taken.boxes + grow).any(axis=1),
            lambda k: np.any(
                line_distances(starts[k], ends[k], taken.starts, taken.ends) <= apart_mm, axis=1
            ),
        )
        for test in tests:  # Each is made only of what all before it left.
            if len(left):
                left = left[~test(left)]
        return np.asarray(left)

    def _covers_small(self, boxes: np.ndarray) -> np.ndarray:
        """Which boxes lie on small pieces."""
        covers = np.zeros(len(boxes), dtype=bool)
        covers[self._small.query(shapely.box(*boxes.T), predicate="intersects")[0]] = True
        return covers

    def _costs(
        self, site: np.ndarray, others: np.ndarray, boxes: np.ndarray, starts: np.ndarray
    ) -> np.ndarray:
        """What speaks against free places, in mm of line: (n,)."""
        drawn = shapely.box(*boxes.T)
        ends = np.broadcast_to(site, starts.shape)
        passes = (point_distances(others, starts, ends) < _PASSES_MM).any(axis=0)
        costs = _ON_A_LINE_MM * shapely.intersects(self._edges, drawn)
        costs += _ON_A_PIECE_MM * shapely.intersects(self._fabric, drawn)
        return np.asarray(costs + _NEAR_SMALL_MM * passes)


def _radii(first: float, furthest: float) -> np.ndarray:
    near = np.arange(first, first + _NEAR_MM, _STEP_MM)
    return np.concatenate([near, np.arange(first + _NEAR_MM, furthest, _FAR_STEP_MM)])


def _largest(shape: BaseGeometry) -> BaseGeometry:
    return max(polygons_of(shape), key=lambda part: part.area)


def _starts(site: np.ndarray, centres: np.ndarray, size: np.ndarray) -> np.ndarray:
    """Where the lines from a site to the centres (n, 2) of boxes of a size meet their sides."""
    way = site - centres
    share = np.min(size / 2 / np.maximum(np.abs(way), 1e-9), axis=1)
    return np.asarray(centres + way * np.minimum(share, 1.0)[:, None])


def _placed(
    key: str, centre: np.ndarray, size: np.ndarray, scale: float, start: np.ndarray, end: np.ndarray
) -> Placed:
    (x, y), (width, height) = centre.tolist(), size.tolist()
    (a, b), (c, d) = start.tolist(), end.tolist()
    return Placed(key, (x, y), (width, height), scale, (a, b), (c, d))
