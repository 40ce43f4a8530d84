"""Numbers that stand inside what shows of their pieces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import polygons_of
from applique.paper.clear import boxes_meet
from applique.paper.drawing import PointMm

PAD_MM = 0.5
"""Kept free round a number within its piece."""

_GRID = 24
"""Places tried along each side of a piece's bounds."""


@dataclass(frozen=True)
class Inside:
    """When a number stands in its piece: where it takes up no more than `share` of what shows of
    it, at the first of `scales` at which it fits. With a larger share it would hide the piece."""

    share: float = 0.4
    scales: tuple[float, ...] = (1.0,)


@dataclass(frozen=True, eq=False)
class Subject:
    """What gets a number: `shape` is what shows of it, in mm, `size_mm` width and height of the
    number itself."""

    key: str
    shape: BaseGeometry
    size_mm: tuple[float, float]


@dataclass(frozen=True)
class Placed:
    """A number's place: the centre and the size of its box, how much smaller than asked for it is,
    and the line from the box (`start_mm`) to the piece (`end_mm`), both None where the number
    stands in its piece."""

    key: str
    centre_mm: PointMm
    size_mm: tuple[float, float]
    scale: float = 1.0
    start_mm: PointMm | None = None
    end_mm: PointMm | None = None

    @property
    def box(self) -> Polygon:
        """The number's box."""
        (x, y), (width, height) = self.centre_mm, self.size_mm
        return shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)


def place_inside(
    subject: Subject, area: BaseGeometry, taken: np.ndarray, inside: Inside
) -> Placed | None:
    """The roomiest place within the piece's largest part that keeps off the boxes already `taken`
    (left, top, right and bottom, (n, 4)); None if there is none."""
    parts = polygons_of(subject.shape.intersection(area))
    if not parts:
        return None
    part = max(parts, key=lambda part: part.area)
    sizes = [(scale, np.array(subject.size_mm) * scale) for scale in inside.scales]
    sizes = [(scale, size) for scale, size in sizes if size.prod() <= inside.share * part.area]
    if not sizes:
        return None
    shapely.prepare(part)
    centres = _grid_over(part)
    near = taken[boxes_meet(taken, np.array([part.bounds]))[:, 0]]
    for scale, size in sizes:
        sides = box_array(centres, size + 2 * PAD_MM)
        boxes = shapely.box(*sides.T)
        fits = shapely.contains(part, boxes) & ~boxes_meet(sides, near).any(axis=1)
        if fits.any():
            room = shapely.distance(boxes[fits], part.boundary)
            (x, y), (width, height) = centres[fits][int(np.argmax(room))].tolist(), size.tolist()
            return Placed(subject.key, (x, y), (width, height), scale)
    return None


def _grid_over(part: Polygon) -> np.ndarray:
    """Places (n, 2) all over a shape, its widest first."""
    left, top, right, bottom = part.bounds
    shares = (np.arange(_GRID) + 0.5) / _GRID
    xs, ys = np.meshgrid(left + shares * (right - left), top + shares * (bottom - top))
    return np.vstack([[middle_of(part)], np.stack([xs.ravel(), ys.ravel()], axis=1)])


def middle_of(part: BaseGeometry) -> PointMm:
    """The middle of a shape's widest place."""
    circle = shapely.maximum_inscribed_circle(part, 0.05)
    x, y = circle.coords[0]
    return float(x), float(y)


def box_array(centres: np.ndarray, size: np.ndarray) -> np.ndarray:
    """Boxes of a size (2,) about places (n, 2): left, top, right and bottom, (n, 4)."""
    return np.hstack([centres - size / 2, centres + size / 2])
