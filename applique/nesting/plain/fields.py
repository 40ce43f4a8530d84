"""Distance fields on a lattice: how far a point is from a shape's edge, or from all that is in the
way on a sheet.

A signed distance changes by no more than the way walked, so that one value read rules out a whole
neighbourhood; and between lattice points it may be read by interpolation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.cutting.nested import Stock

_BEYOND = 2
"""Lattice points beyond the margin, each way: as far as places short of it may be looked at."""

_LEAST_ROOM_MM = 0.01
"""A margin that leaves nothing still leaves a lattice, on which nothing is free."""

_ZERO = np.float32(0.0)


@dataclass(frozen=True, eq=False)
class Field:
    """Distances in mm, `values` (rows, columns), at points from `corner_mm` on, (2,), that are
    `steps_mm` apart, (2,): x, y."""

    values: np.ndarray
    corner_mm: np.ndarray
    steps_mm: np.ndarray

    @property
    def step_mm(self) -> float:
        """The longer of the steps."""
        return float(self.steps_mm.max())

    def at(self, across: np.ndarray, down: np.ndarray) -> np.ndarray:
        """The distances at points told in steps from the first lattice point, interpolated; off
        the lattice, as at its border. Both are float32, of any shape."""
        rows, columns = self.values.shape
        across = np.minimum(np.maximum(across, _ZERO), np.float32(columns - 1.001))
        down = np.minimum(np.maximum(down, _ZERO), np.float32(rows - 1.001))
        column, row = across.astype(np.int32), down.astype(np.int32)
        across -= column
        down -= row
        flat = self.values.ravel()
        first = row * columns + column
        upper, lower = flat[first], flat[first + columns]
        first += 1
        upper += (flat[first] - upper) * across
        first += columns
        lower += (flat[first] - lower) * across
        lower -= upper
        lower *= down
        lower += upper
        return lower

    def reaching(self, points: np.ndarray) -> np.ndarray:
        """The distances at points (..., 2) in mm; off the lattice no less than they are, by the way
        from its border."""
        rows, columns = self.values.shape
        scaled = ((points - self.corner_mm) / self.steps_mm).astype(np.float32)
        across, down = scaled[..., 0], scaled[..., 1]
        beside = across - np.clip(across, 0, columns - 1)
        beyond = down - np.clip(down, 0, rows - 1)
        return self.at(across, down) + np.hypot(beside, beyond) * np.float32(self.step_mm)


def lattice(corner_mm: np.ndarray, steps_mm: np.ndarray, rows: int, columns: int) -> np.ndarray:
    """The points of a lattice, (rows, columns, 2)."""
    across = corner_mm[0] + steps_mm[0] * np.arange(columns)
    down = corner_mm[1] + steps_mm[1] * np.arange(rows)
    return np.stack(np.broadcast_arrays(across[None, :], down[:, None]), axis=-1)


def around(shape: MultiPolygon, border: BaseGeometry, step_mm: float, pad_mm: float) -> Field:
    """Distances outside a shape, positive, and inside, negative, to `pad_mm` beyond its bounding
    box; `border` is its boundary, which may be a little simpler."""
    bounds = np.reshape(shape.bounds, (2, 2))
    columns, rows = (np.ceil((np.ptp(bounds, axis=0) + 2 * pad_mm) / step_mm) + 2).astype(int)
    corner, steps = bounds[0] - pad_mm, np.full(2, step_mm)
    return Field(_signed(shape, border, lattice(corner, steps, rows, columns)), corner, steps)


def within(stock: Stock, margin_mm: float, step_mm: float) -> Field:
    """How far points of a sheet lie inside its margin, positive, or beyond it, negative.

    The lattice goes a little beyond the margin, and corners of the sheet's box inside the margin
    are points of it: reading between points cuts corners off, and there shapes are to lie flush.
    """
    room = np.array(stock.size_mm) - 2 * margin_mm
    cells = np.maximum(np.ceil(room / step_mm), 1).astype(int)
    steps = np.maximum(room, _LEAST_ROOM_MM) / cells
    corner = margin_mm - _BEYOND * steps
    columns, rows = cells + 1 + 2 * _BEYOND
    points = lattice(corner, steps, rows, columns)
    if stock.is_rectangle:
        inside = np.minimum(points, np.array(stock.size_mm) - points).min(axis=2)
    else:
        inside = -_signed(stock.shape, stock.shape.boundary, points)
    return Field((inside - margin_mm).astype(np.float32), corner, steps)


def _signed(shape: BaseGeometry, border: BaseGeometry, points: np.ndarray) -> np.ndarray:
    """Distances of the points of a lattice from a border, negative inside the shape."""
    from scipy.spatial import cKDTree

    spacing = float(np.abs(points[1, 1] - points[0, 0]).min()) / 2
    edge = shapely.get_coordinates(shapely.segmentize(border, spacing))
    flat = points.reshape(-1, 2)
    distances, _ = cKDTree(edge).query(flat)
    shapely.prepare(shape)
    signed = np.where(shapely.contains_xy(shape, flat), -distances, distances)
    return signed.reshape(points.shape[:2]).astype(np.float32)
