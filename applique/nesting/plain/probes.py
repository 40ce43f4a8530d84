"""A shape as the search sees it: points to be probed on its edge and discs inside it, turned.

A shape lies free where every point of its edge does and where a disc inside it has its radius free
all round. The largest discs come first: they tell quickly where a shape can't lie, whichever way it
is turned, and that nothing lies within it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.nesting.plain.fields import Field, around

_DISCS = 6
"""Discs inside a shape at most; more are found to rule out little."""

SIMPLER_MM = 0.05
"""How far the edge that is probed may stray from the shape's: no more than fields are exact to."""

_FIRST_POINTS = 8
"""Points of the edge, far from each other, that are probed before the others."""

_POINTS = 60
"""About as many points of a shape's edge are probed, beside its corners."""

_KEPT = 1_000
"""Shapes whose probes are kept: on sheets, fabric, web and fat quarters the same ones are laid."""

_LEAST_SPACING_MM = 2.5
"""Points nearer to each other would tell the same, with gaps of some millimetres between shapes."""


@dataclass(frozen=True, eq=False)
class Turned:
    """Probes of a shape at several angles, from its centre on.

    `matrices` (angles, 2, 2) turn; `offsets_mm` is (angles, probes, 2), `boxes_mm` (angles, 4) as
    left, top, right, bottom; `needs_mm`, (probes,), are the radii of the discs, or 0. The first
    `discs` probes are discs, the others points of the edge; the `first` are to be tried first.
    """

    angles_degrees: tuple[float, ...]
    matrices: np.ndarray
    offsets_mm: np.ndarray
    boxes_mm: np.ndarray
    needs_mm: np.ndarray
    discs: int
    first: int


@dataclass(frozen=True, eq=False)
class Probed:
    """A shape with its probes and its distance field."""

    shape: MultiPolygon
    field: Field
    discs: np.ndarray
    points: np.ndarray

    @property
    def centre(self) -> np.ndarray:
        """Of the largest disc inside, (2,): by this point a place is told."""
        return self.discs[0, :2]

    @property
    def radius_mm(self) -> float:
        """Of the largest disc inside."""
        return float(self.discs[0, 2])

    @cached_property
    def area_mm2(self) -> float:
        """Of the shape."""
        return float(self.shape.area)

    def turned(self, angles_degrees: tuple[float, ...]) -> Turned:
        """The probes at some angles, clockwise as they are seen."""
        angles = np.radians(angles_degrees)
        cos, sin = np.cos(angles), np.sin(angles)
        matrices = np.array([[cos, -sin], [sin, cos]]).transpose(2, 0, 1)
        unturned = np.vstack([self.discs[:, :2], self.points]) - self.centre
        offsets = unturned @ matrices.transpose(0, 2, 1)
        edge = offsets[:, len(self.discs) :]
        return Turned(
            angles_degrees,
            matrices,
            offsets,
            np.hstack([edge.min(axis=1), edge.max(axis=1)]),
            np.concatenate([self.discs[:, 2], np.zeros(len(self.points))]).astype(np.float32),
            len(self.discs),
            len(self.discs) + min(_FIRST_POINTS, len(self.points)),
        )


@lru_cache(_KEPT)
def probed(shape: MultiPolygon, step_mm: float, pad_mm: float) -> Probed:
    """A shape with what the search needs of it."""
    border = shape.boundary.simplify(SIMPLER_MM)
    field = around(shape, border, step_mm, pad_mm)
    return Probed(shape, field, _discs(field), _edge_points(border))


def _discs(field: Field) -> np.ndarray:
    """Discs inside a shape, (n, 3) as x, y, radius: each the largest outside those before it."""
    depth = -field.values
    rows, columns = np.nonzero(depth > 0)
    if len(rows) == 0:  # Thinner than the lattice is fine.
        rows, columns = (k.reshape(1) for k in np.unravel_index(depth.argmax(), depth.shape))
    where = np.stack([columns, rows], axis=1) * field.steps_mm + field.corner_mm
    depths = depth[rows, columns]
    largest = depths.max()
    found: list[tuple[float, float, float]] = []
    while len(found) < _DISCS and len(where):
        best = int(depths.argmax())
        radius = float(depths[best])
        if found and radius < max(0.25 * largest, 1.0):
            break
        found.append((where[best, 0], where[best, 1], max(radius, 0.0)))
        outside = np.hypot(*(where - where[best]).T) > max(radius, 1e-9)
        where, depths = where[outside], depths[outside]
    return np.array(found)


def _edge_points(border: BaseGeometry) -> np.ndarray:
    """Points of a shape's edge, (n, 2), its corners among them: first some that lie far apart."""
    spacing = max(border.length / _POINTS, _LEAST_SPACING_MM)
    points = np.unique(shapely.get_coordinates(shapely.segmentize(border, spacing)), axis=0)
    middle = points.mean(axis=0)
    chosen = [int(np.hypot(*(points - middle).T).argmax())]
    distances = np.full(len(points), np.inf)
    for _ in range(min(_FIRST_POINTS, len(points)) - 1):
        distances = np.minimum(distances, np.hypot(*(points - points[chosen[-1]]).T))
        chosen.append(int(distances.argmax()))
    rest = np.setdiff1d(np.arange(len(points)), chosen)
    return points[[*chosen, *rest]]
