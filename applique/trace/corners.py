"""Corners of a traced shape, given back the points that a pen and a scanner took from them.

The pen's centre turns on the spot at every corner of the template that points inward, and its nib
leaves an arc of half its width there. Moved outward by half a pen the edge is the path of the pen's
centre, in which those arcs are corners; corners that point outward are corners in the edge itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import shapely

from applique.trace.edge import smoothed
from applique.trace.tip_light import HALF_OF_A_SLIT
from applique.trace.turns import APART_MM, SPACING_MM, evenly, sharp_turns

_GUARD_MM = 0.2
"""So much of the edge beside a corner is blurred by it."""

_TURNED = (0.5, 1.6)
"""The sides of a notch must turn by between these shares of what the pen's path turns there."""

_ROUNDEST_TIP_MM = 0.65
_ROUNDEST_NOTCH_MM = 0.45
"""Turns with a larger radius are bends. A pen that is not held hard against a template's tip goes
round it at that distance; into a notch it goes all the way."""

_ROUNDEST_RESTORED_MM = 0.15

_PATH_TREMOR_MM = 0.03
"""By so much the pen's path may stray from the meeting point of its sides, more than an edge does:
a line is nowhere quite as wide as its pen."""

_ROUND = 16
"""Segments of a quarter of the nib's circle: they stray from it by less than 0.01 mm."""

_BESIDE = 3
"""So many points of the path away from where it turns the nib has left the notch."""

_NEWTON_ROUNDS = 6

_NOTCH_ROOM = 1.2
"""Sides that bend towards each other meet further off than straight ones, by no more than this."""

_SHARPEST_NOTCH = np.radians(150)

_SIDE_MM = 1.6
"""The sides of a corner are carried on from so much of the edge."""


def _no_points() -> np.ndarray:
    return np.empty((0, 2))


@dataclass(frozen=True, eq=False)
class Corner:
    """A corner at `place` (x, y) mm. `index` is the nearest point of the edge, `cut` how many
    points on either side of it the corner takes the place of; `inward` if the shape is notched
    there; `turn` in radians; `before` and `after` are what leads to the corner and from it in the
    place of these points, (k, 2) mm each."""

    place: np.ndarray
    index: int
    cut: int
    inward: bool
    turn: float
    before: np.ndarray = field(default_factory=_no_points)
    after: np.ndarray = field(default_factory=_no_points)


def find_corners(edge: np.ndarray, pen_mm: float, blur_mm: float) -> list[Corner]:
    """The corners of an evenly spaced closed edge, (n, 2) mm, in order along it. `blur_mm` is that
    of the picture that it was found in."""
    light = smoothed(edge, 0.6)
    sign = float(np.sign(signed_area(edge)))
    found = [
        _tip(edge, index, turn, blur_mm)
        for index, turn in sharp_turns(light, sign, _ROUNDEST_TIP_MM)
    ]
    notches = [_notch(edge, index, turn, pen_mm) for index, turn in _inward_turns(light, pen_mm)]
    found += [notch for notch in notches if notch is not None]
    found += _points_already(edge, sharp_turns(light, -sign, _ROUNDEST_RESTORED_MM), found)
    return sorted(found, key=lambda corner: corner.index)


def _points_already(
    edge: np.ndarray, turns: list[tuple[int, float]], found: list[Corner]
) -> list[Corner]:
    """Inward corners that have a point in the edge itself, as where it was bridged: no nib leaves
    one."""
    apart = round(APART_MM / SPACING_MM)
    cut = round(_GUARD_MM / SPACING_MM)
    return [
        Corner(edge[index], index, cut, True, turn)
        for index, turn in turns
        if all(
            min((index - c.index) % len(edge), (c.index - index) % len(edge)) > apart for c in found
        )
    ]


def signed_area(points: np.ndarray) -> float:
    """The area inside a closed line (n, 2), negative if it runs clockwise in (x, y)."""
    x, y = points.T
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) / 2


def _inward_turns(edge: np.ndarray, pen_mm: float) -> list[tuple[int, float]]:
    """The sharp turns of the pen's path against the shape's own direction, as indices of the
    edge."""
    path = _pen_path(edge, pen_mm)
    sign = float(np.sign(signed_area(edge)))
    return [
        (_middle_index(edge, path, place), turn)
        for place, turn in sharp_turns(path, -sign, _ROUNDEST_NOTCH_MM, _PATH_TREMOR_MM)
    ]


def _pen_path(edge: np.ndarray, pen_mm: float) -> np.ndarray:
    """Where the middle of the nib went around a closed edge, (n, 2) mm, in the edge's direction: it
    came nowhere nearer to it than half its width, so that its arc in a notch is one point of the
    path, whatever grain the edge has."""
    if pen_mm == 0:
        return edge
    reached = shapely.buffer(shapely.polygons(edge), pen_mm / 2, quad_segs=_ROUND)
    around = max(shapely.get_parts(reached), key=shapely.area)
    path = evenly(shapely.get_coordinates(shapely.get_exterior_ring(around))[:-1])
    return path if signed_area(path) * signed_area(edge) > 0 else path[::-1]


def _middle_index(edge: np.ndarray, path: np.ndarray, place: int) -> int:
    """The middle of the edge's points that the nib reached from a place of its path: between the
    nearest to where it was just before and just after."""
    sides = [path[(place + step) % len(path)] for step in (-_BESIDE, _BESIDE)]
    first, last = (int(np.argmin(np.hypot(*(edge - side).T))) for side in sides)
    apart = (last - first + len(edge) // 2) % len(edge) - len(edge) // 2
    return (first + apart // 2) % len(edge)


def _tip(edge: np.ndarray, index: int, turn: float, blur_mm: float) -> Corner:
    """A corner that points outward: where the ink shows it, and further out by what the blur has
    taken from its point, as far as its sides reach."""
    slope = np.tan(max(np.pi - abs(turn), 0.2) / 2)
    blunted_mm = HALF_OF_A_SLIT * blur_mm / slope
    cut_mm = max(_GUARD_MM, 2.5 * blunted_mm)
    cut = round(cut_mm / SPACING_MM)
    apex, meeting = edge[index], _meeting(*_sides(edge, index, cut))
    if meeting is not None:
        beyond = float(np.hypot(*(meeting - apex)))
        apex = apex + (meeting - apex) * min(1.0, blunted_mm / max(beyond, 1e-9))
    return Corner(apex, index, cut, False, turn)


def sides_meet(
    edge: np.ndarray, corner: Corner
) -> tuple[np.ndarray, np.ndarray, np.ndarray] | None:
    """Where the two sides of a corner meet, (2,) mm, and the unit vectors from there along them."""
    before, after = _sides(edge, corner.index, corner.cut)
    place = _meeting(before, after)
    if place is None:
        return None
    ways = [side[0] - place for side in (before, after)]
    lengths = [float(np.hypot(*way)) for way in ways]
    if min(lengths) < SPACING_MM:
        return None
    return place, ways[0] / lengths[0], ways[1] / lengths[1]


def _notch(edge: np.ndarray, index: int, turn: float, pen_mm: float) -> Corner | None:
    """A corner that points inward: where its sides, carried on past the nib's arc, meet. None if
    the sides themselves don't turn so: the pen's path also turns at a tremor, back and forth."""
    cut = round((pen_mm / 2 * abs(turn) / 2 + _GUARD_MM) / SPACING_MM)
    before, after = _sides(edge, index, cut)
    leaving, arriving = -before[1], after[1]
    cross = leaving[0] * arriving[1] - leaving[1] * arriving[0]
    turned = float(np.arctan2(cross, leaving @ arriving))
    if turned * turn < 0 or not _TURNED[0] < abs(turned / turn) < _TURNED[1]:
        return None
    place = _meeting(before, after)
    apex = edge[index]
    beyond_mm = _NOTCH_ROOM * _beyond_nib(pen_mm, turn) + _GUARD_MM
    if place is None:
        place = apex
    elif np.hypot(*(place - apex)) > beyond_mm:
        place = apex + (place - apex) * beyond_mm / np.hypot(*(place - apex))
    return Corner(place, index, cut, True, turn)


def _beyond_nib(pen_mm: float, turn: float) -> float:
    """How far beyond the nib's arc two straight sides meet that the nib touches, in mm."""
    return pen_mm / 2 * (1 / np.cos(min(abs(turn), _SHARPEST_NOTCH) / 2) - 1)


def _sides(edge: np.ndarray, index: int, cut: int) -> tuple[np.ndarray, np.ndarray]:
    """The two sides of a corner, each from `cut` points away on."""
    length = min(max(_SIDE_MM, 2 * cut * SPACING_MM), len(edge) * SPACING_MM / 8)
    take = np.arange(cut, cut + max(6, round(length / SPACING_MM)))
    return _side(edge[(index - take) % len(edge)]), _side(edge[(index + take) % len(edge)])


def _side(points: np.ndarray) -> np.ndarray:
    """A side as a parabola by arc length, (3, 2): its near end, direction and half bend."""
    s = np.arange(len(points)) * SPACING_MM
    terms = np.stack([np.ones_like(s), s, s * s], axis=1)
    return np.linalg.lstsq(terms, points, rcond=None)[0]


def _meeting(before: np.ndarray, after: np.ndarray) -> np.ndarray | None:
    """Where two sides meet when they are carried on backward from their near ends: Newton's
    method, from where their tangents meet."""
    first, second = 0.0, 0.0
    for _ in range(_NEWTON_ROUNDS):
        place, direction = _at(before, first)
        other, other_direction = _at(after, second)
        across = direction[0] * other_direction[1] - direction[1] * other_direction[0]
        if abs(across) < 1e-3:
            return None
        way = other - place
        first += (way[0] * other_direction[1] - way[1] * other_direction[0]) / across
        second += (way[0] * direction[1] - way[1] * direction[0]) / across
    ends = _at(before, first)[0], _at(after, second)[0]
    if max(first, second) > _GUARD_MM or np.hypot(*(ends[0] - ends[1])) > SPACING_MM:
        return None
    return (ends[0] + ends[1]) / 2


def _at(side: np.ndarray, s: float) -> tuple[np.ndarray, np.ndarray]:
    return side[0] + s * side[1] + s * s * side[2], side[1] + 2 * s * side[2]
