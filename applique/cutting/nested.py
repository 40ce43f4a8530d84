"""What is to be nested, and how it was: shapes, the sheets they are cut from, and their places.

Coordinates are millimetres, x to the right and y down. A sheet's grain and the top of its print
run up the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon

Turn = Literal["any", "half", "none"]
"""How a fabric's pieces may be turned: freely, by half a turn (a print that looks the same upside
down), or not at all (a print with a top)."""

ANGLES_DEGREES: dict[str, tuple[float, ...] | None] = {
    "any": None,
    "half": (0.0, 180.0),
    "none": (0.0,),
}
"""The angles each rule allows; None for all."""


@dataclass(frozen=True, eq=False)
class Stock:
    """Something to cut from. `shape` is all of it, margin included, its bounding box at (0, 0);
    a scrap may have holes where pieces were cut before. `count` is how many there are, None for as
    many as needed."""

    name: str
    shape: Polygon
    count: int | None = None

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height."""
        left, top, right, bottom = self.shape.bounds
        return right - left, bottom - top

    @property
    def is_rectangle(self) -> bool:
        """Whether it is a whole sheet, not a scrap of some shape."""
        return bool(self.shape.equals(self.shape.envelope))


def rectangle(name: str, width_mm: float, height_mm: float, count: int | None = None) -> Stock:
    """A sheet of a size."""
    return Stock(name, shapely.box(0.0, 0.0, width_mm, height_mm), count)


@dataclass(frozen=True, eq=False)
class NestingTask:
    """Shapes to be laid on as few sheets as possible.

    `names` tell the shapes apart; `shapes` lie as they do unturned. Between shapes `gap_mm` is kept
    free, to a sheet's border and the holes of a scrap `margin_mm`.
    """

    names: tuple[str, ...]
    shapes: tuple[MultiPolygon, ...]
    turn: Turn
    stocks: tuple[Stock, ...]
    gap_mm: float
    margin_mm: float


@dataclass(frozen=True)
class Placement:
    """Where a shape lies: turned about (0, 0) by `angle_degrees`, clockwise as it is seen, then
    moved by x and y."""

    index: int
    angle_degrees: float
    x_mm: float
    y_mm: float

    def matrix(self) -> np.ndarray:
        """The (2, 3) affine matrix."""
        quarter, rest = divmod(self.angle_degrees, 90.0)
        if rest == 0.0:  # Right angles without rounding.
            cos, sin = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
        else:
            angle = np.radians(self.angle_degrees)
            cos, sin = float(np.cos(angle)), float(np.sin(angle))
        return np.array([[cos, -sin, self.x_mm], [sin, cos, self.y_mm]])


@dataclass(frozen=True, eq=False)
class NestedSheet:
    """One sheet and what lies on it."""

    stock: Stock
    placements: tuple[Placement, ...]


@dataclass(frozen=True, eq=False)
class Nesting:
    """All shapes of a task on sheets. `bound` is how many sheets are certainly needed; `packer`
    names what laid them."""

    sheets: tuple[NestedSheet, ...]
    bound: int
    packer: str


def turned_over(shape: Polygon) -> Polygon:
    """A scrap with its other side up, its bounding box at (0, 0) again."""
    _, top, right, _ = shape.bounds
    return shapely.transform(shape, lambda points: points * [-1.0, 1.0] + [right, -top])


def placed(shape: MultiPolygon, placement: Placement) -> MultiPolygon:
    """A shape in its place."""
    matrix = placement.matrix()
    return shapely.transform(shape, lambda points: points @ matrix[:, :2].T + matrix[:, 2])
