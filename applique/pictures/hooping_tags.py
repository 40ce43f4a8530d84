"""Where the numbers of hoopings and the names of crosses stand in the overview of a plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.lettering import lettering_width
from applique.hoops.plan import Cross, Hooping
from applique.hoops.problem import BoxMm

_PLACES_A_SIDE = 9
"""Places tried along each side of a field; the first and the last are its corners."""

_NO_CORNER = 0.4
_ON_ANOTHER_FIELD = 1.0
_ON_A_CROSS = 3.0
_ON_ANOTHER_TAG = 100.0
"""What speaks against a place: that it is no corner, and for the share of it that lies so."""


@dataclass(frozen=True)
class Tag:
    """A hooping's number in its box, in mm on the page."""

    number: int
    box: BoxMm

    @property
    def middle(self) -> tuple[float, float]:
        """The middle of its box."""
        left, top, right, bottom = self.box
        return (left + right) / 2, (top + bottom) / 2


@dataclass(frozen=True)
class CrossName:
    """A cross's name and the middle of its letters, in mm on the page."""

    name: str
    middle: tuple[float, float]


def place_tags(
    hoopings: Sequence[Hooping], crosses: Sequence[Cross], side_mm: float, arm_mm: float
) -> tuple[Tag, ...]:
    """A square of `side_mm` within every field, at a corner if it can be, where least of it lies on
    other fields, on crosses (whose arms are `arm_mm` long) or on squares that have their places.
    Fields with the least room to themselves come first."""
    fields = [shapely.box(*hooping.field_box_mm) for hooping in hoopings]
    own = [_alone(fields, k) for k in range(len(fields))]
    marks = [shapely.box(*_square(cross.place, arm_mm)) for cross in crosses]
    order = sorted(range(len(fields)), key=lambda k: float(own[k].area))
    placed: dict[int, BoxMm] = {}
    for k in order:
        boxes, at_corner = _places(hoopings[k].field_box_mm, side_mm)
        shapes = shapely.box(*boxes.T)
        shared = 1.0 - shapely.area(shapely.intersection(shapes, own[k])) / side_mm**2
        cost = _ON_ANOTHER_FIELD * shared + _NO_CORNER * ~at_corner
        cost += _ON_A_CROSS * _share_on(shapes, marks)
        cost += _ON_ANOTHER_TAG * _share_on(shapes, [shapely.box(*box) for box in placed.values()])
        left, top, right, bottom = boxes[int(np.argmin(cost))].tolist()
        placed[k] = (left, top, right, bottom)
    return tuple(Tag(hooping.number, placed[k]) for k, hooping in enumerate(hoopings))


def place_names(
    crosses: Sequence[Cross], tags: Sequence[Tag], height_mm: float, arm_mm: float
) -> tuple[CrossName, ...]:
    """The name of every cross in the corner of it where least is in its way."""
    taken = [shapely.box(*tag.box) for tag in tags]
    taken += [shapely.box(*_square(cross.place, arm_mm)) for cross in crosses]
    names = []
    for cross in crosses:
        width = lettering_width(cross.name, height_mm)
        x, y = cross.place
        right, down = arm_mm * 0.5 + width / 2, arm_mm * 0.5 + height_mm / 2
        ways = [(1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)]
        middles = [(x + a * right, y + b * down) for a, b in ways]
        boxes = [
            shapely.box(a - width / 2, b - height_mm / 2, a + width / 2, b + height_mm / 2)
            for a, b in middles
        ]
        # Its own cross is in the way in all four corners alike.
        cost = _share_on(np.array(boxes, dtype=object), taken)
        best = int(np.argmin(np.round(cost, 9)))
        taken.append(boxes[best])
        names.append(CrossName(cross.name, middles[best]))
    return tuple(names)


def _alone(fields: Sequence[BaseGeometry], index: int) -> BaseGeometry:
    """What of a field no other one covers."""
    others = [field for k, field in enumerate(fields) if k != index]
    return fields[index].difference(shapely.union_all(others))


def _places(field: BoxMm, side_mm: float) -> tuple[np.ndarray, np.ndarray]:
    """Squares along the inner side of a field's border, (n, 4), and which stand at its corners.
    From the upper left corner on, corners first."""
    left, top, right, bottom = field
    across = np.linspace(left, max(left, right - side_mm), _PLACES_A_SIDE)
    down = np.linspace(top, max(top, bottom - side_mm), _PLACES_A_SIDE)
    ends = (0, _PLACES_A_SIDE - 1)
    rim = [
        (x, y) for k, y in enumerate(down) for j, x in enumerate(across) if k in ends or j in ends
    ]
    corners = np.array(rim)
    boxes = np.hstack([corners, corners + side_mm])
    at_corner = np.isin(corners[:, 0], across[list(ends)]) & np.isin(
        corners[:, 1], down[list(ends)]
    )
    return boxes, at_corner


def _share_on(shapes: np.ndarray, others: Sequence[BaseGeometry]) -> np.ndarray:
    """Which share of shapes (n,) lies on any of the others: (n,)."""
    if not others:
        return np.zeros(len(shapes))
    covered = shapely.intersection(shapes, shapely.union_all(list(others)))
    return np.asarray(shapely.area(covered) / shapely.area(shapes))


def _square(middle: tuple[float, float], half: float) -> BoxMm:
    x, y = middle
    return x - half, y - half, x + half, y + half
