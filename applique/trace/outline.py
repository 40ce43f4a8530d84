"""From the points of an edge to one clean outline: sections between corners, smooth curves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from applique.geometry.walk import vertex_directions
from applique.model import Curve
from applique.trace.corners import Corner, find_corners, signed_area
from applique.trace.curves import Segments, fewest_cubics, fewest_cubics_each
from applique.trace.edge import smoothed
from applique.trace.tip_curves import with_ends
from applique.trace.turns import SPACING_MM, evenly

SMOOTH_MM = 0.25
"""An edge is evened out over this much along its sections: a pen's edge has no shorter waves, only
the paper's and the scanner's grain has."""

_NEAR_TIPS_MM = 0.1
_TIP_MM = (0.5, 1.0)
"""Within the first distance of a tip it is evened out over so much, from the second on as
elsewhere: a pen that stands off goes round a tip in an arc of a few tenths of a millimetre."""

FIT_MM = 0.028
"""Greatest distance of the curves from the edge: a fifth of what scissors can follow. With it
nearly all of a traced path lies within 0.03 mm of the ink's edge; with 0.05 mm it would have a
third fewer cubics."""


@dataclass(frozen=True, eq=False)
class Shape:
    """An edge in sections, each (n, 2) mm from one corner to the next, both included; a shape
    without corners has one that ends where it begins."""

    sections: tuple[np.ndarray, ...]
    corners: tuple[Corner, ...]

    def points(self) -> np.ndarray:
        """All points around the shape, (n, 2) mm, none repeated."""
        return np.concatenate([section[:-1] for section in self.sections])


def shaped(edge: np.ndarray, pen_mm: float, blur_mm: float) -> Shape:
    """The shape of a closed edge, (n, 2) mm, with its corners restored. `blur_mm` is that of the
    picture that it was found in."""
    even = evenly(edge)
    return sectioned(even, find_corners(even, pen_mm, blur_mm))


def sectioned(even: np.ndarray, corners: Sequence[Corner]) -> Shape:
    """The shape of an evenly spaced closed edge, (n, 2) mm, with these corners, in order."""
    if not corners:
        around = smoothed(even, SMOOTH_MM / SPACING_MM)
        return Shape((np.vstack([around, around[:1]]),), ())
    sections = []
    for corner, following in zip(corners, [*corners[1:], corners[0]], strict=True):
        first, last = corner.index + corner.cut, following.index - following.cut
        if (last < first and following is corners[0]) or following is corner:
            last += len(even)
        between = even[np.arange(first, last + 1) % len(even)] if last >= first else even[:0]
        ways = corner.after, between, following.before
        whole = np.vstack([corner.place, *ways, following.place])
        pointed = (not corner.inward, not following.inward)
        sections.append(_smoothed_open(whole, pointed))
    return Shape(tuple(sections), tuple(corners))


def _smoothed_open(line: np.ndarray, pointed: tuple[bool, bool]) -> np.ndarray:
    """An open line evened out, its ends held where they are; less so near a `pointed` end, where
    the ink itself is round over less than what edges are evened out over."""
    smooth = _evened(line, SMOOTH_MM)
    if not any(pointed):
        return smooth
    fine = _evened(line, _NEAR_TIPS_MM)
    along = SPACING_MM * np.arange(len(line))
    off = np.full(len(line), np.inf)
    if pointed[0]:
        off = along
    if pointed[1]:
        off = np.minimum(off, along[::-1])
    share = np.clip((_TIP_MM[1] - off) / (_TIP_MM[1] - _TIP_MM[0]), 0.0, 1.0)[:, None]
    return share * fine + (1 - share) * smooth


def _evened(line: np.ndarray, over_mm: float) -> np.ndarray:
    """An open line evened out over so much, its ends held where they are."""
    sigma = over_mm / SPACING_MM
    reach = min(int(np.ceil(3 * sigma)), len(line) - 1)
    if reach < 2:
        return line
    head = 2 * line[0] - line[reach:0:-1]
    tail = 2 * line[-1] - line[-2 : -reach - 2 : -1]
    padded = np.concatenate([head, line, tail])
    even = smoothed(padded, min(sigma, reach / 3))[len(head) : len(head) + len(line)]
    even[0], even[-1] = line[0], line[-1]
    return even


_TURNED_IN = round(0.6 / SPACING_MM)
"""Within so many points of a tip the ink turns in where a pen goes round it. That arc has a cubic
of its own: smooth curves of even length along a whole side would need many."""

_LEAST_TURNED = np.radians(12.0)


def fitted(shape: Shape, tolerance_mm: float = FIT_MM) -> Curve:
    """The closed curve of cubics through a shape."""
    turned = _turned_in(shape)
    cores = [
        section[head : len(section) - tail]
        for section, (head, tail) in zip(shape.sections, turned, strict=True)
    ]
    pieces = fewest_cubics_each(cores, tolerance_mm, closed=not shape.corners)
    segments: Segments = []
    for section, piece, ends in zip(shape.sections, pieces, turned, strict=True):
        segments += with_ends(section, piece, *ends, tolerance_mm) or fewest_cubics(
            section, tolerance_mm
        )
    straight = np.array([is_straight for _, is_straight in segments])
    return Curve(np.array([segment for segment, _ in segments]), straight, closed=True)


def _turned_in(shape: Shape) -> list[tuple[int, int]]:
    """How many points at either end of each section turn in to a tip."""
    if not shape.corners:
        return [(0, 0)]
    following = [*shape.corners[1:], shape.corners[0]]
    return [
        (_turned(section, corner.after), _turned(section[::-1], after.before))
        for section, corner, after in zip(shape.sections, shape.corners, following, strict=True)
    ]


def _turned(section: np.ndarray, way: np.ndarray) -> int:
    """How many points from its start on a section turns in, if its corner is a tip that was moved
    and has its own `way` there."""
    if len(way) == 0 or len(section) < 4 * _TURNED_IN:
        return 0
    first, last = section[1] - section[0], section[_TURNED_IN + 2] - section[_TURNED_IN]
    turn = np.arctan2(first[0] * last[1] - first[1] * last[0], first @ last)
    return _TURNED_IN if abs(turn) > _LEAST_TURNED else 0


def inset(shape: Shape, by_mm: float) -> Shape:
    """A shape made smaller by so much on each side (larger if negative), corners kept."""
    sign = float(np.sign(signed_area(shape.points())))
    sections = [
        _moved(section, sign * by_mm, len(shape.corners) == 0) for section in shape.sections
    ]
    if not shape.corners:
        return Shape((sections[0][0],), ())
    corners = []
    for k, corner in enumerate(shape.corners):
        arriving, leaving = sections[k - 1][1][-1], sections[k][1][0]
        # Two sides moved by the same length meet on the bisector.
        across = (arriving + leaving) / max(1 + float(arriving @ leaving), _SHARPEST)
        corners.append(replace(corner, place=corner.place + sign * by_mm * across))
    moved = []
    for k, (points, left) in enumerate(sections):
        start, stop = corners[k].place, corners[(k + 1) % len(corners)].place
        moved.append(_between(points, left, start, stop))
    return Shape(tuple(moved), tuple(corners))


def _between(
    points: np.ndarray, left: np.ndarray, start: np.ndarray, stop: np.ndarray
) -> np.ndarray:
    """A moved section from one moved corner to the next, without what now lies beyond them."""
    arc = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    leaving = np.array([left[0, 1], -left[0, 0]])
    arriving = np.array([left[-1, 1], -left[-1, 0]])
    begin = float((start - points[0]) @ leaving)
    end = arc[-1] + float((stop - points[-1]) @ arriving)
    inner = points[(arc > begin + _CLEAR_MM) & (arc < end - _CLEAR_MM)]
    return np.vstack([start, inner, stop])


_CLEAR_MM = 0.05

_SHARPEST = 0.02
"""Sides that all but turn back on themselves have no meeting point nearby."""


def _moved(section: np.ndarray, by_mm: float, closed: bool) -> tuple[np.ndarray, np.ndarray]:
    """A line moved to its left by so much in (x, y), and the unit vectors to its left."""
    ahead = vertex_directions(section[:-1] if closed else section, closed)
    left = np.stack([-ahead[:, 1], ahead[:, 0]], axis=1)
    if closed:
        left = np.vstack([left, left[:1]])
    return section + by_mm * left, left
