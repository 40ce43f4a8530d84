"""What a stroke covers, as a shape: the stroke of SVG 2, section 13.5, without dashes.

Between corners a stroke is the line widened to both sides; at a corner comes what joins the two
sides on its outside, at an end its cap. All of these are put together by the non-zero rule.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np
import pyclipper
import shapely
from shapely import MultiPolygon

from applique.artwork.paint import Stroke
from applique.geometry.curves import flatten, transformed
from applique.geometry.fit import fit_ring
from applique.geometry.offset import arc_segments
from applique.geometry.rings import resolve, rings_of
from applique.geometry.tangled import TangledError
from applique.geometry.walk import unit, without_repeats
from applique.model import Curve
from applique.svg.transforms import apply, compose

FINE_MM = 0.002
"""How near the points of a stroke's outline lie to it."""

FIT_MM = 0.006
"""Greatest distance of those points from the curves fitted through them; together the outline keeps
within 0.01 mm, as all outlines do."""

_GRID = 1_000_000
"""Grid points in a millimetre while lines are widened."""

_OVERLAP_MM = 0.004
"""Parts reach so far into each other that the 0.001 mm grid leaves no crack between them."""

_CORNER_DEGREES = 1.0
"""Two segments that meet at more than this make a corner and get a join."""

_SHORTEST = 1e-9
"""A leg of a control polygon shorter than this share of the whole has no direction."""


def stroke_shape(curves: Sequence[Curve], stroke: Stroke, matrix: np.ndarray) -> MultiPolygon:
    """What a stroke of curves covers, in mm; `matrix` (2, 3) leads there from the units of both.

    Where it is skewed, so is the stroke.
    """
    scale = math.sqrt(abs(float(np.linalg.det(matrix[:, :2]))))
    half = stroke.width * scale / 2
    if half <= 0:
        return MultiPolygon()
    # Widened at true size; what is left of the transform keeps areas.
    to_size = np.array([[scale, 0.0, 0.0], [0.0, scale, 0.0]])
    rings = [
        ring
        for curve in curves
        for ring in _parts(transformed(curve, to_size), stroke, half)
        if len(ring) >= 3
    ]
    try:
        shape = resolve(rings, "nonzero").shape
    except TangledError:
        return MultiPolygon()
    rest = compose(matrix, np.array([[1 / scale, 0.0, 0.0], [0.0, 1 / scale, 0.0]]))
    return shapely.transform(shape, lambda points: apply(rest, points))


def fitted(shape: MultiPolygon) -> tuple[Curve, ...]:
    """The outline of a shape as closed cubics, one a ring, within 0.01 mm."""
    return tuple(fit_ring(ring, FIT_MM) for ring in rings_of(shape))


def _parts(curve: Curve, stroke: Stroke, half: float) -> Iterator[np.ndarray]:
    """The rings (n, 2) that a stroke is put together from; their areas overlap."""
    segments, straight = _drawn_segments(curve)
    if len(segments) == 0:
        yield from _dot(curve, stroke, half)
        return
    leaving = np.array([_direction(segment) for segment in segments])
    arriving = np.array([-_direction(segment[::-1]) for segment in segments])
    count = len(segments)
    meets = [k for k in range(count) if curve.closed or k > 0]
    corners = [k for k in meets if _turn(arriving[k - 1], leaving[k]) > _CORNER_DEGREES]
    for k in corners:
        yield from _join(segments[k][0], arriving[k - 1], leaving[k], stroke, half)
    for first, last in _stretches(corners, count, curve.closed):
        index = np.arange(first, last) % count
        stretch = Curve(segments[index], straight[index], closed=False)
        line = without_repeats(flatten(stretch, FINE_MM))
        yield from _widened(_with_true_ends(line, leaving[first], arriving[index[-1]]), half)
    if not curve.closed:
        yield from _cap(segments[0][0], -leaving[0], stroke.cap, half)
        yield from _cap(segments[-1][3], arriving[-1], stroke.cap, half)
    elif not corners:
        yield _slab(segments[0][0], leaving[0], _OVERLAP_MM, half)


def _drawn_segments(curve: Curve) -> tuple[np.ndarray, np.ndarray]:
    """The segments that are not a single point, and which of them are straight."""
    real = np.abs(np.diff(curve.segments, axis=1)).max(axis=(1, 2)) > 0
    return curve.segments[real], curve.straight[real]


def _stretches(corners: Sequence[int], count: int, closed: bool) -> list[tuple[int, int]]:
    """From which segment to before which a line runs on without a corner."""
    if not closed:
        stops = [0, *corners, count]
    elif corners:
        stops = [*corners, corners[0] + count]
    else:
        stops = [0, count]
    return list(itertools.pairwise(stops))


def _direction(segment: np.ndarray) -> np.ndarray:
    """In which direction a segment (4, 2) starts: towards the first point apart from its own."""
    legs = segment[1:] - segment[0]
    lengths = np.hypot(legs[:, 0], legs[:, 1])
    return unit(legs[int(np.argmax(lengths > _SHORTEST * lengths.max()))])


def _turn(before: np.ndarray, after: np.ndarray) -> float:
    """By how many degrees two directions differ."""
    cross = before[0] * after[1] - before[1] * after[0]
    return math.degrees(abs(math.atan2(cross, float(before @ after))))


def _with_true_ends(line: np.ndarray, leaving: np.ndarray, arriving: np.ndarray) -> np.ndarray:
    """A line (n, 2) that starts and ends in the true directions of its curve, not in those of its
    chords, so that it is cut off at a right angle to the curve."""
    if len(line) < 2:
        return line
    first, last = (np.hypot(*chord) for chord in (line[1] - line[0], line[-1] - line[-2]))
    second = line[0] + leaving * min(_END_MM, first / 3)
    last_but_one = line[-1] - arriving * min(_END_MM, last / 3)
    return np.vstack([line[0], second, line[1:-1], last_but_one, line[-1]])


_END_MM = 0.05
"""So far a line goes straight on at its ends: on a bend of 1 mm that is wrong by a micrometre."""


def _widened(line: np.ndarray, half: float) -> Iterator[np.ndarray]:
    """A line (n, 2) without corners widened to both sides, its ends cut off square."""
    if len(line) < 2:
        return
    offset = pyclipper.PyclipperOffset(arc_tolerance=FINE_MM * _GRID)
    path = np.round(line * _GRID).astype(np.int64).tolist()
    try:
        offset.AddPath(path, pyclipper.JT_ROUND, pyclipper.ET_OPENBUTT)
    except pyclipper.ClipperException:
        return  # shorter than the grid
    for ring in offset.Execute(half * _GRID):
        yield np.asarray(ring, dtype=float) / _GRID


def _join(
    at: np.ndarray, before: np.ndarray, after: np.ndarray, stroke: Stroke, half: float
) -> Iterator[np.ndarray]:
    """What fills the outside of a corner (SVG 2, section 13.5.4). Its sides lie on those of the two
    stretches, into which it reaches a little."""
    if stroke.join == "round":
        yield _disc(at, half)
        return
    cross = before[0] * after[1] - before[1] * after[0]
    side = -1.0 if cross > 0 else 1.0
    first, last = side * _left(before), side * _left(after)
    middle = first + last
    opening = float(np.hypot(*middle)) / 2  # cosine of half the turn
    if opening < _SHORTEST:
        return  # the line turns back on itself: no join reaches beyond its end
    outward = middle / np.hypot(*middle)
    overlap = min(_OVERLAP_MM, half)
    tip = [at + outward * half / opening] if _is_mitred(stroke, opening) else []
    corners = [
        at - outward * overlap,
        at + first * half - before * overlap,
        at + first * half,
        *tip,
        at + last * half,
        at + last * half + after * overlap,
    ]
    yield _anticlockwise(np.array(corners))


def _is_mitred(stroke: Stroke, opening: float) -> bool:
    """A miter longer than its limit becomes a bevel; it is 1 / opening widths long."""
    return stroke.join == "miter" and 1 / opening <= stroke.miter_limit


def _cap(at: np.ndarray, outward: np.ndarray, cap: str, half: float) -> Iterator[np.ndarray]:
    if cap == "round":
        yield _disc(at, half)
    elif cap == "square":
        middle = at + outward * (half - _OVERLAP_MM) / 2
        yield _slab(middle, outward, (half + _OVERLAP_MM) / 2, half)


def _dot(curve: Curve, stroke: Stroke, half: float) -> Iterator[np.ndarray]:
    """A line without length shows its caps, square ones upright (SVG 2, section 13.5.3)."""
    at = curve.segments[0, 0]
    if stroke.cap == "round":
        yield _disc(at, half)
    elif stroke.cap == "square":
        yield _slab(at, np.array([1.0, 0.0]), half, half)


def _slab(middle: np.ndarray, along: np.ndarray, reach: float, half: float) -> np.ndarray:
    """A rectangle: `reach` to both sides along a direction, `half` across."""
    across = _left(along) * half
    ahead = along * reach
    corners = [middle - ahead - across, middle + ahead - across]
    return _anticlockwise(np.array([*corners, middle + ahead + across, middle - ahead + across]))


def _disc(at: np.ndarray, radius: float) -> np.ndarray:
    count = 4 * arc_segments(radius, FINE_MM)
    angles = np.arange(count) * 2 * np.pi / count
    return at + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def _left(direction: np.ndarray) -> np.ndarray:
    return np.array([-direction[1], direction[0]])


def _anticlockwise(ring: np.ndarray) -> np.ndarray:
    return ring if shapely.linearrings(ring).is_ccw else ring[::-1]
