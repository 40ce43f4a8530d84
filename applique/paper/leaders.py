"""Where numbers stand in a picture of pieces, and the lines that lead from them.

A number stands inside what shows of its piece where it takes up little of it. Any other stands in a
box beside, on the nearest free place, and a line leads from it to a dot on its piece. Boxes overlap
neither each other, nor the pieces that are too small for a number, nor lines; lines don't cross.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import polygons_of
from applique.paper.clear import boxes_meet, line_distances, lines_meet_boxes, point_distances
from applique.paper.drawing import BoxMm
from applique.paper.inside import Inside, Placed, Subject, box_array, middle_of, place_inside

_IN_A_PICTURE = Inside()

BOX_PAD_MM = (1.2, 0.8)
"""How much wider and higher than its number a box beside is."""

DOT_MM = 0.5
"""Radius of the dot at the end of a line."""

_TRIES = ((1.0, 0.8), (0.85, 0.8), (0.7, 0.6), (0.55, 0.4), (0.4, 0.2), (0.25, 0.05))
"""A box that finds no place is made smaller, and less is kept free round boxes, lines and small
pieces: shares of the asked size, and mm."""

_ROUNDS = 3
"""Boxes that found no place come first in another round, so many times at most."""

_ANGLES = np.radians(np.arange(0.0, 360.0, 10.0))
_NEAR_MM = 30.0
_STEP_MM = 1.5
_FAR_STEP_MM = 4.0
"""Distances are tried in small steps while near, in longer ones beyond."""

_RINGS = 10
"""How many distances are looked at together; the nearest that will do are taken."""

_ON_A_LINE_MM = 7.0
_ON_A_PIECE_MM = 2.0
_NEAR_SMALL_MM = 25.0
"""How much longer a line may be instead: than one whose box covers an outline, or lies on another
piece, or than one that passes another small piece within `_PASSES_MM` of its middle."""

_PASSES_MM = 2.0


@dataclass(frozen=True)
class Places:
    """Where all numbers stand, in the order of the subjects; `missing` are keys without room."""

    placed: tuple[Placed, ...]
    missing: tuple[str, ...]


def place_numbers(
    subjects: Sequence[Subject], area_mm: BoxMm, inside: Inside = _IN_A_PICTURE
) -> Places:
    """Find every number a place within an area. `inside` says which may stand in their pieces."""
    area = shapely.box(*area_mm)
    within: dict[str, Placed] = {}
    for subject in subjects:
        taken = [placed.box for placed in within.values()]
        found = place_inside(subject, area, taken, inside)
        if found is not None:
            within[subject.key] = found
    large = [subject for subject in subjects if subject.key in within]
    small = [s for s in subjects if s.key not in within and polygons_of(s.shape)]
    ground = _Ground(large, small, area_mm)
    placed = within | _placed_beside(ground, small, list(within.values()))
    return Places(
        tuple(placed[subject.key] for subject in subjects if subject.key in placed),
        tuple(subject.key for subject in subjects if subject.key not in placed),
    )


def _placed_beside(
    ground: _Ground, small: Sequence[Subject], within: Sequence[Placed]
) -> dict[str, Placed]:
    """Boxes beside small pieces. Those with the most neighbours come first; where one finds no
    place, everything is begun again with it."""
    order = sorted(small, key=ground.room_about)
    best: dict[str, Placed] = {}
    for _ in range(_ROUNDS):
        placed: dict[str, Placed] = {}
        for subject in order:
            taken = _Taken([*within, *placed.values()])
            places = (ground.beside(subject, taken, *trial) for trial in _TRIES)
            found = next((place for place in places if place is not None), None)
            if found is not None:
                placed[subject.key] = found
        best = max(best, placed, key=len)
        order.sort(key=lambda subject: subject.key in placed)
        if len(best) == len(small):
            break
    return best


class _Taken:
    """Boxes and lines that have their places."""

    def __init__(self, placed: Sequence[Placed]) -> None:
        self.boxes = np.array([place.box.bounds for place in placed]).reshape(-1, 4)
        lines = [(p.start_mm, p.end_mm) for p in placed if p.start_mm and p.end_mm]
        self.starts, self.ends = np.array(lines).reshape(-1, 2, 2).transpose(1, 0, 2)


class _Ground:
    """The pieces among which boxes are to find a place."""

    def __init__(self, large: Sequence[Subject], small: Sequence[Subject], area_mm: BoxMm) -> None:
        self._area = np.array(area_mm)
        self._keys = np.array([subject.key for subject in small])
        middles = [middle_of(_largest(subject.shape)) for subject in small]
        self._sites = np.array(middles).reshape(-1, 2)
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
        self, subject: Subject, taken: _Taken, scale: float, apart_mm: float
    ) -> Placed | None:
        """The nearest free place for a box of the asked size times `scale`; None if there is
        none."""
        site = self._site(subject)
        size = (np.array(subject.size_mm) + BOX_PAD_MM) * scale
        furthest = float(np.hypot(*(self._area[2:] - self._area[:2])))
        radii = _radii(float(size.min()) / 2 + 2.0, furthest)
        for k in range(0, len(radii), _RINGS):
            ring = np.repeat(radii[k : k + _RINGS], len(_ANGLES))
            angles = np.tile(_ANGLES, len(ring) // len(_ANGLES))
            centres = site + ring[:, None] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
            boxes = box_array(centres, size)
            free = self._free(subject, taken, boxes, _starts(site, centres, size), apart_mm)
            if len(free):
                centres, boxes = centres[free], boxes[free]
                starts = _starts(site, centres, size)
                best = int(np.argmin(ring[free] + self._costs(subject, boxes, starts)))
                return _placed(subject.key, centres[best], size, scale, starts[best], site)
        return None

    def _site(self, subject: Subject) -> np.ndarray:
        """Where a line ends on a piece."""
        return np.asarray(self._sites[self._keys == subject.key][0])

    def _free(
        self,
        subject: Subject,
        taken: _Taken,
        boxes: np.ndarray,
        starts: np.ndarray,
        apart_mm: float,
    ) -> np.ndarray:
        """The indices of the boxes that, with lines from `starts`, are in nothing's way."""
        grow = np.array([-apart_mm, -apart_mm, apart_mm, apart_mm])
        inside = (boxes[:, :2] >= self._area[:2]) & (boxes[:, 2:] <= self._area[2:])
        # Each question is asked only of what all before it left.
        left = np.flatnonzero(inside.all(axis=1))
        left = left[~boxes_meet(boxes[left], taken.boxes + grow).any(axis=1)]
        covers = self._small.query(shapely.box(*(boxes[left] + grow).T), predicate="intersects")
        left = np.delete(left, covers[0])
        left = left[~lines_meet_boxes(taken.starts, taken.ends, boxes[left] + grow).any(axis=0)]
        site = self._site(subject)[None, :]
        left = left[~lines_meet_boxes(starts[left], site, taken.boxes + grow).any(axis=1)]
        ends = np.broadcast_to(site, (len(left), 2))
        away = line_distances(starts[left], ends, taken.starts, taken.ends)
        left = left[(away > apart_mm).all(axis=1)]
        others = self._sites[self._keys != subject.key]
        ends = np.broadcast_to(site, (len(left), 2))
        clear = point_distances(others, starts[left], ends) > apart_mm
        return np.asarray(left[clear.all(axis=0)])

    def _costs(self, subject: Subject, boxes: np.ndarray, starts: np.ndarray) -> np.ndarray:
        """What speaks against free places, in mm of line: (n,)."""
        drawn = shapely.box(*boxes.T)
        ends = np.broadcast_to(self._site(subject), starts.shape)
        others = self._sites[self._keys != subject.key]
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
