"""Walking along a line by arc length."""

from __future__ import annotations

import math

import numpy as np


class Walk:
    """An open or closed polyline measured by arc length.

    `points` is an (n, 2) array of mm without repeated neighbours; a closed line does not repeat its
    first point. `arc` holds the arc length at each vertex, and at the return to the first one if
    the line is closed.
    """

    def __init__(self, points: np.ndarray, closed: bool) -> None:
        self.points = points
        self.closed = closed
        self._around = np.vstack([points, points[:1]]) if closed else points
        self.arc = np.concatenate([[0.0], np.cumsum(step_lengths(self._around))])
        self.length = float(self.arc[-1])

    def at(self, arc_mm: np.ndarray | float) -> np.ndarray:
        """The points (m, 2) at arc lengths; a closed line wraps round, an open one is clamped."""
        arc = np.mod(arc_mm, self.length) if self.closed else np.asarray(arc_mm)
        return sampled(arc, self.arc, self._around)

    def section(self, start_mm: float, stop_mm: float) -> np.ndarray:
        """The line from one arc length to another, the vertices between included: (m, 2).

        On a closed line `stop_mm` may lie beyond the length (or below `start_mm`), meaning on past
        the first vertex.
        """
        if self.closed and stop_mm < start_mm:
            stop_mm += self.length
        arc = self._unrolled(start_mm, stop_mm) if self.closed else self.arc
        between = arc[(arc > start_mm + _SAME_MM) & (arc < stop_mm - _SAME_MM)]
        return self.at(np.concatenate([[start_mm], between, [stop_mm]]))

    def _unrolled(self, start_mm: float, stop_mm: float) -> np.ndarray:
        """The vertices' arc lengths over as many rounds as the section touches."""
        first = math.floor(start_mm / self.length)
        last = math.floor(stop_mm / self.length)
        return np.concatenate([self.arc[:-1] + k * self.length for k in range(first, last + 1)])


_SAME_MM = 1e-9
"""Arc lengths closer than this are one place: far below the 0.001 mm grid of the outlines."""


def sampled(at: np.ndarray, arc: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Points (m, 2) at places along a line whose vertices `points` (n, 2) lie at `arc` (n,)."""
    # As complex numbers both coordinates are interpolated in one go.
    plane = np.ascontiguousarray(points, dtype=float).view(complex)[:, 0]
    found = np.asarray(np.interp(at, arc, plane))
    return found[..., None].view(float)


def turned_left(vectors: np.ndarray) -> np.ndarray:
    """Vectors (n, 2) turned a quarter to the left, towards the fabric of a directed outline."""
    turned = np.empty_like(vectors, dtype=float)
    turned[..., 0], turned[..., 1] = -vectors[..., 1], vectors[..., 0]
    return turned


def step_lengths(points: np.ndarray) -> np.ndarray:
    """The lengths (n - 1,) of the chords of an open line (n, 2)."""
    steps = points[1:] - points[:-1]
    return np.hypot(steps[:, 0], steps[:, 1])


def unit(vectors: np.ndarray) -> np.ndarray:
    """Vectors (n, 2) scaled to length 1; a zero vector stays zero."""
    lengths = np.hypot(vectors[..., 0], vectors[..., 1])
    return vectors / np.where(lengths > 0, lengths, 1.0)[..., None]


def vertex_directions(points: np.ndarray, closed: bool) -> np.ndarray:
    """Unit directions (n, 2) of travel at the vertices of a smooth line.

    Between two chords it is their mean. At the open end of an arc the curve is taken to go on
    bending as it does at the next vertex, so that it gets the arc's tangent, not its chord's.
    """
    if closed:
        chords = unit(np.roll(points, -1, axis=0) - points)
        return unit(chords + np.roll(chords, 1, axis=0))
    chords = unit(points[1:] - points[:-1])
    if len(chords) == 1:
        return np.repeat(chords, 2, axis=0)
    inner = unit(chords[:-1] + chords[1:])
    first = _bent_on(inner[0], chords[0], points[1] - points[0])
    last = _bent_on(inner[-1], chords[-1], points[-1] - points[-2])
    return np.vstack([first, inner, last])


_ARC_SAGITTA_MM = 0.05
"""A chord of an arc strays from it by no more than this; one that would is a straight piece."""


def _bent_on(direction: np.ndarray, chord: np.ndarray, way: np.ndarray) -> np.ndarray:
    """The tangent at the free end of a chord whose other end has `direction`: mirrored in the chord
    if it is one of an arc, else the chord's own."""
    half_turn = abs(float(chord[0] * direction[1] - chord[1] * direction[0]))
    if np.hypot(*way) * half_turn / 4 > _ARC_SAGITTA_MM:
        return chord
    return 2 * (direction @ chord) * chord - direction


def without_repeats(points: np.ndarray, closer_than_mm: float = _SAME_MM) -> np.ndarray:
    """Points (n, 2) with those dropped that lie on the one before."""
    if len(points) < 2:
        return points
    moved = step_lengths(points) > closer_than_mm
    return points[np.concatenate([[True], moved])]
