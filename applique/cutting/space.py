"""What of a sheet is left over, and places in it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.cutting.nested import Stock
from applique.geometry.lettering import lettered, lettering_width

WORDS_CLEAR_MM = 2.5
"""Words keep so far from pieces, borders and each other."""

HEIGHTS_MM = (8.0, 6.0, 5.0, 4.0, 3.2)
"""Letters are as high as there is room for; smaller ones a pen of 0.5 mm fills up."""

_ABOVE, _BELOW = 0.07, 0.14
"""Shares of their height by which strokes and commas reach out of a line of capitals."""

_STEP_MM = 2.0
"""Places are tried so far apart."""

_LOOKED_AT = 256
"""So many of the places that seem free are looked at exactly."""


def free_space(
    stock: Stock, margin_mm: float, shapes: Sequence[MultiPolygon], clear_mm: float
) -> BaseGeometry:
    """What of a sheet within its margin lies further than `clear_mm` from all shapes."""
    within = stock.shape.buffer(-margin_mm, join_style="mitre")
    taken = shapely.union_all(shapely.buffer(np.array(shapes, dtype=object), clear_mm))
    return within.difference(taken)


def box_within(space: BaseGeometry, width_mm: float, height_mm: float) -> np.ndarray | None:
    """The upper left corner (2,) of a box that lies in a space, as far up and then as far to the
    left as the 2 mm grid has one; None if there is no room."""
    return _Places(space).box_within(width_mm, height_mm)


class _Places:
    """A space and which places of the 2 mm grid lie in it, looked up once for boxes of any size."""

    def __init__(self, space: BaseGeometry) -> None:
        self.space = space

    def box_within(self, width_mm: float, height_mm: float) -> np.ndarray | None:
        """As the function of that name."""
        if self.space.area < width_mm * height_mm:
            return None
        xs, ys, inside = self._grid
        across, down = int(np.ceil(width_mm / _STEP_MM)), int(np.ceil(height_mm / _STEP_MM))
        if across >= len(xs) or down >= len(ys):
            return None
        rows, columns = np.nonzero(_all_inside(inside, down + 1, across + 1))
        corners = np.stack([xs[columns], ys[rows]], axis=1)[:_LOOKED_AT]
        size = np.array([width_mm, height_mm])
        boxes = shapely.box(*np.hstack([corners, corners + size]).T)
        fits = np.flatnonzero(shapely.contains(self.space, boxes))
        return corners[fits[0]] if len(fits) else None

    @cached_property
    def _grid(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """The columns, the rows, and which of their places (rows, columns) lie in the space."""
        left, top, right, bottom = self.space.bounds
        xs, ys = np.arange(left, right, _STEP_MM), np.arange(top, bottom, _STEP_MM)
        shapely.prepare(self.space)
        return xs, ys, shapely.intersects_xy(self.space, *np.meshgrid(xs, ys))


def _all_inside(inside: np.ndarray, rows: int, columns: int) -> np.ndarray:
    """At which places a window of so many rows and columns below and to the right of it holds
    nothing but True; by sums over all that lies above and to the left."""
    sums = np.pad(inside.cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0)))
    held = sums[rows:, columns:] - sums[:-rows, columns:] - sums[rows:, :-columns]
    return np.asarray(held + sums[:-rows, :-columns] == rows * columns)


def words_within(
    space: BaseGeometry, texts: Iterable[str]
) -> tuple[tuple[np.ndarray, ...], BaseGeometry]:
    """Lines of text as strokes, (n, 2) arrays of mm, each where a space has room for it and as
    large as fits; one that finds no room is left out. Also what of the space is left."""
    strokes: list[np.ndarray] = []
    places = _Places(space)
    for text in texts:
        for height in HEIGHTS_MM:
            size = np.array([lettering_width(text, height), (1.0 + _ABOVE + _BELOW) * height])
            corner = places.box_within(*size.tolist())
            if corner is not None:
                top_left = corner + np.array([0.0, _ABOVE * height])
                strokes.extend(line + top_left for line in lettered(text, height))
                box = shapely.box(*corner, *(corner + size))
                places = _Places(places.space.difference(box.buffer(WORDS_CLEAR_MM)))
                break
    return tuple(strokes), places.space
