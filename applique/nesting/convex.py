"""Shapes as convex parts, and the directions that hold two convex parts apart."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon

_FLAT = 1e-9
"""A shape that falls short of its hull by no more than this share of it is convex."""

_PAIRS_AT_ONCE = 400

_TOUCHING = 1e-3
"""Nearest points must lie so far apart, in mm, that their direction is not one of rounding."""


@dataclass(frozen=True, eq=False)
class Body:
    """A simple polygon's convex hull and the convex parts it consists of: corners (n, 2)."""

    hull: np.ndarray
    parts: tuple[np.ndarray, ...]

    def moved(self, matrix: np.ndarray) -> Body:
        """Turned and moved by a (2, 3) matrix."""

        def place(points: np.ndarray) -> np.ndarray:
            return points @ matrix[:, :2].T + matrix[:, 2]

        return Body(place(self.hull), tuple(place(part) for part in self.parts))


def body_of(shape: Polygon) -> Body:
    """A simple polygon as convex parts: its triangles, merged as long as they stay convex (after
    Hertel and Mehlhorn, "Fast triangulation of simple polygons", 1983)."""
    if _is_convex(shape):
        return Body(_corners(shape.convex_hull), (_corners(shape.convex_hull),))
    triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(shape))
    parts: list[Polygon | None] = list(triangles)
    home = list(range(len(parts)))
    for first, second in _sharing_a_side(triangles):
        one, other = _home(home, first), _home(home, second)
        if one != other:
            both = shapely.union(parts[one], parts[other])
            if both.geom_type == "Polygon" and _is_convex(both):
                parts[one], parts[other] = both, None
                home[other] = one
    merged = [_corners(part.convex_hull) for part in parts if part is not None]
    return Body(_corners(shape.convex_hull), tuple(merged))


def _home(home: list[int], index: int) -> int:
    """The part that a triangle belongs to by now."""
    while home[index] != index:
        index = home[index]
    return index


def _sharing_a_side(triangles: np.ndarray) -> list[tuple[int, int]]:
    """Pairs of triangles with a common side, the longest side first: merging across long sides
    makes round parts."""
    owners: dict[frozenset[tuple[float, float]], list[int]] = {}
    for index, triangle in enumerate(triangles):
        corners = [tuple(point) for point in shapely.get_coordinates(triangle)]
        for start, stop in itertools.pairwise(corners):
            owners.setdefault(frozenset((start, stop)), []).append(index)
    shared = [(side, pair) for side, pair in owners.items() if len(pair) == 2]
    shared.sort(key=lambda each: (-math.dist(*each[0]), each[1]))
    return [(pair[0], pair[1]) for _, pair in shared]


def padded(parts: Sequence[np.ndarray]) -> np.ndarray:
    """Convex parts of different counts of corners as one (m, k, 2) array; the last corner of each
    is repeated."""
    most = max(len(part) for part in parts)
    return np.stack(
        [np.vstack([part, np.repeat(part[-1:], most - len(part), 0)]) for part in parts]
    )


def separations(first: np.ndarray, second: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """How far pairs of convex parts, (m, k, 2) arrays, can be told to stand apart along one
    direction: the greatest gap (m,), negative where they overlap, and the unit normals (m, 2) from
    the first to the second.

    Parts that stand apart do so along the line between their nearest points; of those that touch or
    overlap one side's normal is the best direction (the separating axis theorem).
    """
    nearest = shapely.shortest_line(shapely.polygons(first), shapely.polygons(second))
    ends = shapely.get_coordinates(nearest).reshape(-1, 2, 2)
    normal = ends[:, 1] - ends[:, 0]
    gap = np.hypot(normal[:, 0], normal[:, 1])
    touching = np.flatnonzero(gap < _TOUCHING)
    normal /= np.maximum(gap, _TOUCHING)[:, None]
    for start in range(0, len(touching), _PAIRS_AT_ONCE):
        here = touching[start : start + _PAIRS_AT_ONCE]
        gap[here], normal[here] = _along_sides(first[here], second[here])
    return gap, normal


def _along_sides(first: np.ndarray, second: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The greatest gap along any side's normal, and that normal."""
    outward = np.concatenate([_normals(first), -_normals(second)], axis=1)
    ends = (outward @ first.transpose(0, 2, 1)).max(axis=2)
    begins = (outward @ second.transpose(0, 2, 1)).min(axis=2)
    gap = np.where((outward == 0).all(axis=2), -np.inf, begins - ends)
    best = gap.argmax(axis=1)
    row = np.arange(len(first))
    return gap[row, best], outward[row, best]


def _normals(parts: np.ndarray) -> np.ndarray:
    """Unit outward normals (m, k, 2) of the sides of parts with anticlockwise corners; (0, 0) for
    the sides of no length that padding makes."""
    sides = np.roll(parts, -1, axis=1) - parts
    normals = np.stack([sides[..., 1], -sides[..., 0]], axis=2)
    length = np.hypot(normals[..., 0], normals[..., 1])[..., None]
    return np.divide(normals, length, out=np.zeros_like(normals), where=length > 1e-12)


def _is_convex(shape: Polygon) -> bool:
    return bool(shape.convex_hull.area - shape.area <= _FLAT * shape.area)


def _corners(shape: Polygon) -> np.ndarray:
    """Corners (n, 2), anticlockwise in (x, y), the first not repeated."""
    return shapely.get_coordinates(shapely.orient_polygons(shape).exterior)[:-1]
