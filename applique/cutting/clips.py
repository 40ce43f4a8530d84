"""Where the allowance of a turned edge is clipped so that it can be turned.

On an inner curve the fabric's edge is shorter than the line that it is folded to, so it is cut in
towards the finished line, and the cuts open as it is turned. An edge `a` outside the line and `a`
inside it differ by 2 a for every radian of turn, so one clip for so much turn opens by 2 a times
that: tight curves get their clips closer together. An inner corner gets one, on its bisector.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.corners import CORNER_TO_THE_EYE_DEGREES, find_corners
from applique.geometry.walk import Walk, turned_left, unit
from applique.model import EdgeRun, LaidPiece

SHORT_OF_MM = 1.5
"""A clip ends so far before the finished line: quilters clip to within 1/16 in (common practice,
from memory)."""

OPENING_MM = 3.175
"""How far a clip opens at its mouth. With an allowance of 1/4 in it puts clips 1/4 in apart on a
radius of 1 in and 1/2 in on 2 in: common practice, from memory."""

CLOSEST_MM = 3.0
"""Clips nearer to each other than this would cut the allowance into threads (from memory)."""

STRAIGHTEST_RADIUS_MM = 250.0
"""Curves wider than this are turned as straight ones are: over an allowance of 1/4 in cotton
stretches by the 5 % that are wanting (from memory)."""

SHORTEST_MM = 1.0
"""Shorter clips are none that scissors could make."""

_STEP_MM = 0.25
_OVER_MM = 2.5
"""The line's turn is taken every quarter millimetre, each time over so much to both sides, so that
the flattening of curves and a trembling hand make no clips."""

_OFF_LINE_MM = 0.1
_FURTHEST_MM = 100.0
"""Narrow slits are followed no further to where the fabric ends."""

Lines = tuple[np.ndarray, ...]


def clips_of(laid: LaidPiece, fabric: MultiPolygon) -> Lines:
    """The clips of a turned piece: straight lines, (2, 2) arrays of mm, each from the edge of its
    `fabric` towards the finished line.

    Only edges that are turned are clipped, not those that stay flat beneath a piece above or go
    into a seam. A hole too small for its allowance has no edge: its clips begin at its middle.
    """
    allowance_mm = laid.piece.settings.turn_allowance_mm
    found = [places for run in laid.edges for places in _places(run, allowance_mm)]
    if not found:
        return ()
    base = np.concatenate([place for place, _ in found])
    way = np.concatenate([way for _, way in found])
    turned = _is_turned(base, laid)
    return tuple(_clips(base[turned], way[turned], laid.whole, fabric))


def _is_turned(base: np.ndarray, laid: LaidPiece) -> np.ndarray:
    """Which places (n, 2) of the sewn edges lie on the outline and in sight: (n,) of bool. Edges
    run on a little beneath what covers their ends."""
    points = shapely.points(base)
    on_line = shapely.dwithin(laid.whole.boundary, points, _OFF_LINE_MM)
    return np.asarray(on_line & ~shapely.intersects(laid.above, points))


def _places(run: EdgeRun, allowance_mm: float) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Where an edge is clipped and in which directions, both (n, 2): at its inner corners, and on
    its inner curves between corners."""
    walk = Walk(run.points, run.closed)
    corners = find_corners(walk, CORNER_TO_THE_EYE_DEGREES)
    inner = corners.turn < 0
    at = corners.arc_mm[inner]
    if len(at):
        before = unit(walk.at(at) - walk.at(corners.start_mm[inner] - _OVER_MM))
        after = unit(walk.at(corners.stop_mm[inner] + _OVER_MM) - walk.at(at))
        yield walk.at(at), unit(after - before)
    taken = at
    for start_mm, stop_mm in _between(walk, corners.start_mm, corners.stop_mm):
        arc, direction = _on_curve(walk, start_mm, stop_mm, allowance_mm)
        away = np.abs(arc[:, None] - taken)
        if walk.closed:
            away = np.minimum(away % walk.length, -away % walk.length)
        free = (away >= CLOSEST_MM).all(axis=1)
        yield walk.at(arc[free]), -turned_left(direction[free])


def _between(
    walk: Walk, start_mm: np.ndarray, stop_mm: np.ndarray
) -> Iterable[tuple[float, float]]:
    """The smooth stretches of a line between its corners, from and to an arc length."""
    if not walk.closed:
        return zip([0.0, *stop_mm.tolist()], [*start_mm.tolist(), walk.length], strict=True)
    if len(start_mm) == 0:
        return [(0.0, walk.length)]
    return zip(stop_mm.tolist(), [*start_mm[1:].tolist(), start_mm[0] + walk.length], strict=True)


def _on_curve(
    walk: Walk, start_mm: float, stop_mm: float, allowance_mm: float
) -> tuple[np.ndarray, np.ndarray]:
    """Arc lengths (n,) of the clips on a smooth stretch, and the line's directions (n, 2) there."""
    if stop_mm - start_mm < 2 * _STEP_MM:
        return np.zeros(0), np.zeros((0, 2))
    count = int(np.ceil((stop_mm - start_mm) / _STEP_MM)) + 1
    arc = np.linspace(start_mm, stop_mm, count)
    whole = walk.closed and stop_mm - start_mm >= walk.length
    back, forth = arc - _OVER_MM, arc + _OVER_MM
    if not whole:
        back, forth = np.maximum(back, start_mm), np.minimum(forth, stop_mm)
    direction = unit(walk.at(forth) - walk.at(back))
    angle = np.unwrap(np.arctan2(direction[:, 1], direction[:, 0]))
    bend = -np.diff(angle) / np.diff(arc)
    at = _shared_out(arc, np.where(bend > 1 / STRAIGHTEST_RADIUS_MM, bend, 0.0), allowance_mm)
    nearest = np.searchsorted(arc, at).clip(max=len(arc) - 1)
    return at, direction[nearest]


def _shared_out(arc: np.ndarray, bend: np.ndarray, allowance_mm: float) -> np.ndarray:
    """Arc lengths (n,) of clips, on every inner curve each for the same share of its turn. `bend`
    is the turn to the outside, radians a mm, between places at `arc`; 0 where there is none."""
    for_each = OPENING_MM / (2 * allowance_mm)
    turn = np.concatenate([[0.0], np.cumsum(bend * np.diff(arc))])
    found: list[np.ndarray] = []
    for first, last in _inner_curves(arc, bend):
        total = turn[last] - turn[first]
        length_mm = max(arc[last] - arc[first] - 2 * _OVER_MM, 0.0)  # as it was before smoothing
        at_tips_mm = length_mm - SHORT_OF_MM * total
        clips = min(round(total / for_each), max(1, int(at_tips_mm / CLOSEST_MM)))
        if length_mm < allowance_mm * total and clips:
            # They run together within the allowance: one of them leads on through the middle.
            clips -= 1 - clips % 2
        shares = turn[first] + (np.arange(clips) + 0.5) / max(clips, 1) * total
        found.append(np.interp(shares, turn[first : last + 1], arc[first : last + 1]))
    return np.concatenate(found) if found else np.zeros(0)


def _inner_curves(arc: np.ndarray, bend: np.ndarray) -> list[tuple[int, int]]:
    """First and last places of each curve that bends to the outside, those joined that the least
    waver divides."""
    changes = np.diff(np.concatenate([[0], (bend > 0).astype(int), [0]]))
    curves: list[tuple[int, int]] = []
    for first, last in np.flatnonzero(changes).reshape(-1, 2).tolist():
        if curves and arc[first] - arc[curves[-1][1]] < CLOSEST_MM:
            first = curves.pop()[0]
        curves.append((first, last))
    return curves


def _clips(base: np.ndarray, way: np.ndarray, whole: MultiPolygon, fabric: MultiPolygon) -> Lines:
    """The clips at places of the finished line (n, 2), in directions (n, 2), and the middles of the
    holes that they need to begin at."""
    allowance = fabric.difference(whole)
    rays = shapely.linestrings(
        np.stack([base + way * _OFF_LINE_MM, base + way * _FURTHEST_MM], axis=1)
    )
    clips = []
    for place, outwards, inside in zip(
        base, way, shapely.intersection(rays, allowance), strict=True
    ):
        reach_mm = _reach(place, outwards, inside, whole)
        if reach_mm >= SHORT_OF_MM + SHORTEST_MM:
            clips.append(place + outwards * np.array([[reach_mm], [SHORT_OF_MM]]))
    return (*clips, *_middles(base, whole, fabric))


def _reach(
    place: np.ndarray, outwards: np.ndarray, inside: BaseGeometry, whole: MultiPolygon
) -> float:
    """How far from a place of the finished line its allowance reaches, in mm: to the fabric's edge,
    or half the way where another part of the line faces it. `inside` is what of the direction lies
    in the allowance."""
    ends = [
        (shapely.get_coordinates(part) - place) @ outwards for part in shapely.get_parts(inside)
    ]
    nearest = min((end for end in ends if len(end)), key=lambda end: float(end.min()), default=None)
    if nearest is None or nearest.min() > 2 * _OFF_LINE_MM:
        return 0.0
    steps = np.append(np.arange(0.0, nearest.max(), _STEP_MM), nearest.max())
    away = shapely.distance(whole, shapely.points(place + outwards * steps[:, None]))
    nearing = np.flatnonzero(np.maximum.accumulate(away) - away > _STEP_MM)
    return float(steps[np.argmax(away[: nearing[0]])] if len(nearing) else steps[-1])


def _middles(base: np.ndarray, whole: MultiPolygon, fabric: MultiPolygon) -> Iterator[np.ndarray]:
    """A line along the middle of each clipped hole that the allowance fills."""
    for hole in (Polygon(ring) for part in whole.geoms for ring in part.interiors):
        clipped = shapely.dwithin(hole.exterior, shapely.points(base), _OFF_LINE_MM).any()
        if clipped and fabric.covers(hole):
            corners = shapely.get_coordinates(hole.minimum_rotated_rectangle)[:4]
            sides = np.diff(corners[:3], axis=0)
            along = max(sides, key=lambda side: float(side @ side)) / 2
            middle = corners.mean(axis=0)
            line = shapely.linestrings(np.stack([middle - along, middle + along]))
            parts = shapely.get_parts(line.intersection(hole.buffer(-SHORT_OF_MM)))
            for part in parts[shapely.length(parts) >= SHORTEST_MM]:
                yield shapely.get_coordinates(part)
