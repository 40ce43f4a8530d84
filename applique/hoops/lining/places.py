"""Places for crosses: where they may lie so that a field takes them with what is sewn in it."""

from __future__ import annotations

import numpy as np
import shapely

from applique.hoops.problem import BoxMm, SizeMm

ARM_MM = 3.0
"""From the middle of a cross to the end of an arm."""

BESIDE_SEAM_MM = 1.0
"""A cross outside the seam line keeps so far from it."""

_MOST_PLACES = 16
"""So many places across and down are tried in the rectangle that two fields share."""


def cross_room(box: BoxMm, window: SizeMm) -> np.ndarray:
    """Where the middle of one cross may lie so that it fits the window with the box: left, top,
    right and bottom."""
    left, top, right, bottom = box
    width, height = window
    return np.array(
        [
            right - width + ARM_MM,
            bottom - height + ARM_MM,
            left + width - ARM_MM,
            top + height - ARM_MM,
        ]
    )


def grid(low: np.ndarray, high: np.ndarray, seam: BoxMm | None) -> np.ndarray:
    """Places spread over a rectangle, on whole steps of a frame, its corners and those just outside
    the seam lines among them, (n, 2); none where it is smaller than a step."""
    steps = np.ceil(np.round(low * 10, 6)), np.floor(np.round(high * 10, 6))
    if (steps[1] < steps[0]).any():
        return np.zeros((0, 2))
    across, down = np.meshgrid(
        *(_side(steps[0][k], steps[1][k], seam, k) for k in (0, 1)), indexing="ij"
    )
    return np.stack([across.ravel(), down.ravel()], axis=1) / 10


def _side(first: float, last: float, seam: BoxMm | None, axis: int) -> np.ndarray:
    """Numbers of steps along one direction."""
    count = min(_MOST_PLACES, 2 + int((last - first) / (10 * ARM_MM)))
    spread = np.round(np.linspace(first, last, count))
    if seam is not None:
        beside = (ARM_MM + BESIDE_SEAM_MM) * 10
        lines = np.array(
            [np.floor(seam[axis] * 10 - beside), np.ceil(seam[axis + 2] * 10 + beside)]
        )
        spread = np.concatenate([spread, lines[(lines >= first) & (lines <= last)]])
    return np.unique(spread)


def arms_of(places: np.ndarray) -> np.ndarray:
    """The squares that crosses take."""
    return np.asarray(shapely.box(*(places - ARM_MM).T, *(places + ARM_MM).T))


def with_both(first: np.ndarray, second: np.ndarray, box: BoxMm) -> tuple[np.ndarray, np.ndarray]:
    """The corners of a box that takes in two crosses too, for each pair: two (n, 2) arrays."""
    low = np.minimum(np.minimum(first, second) - ARM_MM, np.array(box[:2]))
    high = np.maximum(np.maximum(first, second) + ARM_MM, np.array(box[2:]))
    return low, high


def fits(low: np.ndarray, high: np.ndarray, window: SizeMm) -> np.ndarray:
    """Whether boxes given by their corners fit a window, (n,) of bool."""
    return np.asarray((high - low <= np.array(window) + 1e-6).all(axis=1))


def furthest_square(middles: np.ndarray, box: BoxMm) -> np.ndarray:
    """The square of the distance from each place to the corner of a box that is furthest."""
    low, high = np.array(box[:2]), np.array(box[2:])
    return np.asarray((np.maximum(np.abs(middles - low), np.abs(middles - high)) ** 2).sum(axis=1))


def with_cross(box: BoxMm, place: np.ndarray) -> BoxMm:
    """A box that takes in a cross too."""
    (x, y), (left, top, right, bottom) = place.tolist(), box
    return (
        min(left, x - ARM_MM),
        min(top, y - ARM_MM),
        max(right, x + ARM_MM),
        max(bottom, y + ARM_MM),
    )
