"""What a cross lies on: background or fabric, in sight or not, on cloth at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.hoops.lining.places import ARM_MM, arms_of
from applique.hoops.problem import BoxMm, SizeMm
from applique.model import EMPTY

BEYOND_MM = 12.0
"""So much of the background outside the seam line, or outside all stitches where nobody has said
how large the block is, can be counted on: it is cut 1 to 2 in larger (common practice)."""


@dataclass(frozen=True, eq=False)
class Ground:
    """What decides where a cross may lie in one hooping.

    `box` are the hooping's own stitches, `window` the size its field has room for, in mm as it lies
    on the block, and `within` what it may take in, None for anything. `laid` is all fabric laid in
    it, `laid_after` what is laid between it and the next one, to be sewn on the sewing machine.
    """

    box: BoxMm
    window: SizeMm
    laid: BaseGeometry
    laid_after: BaseGeometry = EMPTY
    within: BoxMm | None = None


@dataclass(frozen=True, eq=False)
class Surroundings:
    """`seam` is the finished block, None where its size is not known; `cloth` the part of the
    background that crosses may use."""

    seam: BaseGeometry | None
    cloth: BoxMm

    @property
    def seam_box(self) -> BoxMm | None:
        """The seam lines: left, top, right and bottom."""
        return None if self.seam is None else self.seam.bounds


def surroundings(seam: BaseGeometry | None, grounds: Sequence[Ground]) -> Surroundings:
    """The seam lines, and the cloth that reaches a little beyond them; beyond all stitches, where
    the seam lines are not known."""
    boxes = np.array([ground.box for ground in grounds])
    low, high = boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)
    if seam is not None:
        low, high = np.array(seam.bounds[:2]), np.array(seam.bounds[2:])
    return Surroundings(seam, (*(low - BEYOND_MM).tolist(), *(high + BEYOND_MM).tolist()))


def on_cloth(
    low: np.ndarray, high: np.ndarray, around: Surroundings, grounds: Sequence[Ground]
) -> tuple[np.ndarray, np.ndarray]:
    """The part of a rectangle (its least and greatest x and y) in which a cross lies on cloth, and
    within what the fields of some hoopings may take in."""
    boxes = [around.cloth, *(ground.within for ground in grounds if ground.within is not None)]
    limits = np.array(boxes)
    return (
        np.maximum(low, limits[:, :2].max(axis=0) + ARM_MM),
        np.minimum(high, limits[:, 2:].min(axis=0) - ARM_MM),
    )


def hidden(
    places: np.ndarray, later: int, grounds: Sequence[Ground], around: Surroundings
) -> np.ndarray:
    """Which crosses will not be seen in the end, outside the seam line or under fabric that is laid
    later: an (n,) array of bool."""
    arms = arms_of(places)
    to_come = [shape for ground in grounds[later:] for shape in (ground.laid, ground.laid_after)]
    unseen = shapely.covered_by(arms, shapely.union_all(to_come))
    if around.seam is not None:
        unseen |= shapely.disjoint(arms, around.seam)
    return np.asarray(unseen)


def on_fabric(places: np.ndarray, earlier: int, grounds: Sequence[Ground]) -> np.ndarray:
    """Which crosses lie on fabric when they are made, (n,) of bool."""
    lying = shapely.union_all([ground.laid for ground in grounds[: earlier + 1]])
    return np.asarray(shapely.intersects(arms_of(places), lying))


def in_sight(places: np.ndarray, earlier: int, later: int, grounds: Sequence[Ground]) -> np.ndarray:
    """Which crosses nothing lies on by the time they are looked for, (n,) of bool. `earlier` is -1
    for crosses that are there from the start."""
    between = [ground.laid for ground in grounds[earlier + 1 : later]]
    between += [ground.laid_after for ground in grounds[max(earlier, 0) : later]]
    return np.asarray(shapely.disjoint(arms_of(places), shapely.union_all(between)))


def overhang_mm(
    low: np.ndarray, high: np.ndarray, window: SizeMm, around: Surroundings
) -> np.ndarray:
    """How far a field over the middles of some boxes, given by their corners (n, 2), reaches beyond
    the cloth, (n,) in mm: so much more background would be needed."""
    middle, half = (low + high) / 2, np.array(window) / 2
    cloth = np.array(around.cloth)
    beyond = np.hstack([cloth[:2] - (middle - half), middle + half - cloth[2:]])
    return np.maximum(beyond.max(axis=1), 0.0)
