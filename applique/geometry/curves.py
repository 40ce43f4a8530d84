"""Cubic Bezier runs: building, moving, flattening."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.model import Curve

FLATNESS_MM = 0.01
"""Greatest distance between a curve and the polyline that stands for it: a tenth of a step of the
embroidery frame (0.1 mm), so flattening never decides where a needle goes."""


CHORD_TURN_DEGREES = 7.0
"""Greatest turn from one chord of a curve to the next, so that small curves keep their look of
curves: half of what counts as a corner."""

SHORTEST_CHORD_MM = 0.05
"""Chords are not made shorter than this for the sake of their turn: half a frame step."""


def polyline(points: np.ndarray, closed: bool) -> Curve:
    """A curve of straight segments through `points`, an (n, 2) array of mm (n >= 2)."""
    ends = np.vstack([points, points[:1]]) if closed else points
    start, stop = ends[:-1], ends[1:]
    third = (stop - start) / 3.0
    segments = np.stack([start, start + third, stop - third, stop], axis=1)
    return Curve(segments, np.ones(len(segments), dtype=bool), closed)


def transformed(curve: Curve, matrix: np.ndarray) -> Curve:
    """The curve moved by a (2, 3) affine matrix; its direction is kept."""
    moved = curve.segments @ matrix[:, :2].T + matrix[:, 2]
    return Curve(moved, curve.straight, curve.closed)


def reversed_curve(curve: Curve) -> Curve:
    """The same curve walked the other way."""
    return Curve(curve.segments[::-1, ::-1], curve.straight[::-1], curve.closed)


def flatten(curve: Curve, flatness_mm: float = FLATNESS_MM) -> np.ndarray:
    """The curve as an (n, 2) polyline of mm no further from it than `flatness_mm`.

    A closed curve does not repeat its first point. The number of chords comes from the second
    differences of the control points (Wang's bound: Goldman, "Pyramid Algorithms", 2003, ch. 5).
    """
    if len(curve.segments) == 0:
        return np.zeros((0, 2))
    points = _points_on(curve.segments, _chords(curve.segments, curve.straight, flatness_mm))
    if curve.closed:
        return np.roll(points, 1, axis=0)
    return np.vstack([curve.segments[:1, 0], points])


def flatten_closed(curves: Sequence[Curve], flatness_mm: float = FLATNESS_MM) -> list[np.ndarray]:
    """Many closed curves as `flatten` has them, each of one segment at least, in a fraction of the
    time."""
    if not curves:
        return []
    segments = np.concatenate([curve.segments for curve in curves])
    straight = np.concatenate([curve.straight for curve in curves])
    chords = _chords(segments, straight, flatness_mm)
    first = np.cumsum([0, *(len(curve.segments) for curve in curves[:-1])])
    lengths = np.add.reduceat(chords, first)
    rings = np.split(_points_on(segments, chords), np.cumsum(lengths)[:-1])
    return [np.roll(ring, 1, axis=0) for ring in rings]


def _chords(segments: np.ndarray, straight: np.ndarray, flatness_mm: float) -> np.ndarray:
    """How many chords (n,) each segment gets."""
    second = np.linalg.norm(segments[:, :-2] - 2 * segments[:, 1:-1] + segments[:, 2:], axis=2)
    chords = np.ceil(np.sqrt(0.75 * second.max(axis=1) / flatness_mm)).astype(int)
    chords = np.maximum(chords, _chords_by_turn(segments))
    return np.where(straight, 1, np.maximum(chords, 1))


def _points_on(segments: np.ndarray, chords: np.ndarray) -> np.ndarray:
    """The ends of the chords of every segment, (chords.sum(), 2)."""
    index = np.repeat(np.arange(len(segments)), chords)
    first = np.repeat(np.cumsum(chords) - chords, chords)
    t = ((np.arange(chords.sum()) - first + 1) / chords[index])[:, None]
    a, b, c, d = (segments[index, k] for k in range(4))
    s = 1 - t
    points = s * s * s * a + 3 * s * s * t * b + 3 * s * t * t * c + t * t * t * d
    # The last point of a segment is its own end point, free of rounding.
    points[np.cumsum(chords) - 1] = segments[:, 3]
    return points


def _chords_by_turn(segments: np.ndarray) -> np.ndarray:
    """Chords (n,) that keep the turn from one to the next below the limit, as far as they don't get
    too short. A curve turns no more than its control polygon."""
    legs = np.diff(segments, axis=1)
    lengths = np.hypot(legs[..., 0], legs[..., 1])
    cross = legs[:, :-1, 0] * legs[:, 1:, 1] - legs[:, :-1, 1] * legs[:, 1:, 0]
    dot = (legs[:, :-1] * legs[:, 1:]).sum(axis=2)
    turn = np.abs(np.arctan2(cross, dot)).sum(axis=1)
    by_turn = np.ceil(turn / np.radians(CHORD_TURN_DEGREES))
    return np.minimum(by_turn, lengths.sum(axis=1) / SHORTEST_CHORD_MM).astype(int)


def quadratic(start: np.ndarray, control: np.ndarray, end: np.ndarray) -> np.ndarray:
    """The cubic (4, 2) that equals a quadratic Bezier segment (degree elevation)."""
    return np.array([start, start + 2 / 3 * (control - start), end + 2 / 3 * (control - end), end])
