"""Which boxes and straight lines keep clear of each other: plain plane geometry on whole arrays.

Points are (n, 2) and boxes (n, 4) arrays of mm, a box being left, top, right and bottom. Results
are (n, m): each of the first against each of the second.
"""

from __future__ import annotations

import numpy as np


def boxes_meet(boxes: np.ndarray, others: np.ndarray) -> np.ndarray:
    """Which boxes overlap or touch: they do along both axes."""
    left, top, right, bottom = boxes.T[:, :, None]
    others_left, others_top, others_right, others_bottom = others.T[:, None, :]
    beside = (left <= others_right) & (right >= others_left)
    return np.asarray(beside & (top <= others_bottom) & (bottom >= others_top))


def lines_meet_boxes(starts: np.ndarray, ends: np.ndarray, boxes: np.ndarray) -> np.ndarray:
    """Which lines run through boxes: the shares of a line that lie within both slabs of a box have
    something in common (Y.-D. Liang, B. Barsky, "A new concept and method for line clipping",
    1984)."""
    enter = np.zeros((len(starts), len(boxes)))
    leave = np.ones_like(enter)
    way = ends - starts
    way = np.where(way == 0, 1e-12, way)
    for axis in (0, 1):
        first, second = (
            (boxes[None, :, side] - starts[:, None, axis]) / way[:, None, axis]
            for side in (axis, axis + 2)
        )
        enter = np.maximum(enter, np.minimum(first, second))
        leave = np.minimum(leave, np.maximum(first, second))
    return np.asarray(enter <= leave)


def point_distances(points: np.ndarray, starts: np.ndarray, ends: np.ndarray) -> np.ndarray:
    """How far points (n, 2) are from lines between points (m, 2)."""
    way = ends - starts
    square = np.maximum((way * way).sum(axis=1), 1e-12)
    x, y = (points[:, None, k] - starts[None, :, k] for k in (0, 1))
    share = np.clip((x * way[:, 0] + y * way[:, 1]) / square, 0.0, 1.0)
    return np.asarray(np.hypot(x - share * way[:, 0], y - share * way[:, 1]))


def line_distances(
    starts: np.ndarray, ends: np.ndarray, other_starts: np.ndarray, other_ends: np.ndarray
) -> np.ndarray:
    """How far lines are from others: 0 where they cross, else from the nearest of the four ends."""
    nearest = np.minimum.reduce(
        [
            point_distances(starts, other_starts, other_ends),
            point_distances(ends, other_starts, other_ends),
            point_distances(other_starts, starts, ends).T,
            point_distances(other_ends, starts, ends).T,
        ]
    )
    way, other_way = ends - starts, other_ends - other_starts
    between = other_starts[None, :, :] - starts[:, None, :]
    across = _cross(way[:, None, :], other_way[None, :, :])
    across = np.where(across == 0, np.inf, across)
    along = _cross(between, other_way[None, :, :]) / across
    other_along = _cross(between, way[:, None, :]) / across
    crossing = (np.abs(along - 0.5) <= 0.5) & (np.abs(other_along - 0.5) <= 0.5)
    return np.where(crossing & np.isfinite(across), 0.0, nearest)


def _cross(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    return np.asarray(first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0])
