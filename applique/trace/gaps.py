"""Gaps in a drawn line: its loose ends, and which two of them belong together."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import shapely

from applique.trace.strokes import Strokes
from applique.trace.thinning import LINES_AWAY, NEIGHBOUR_COUNT, neighbour_codes

WIDEST_GAP_MM = 3.0
"""Gaps up to this are closed."""

_MEASURED_LARGER_MM = 0.6
"""By as much a gap may look wider at the working scale than it is; it is measured closely later."""

_ENDS_STOP_SHORT_PENS = 3.0
"""Two middle lines end this many pens further apart, at most, than the ink does."""

_EATEN_PENS = 4.0
"""Thinning eats no more than this from the end of a middle line."""

_SPUR_PENS = 0.75
"""Side branches of a middle line shorter than this many pens lead into a corner of the ink."""

_LOOK_BACK_PENS = 1.5
"""How far back from its end a line's direction is taken, in pens, and no less than a pen."""

_MOST_BACKWARD = -0.2
"""Two ends are not joined by a line that leaves both of them, taken together, more backward than
this (the sum of two cosines): at a sharp tip one end may have to turn right round."""

_MOST_ENDS = 400
"""A page with more loose ends than this is noise, cloth or a picture."""

DIGIT_MM = 12.0
"""Strokes that reach no further than this may be digits; their ends are no ends of an outline."""


@dataclass(frozen=True, eq=False)
class End:
    """A loose end: where the middle line stops (x, y in working pixels), the direction in which
    it points, and the stroke it belongs to. `tip` is where the middle of the pen stopped, further
    on: thinning eats away the ends of middle lines, most of all at a slant. `line_px` is how long
    the line is up to where another meets it, in working pixels."""

    place: np.ndarray
    direction: np.ndarray
    stroke: int
    tip: np.ndarray
    line_px: int


@dataclass(frozen=True, eq=False)
class Bridge:
    """Two loose ends that are joined, both in working pixels."""

    start: End
    stop: End


def without_spurs(thin: np.ndarray, longest_px: float) -> np.ndarray:
    """Middle lines without side branches up to this long."""
    count = _neighbours(thin)
    junctions = cv2.dilate((count > 2).astype(np.uint8), np.ones((3, 3), np.uint8)) & thin
    branches = thin - junctions
    number, labels, boxes, _ = cv2.connectedComponentsWithStats(branches, connectivity=8)
    has_end = np.zeros(number, bool)
    has_end[labels[(count == 1) & (branches > 0)]] = True
    near_junction = cv2.dilate(junctions, np.ones((3, 3), np.uint8)) & branches
    side = np.zeros(number, bool)
    side[labels[near_junction > 0]] = True
    short = has_end & side & (boxes[:, cv2.CC_STAT_AREA] <= longest_px)
    short[0] = False
    return thin * (1 - short[labels]).astype(np.uint8)


def loose_ends(thin: np.ndarray, strokes: Strokes) -> list[End]:
    """The ends of lines long enough to be part of an outline, from top to bottom."""
    pen_px = strokes.pen_mm / strokes.mm_per_px
    clean = without_spurs(thin, _SPUR_PENS * pen_px)
    _, stroke_of, boxes, _ = cv2.connectedComponentsWithStats(strokes.ink, connectivity=8)
    reach = np.maximum(boxes[:, cv2.CC_STAT_WIDTH], boxes[:, cv2.CC_STAT_HEIGHT])
    lengths = _lengths(clean)
    rows, columns = np.nonzero((_neighbours(clean) == 1) & (clean > 0))
    ends = []
    for row, column in zip(rows, columns, strict=True):
        stroke = int(stroke_of[row, column])
        if reach[stroke] * strokes.mm_per_px <= DIGIT_MM:
            continue
        place = np.array([column, row], float)
        direction = _direction(clean, place, _LOOK_BACK_PENS * pen_px, pen_px)
        tip = _tip(place, direction, strokes.ink, pen_px)
        ends.append(End(place, direction, stroke, tip, int(lengths[row, column])))
    return ends


def _lengths(thin: np.ndarray) -> np.ndarray:
    """At every pixel of a middle line how many pixels it has between its ends and junctions."""
    # A step in a slanting line also has three neighbours, but two of them hang together.
    meeting = (cv2.LUT(neighbour_codes(thin), LINES_AWAY) > 2).astype(np.uint8)
    junctions = cv2.dilate(meeting, np.ones((3, 3), np.uint8)) & thin
    _, labels, boxes, _ = cv2.connectedComponentsWithStats(thin - junctions, connectivity=8)
    pixels = boxes[:, cv2.CC_STAT_AREA]
    pixels[0] = 0
    return pixels[labels]


def _tip(place: np.ndarray, direction: np.ndarray, ink: np.ndarray, pen_px: float) -> np.ndarray:
    """Half a pen before the ink ends ahead of a middle line's end."""
    way = np.arange(0, _EATEN_PENS * pen_px, 0.5)
    inked = _inked(place + way[:, None] * direction, ink)
    ahead = len(inked) if inked.all() else int(np.argmin(inked))
    return place + max(0.0, 0.5 * ahead - pen_px / 2) * direction


def _neighbours(thin: np.ndarray) -> np.ndarray:
    return cv2.LUT(neighbour_codes(thin), NEIGHBOUR_COUNT) * thin


def _direction(thin: np.ndarray, place: np.ndarray, far_px: float, near_px: float) -> np.ndarray:
    """Where a line points at its end: away from its part further back."""
    reach = int(far_px) + 2
    column, row = place.astype(int)
    top, left = max(row - reach, 0), max(column - reach, 0)
    window = thin[top : row + reach + 1, left : column + reach + 1]
    _, labels = cv2.connectedComponents(window, connectivity=8)
    rows, columns = np.nonzero(labels == labels[row - top, column - left])
    back = place - np.stack([columns + left, rows + top], axis=1)
    distance = np.hypot(back[:, 0], back[:, 1])
    ring = back[(distance >= near_px) & (distance <= far_px)]
    away = ring.mean(axis=0) if len(ring) else back.mean(axis=0)
    length = np.hypot(*away)
    return away / length if length else np.array([1.0, 0.0])


def bridges(ends: list[End], strokes: Strokes) -> list[Bridge]:
    """Which ends to join, each at most once: the nearest and straightest pairs first."""
    if not 2 <= len(ends) <= _MOST_ENDS:
        return []
    widest_px = (WIDEST_GAP_MM + _MEASURED_LARGER_MM) / strokes.mm_per_px
    apart_px = widest_px + _ENDS_STOP_SHORT_PENS * strokes.pen_mm / strokes.mm_per_px
    places = shapely.points(np.array([end.tip for end in ends]))
    pairs = shapely.STRtree(places).query(places, predicate="dwithin", distance=apart_px).T
    scored = []
    for first, second in pairs[pairs[:, 0] < pairs[:, 1]]:
        start, stop = ends[first], ends[second]
        cost = _cost(start, stop)
        if cost is not None and 0 < _bare_length(start.tip, stop.tip, strokes.ink) <= widest_px:
            scored.append((cost, int(first), int(second)))
    taken: set[int] = set()
    joined = []
    for _, first, second in sorted(scored):
        if taken.isdisjoint((first, second)):
            taken.update((first, second))
            joined.append(Bridge(ends[first], ends[second]))
    return joined


def _cost(start: End, stop: End) -> float | None:
    """How unlikely it is that a line went on from one end to the other; None if it can't have."""
    way = stop.tip - start.tip
    length = float(np.hypot(*way))
    if length == 0:
        return 0.0
    onward, backward = start.direction @ way / length, -(stop.direction @ way) / length
    if onward + backward < _MOST_BACKWARD:
        return None
    return length * (2 - (onward + backward) / 2)


def _bare_length(start: np.ndarray, stop: np.ndarray, ink: np.ndarray) -> float:
    """How much of the straight way between two places lies on bare paper, in pixels."""
    length = float(np.hypot(*(stop - start)))
    steps = np.linspace(0, 1, max(2, int(4 * length)))[:, None]
    columns, rows = np.rint(start + steps * (stop - start)).astype(int).T
    return float((ink[rows, columns] == 0).mean()) * length


def bridges_ahead(
    ends: list[End], joined: list[Bridge], thin: np.ndarray, strokes: Strokes
) -> list[Bridge]:
    """Bridges from ends that found no partner, straight on to the middle line of the ink ahead of
    them: at the other side of the gap a digit may hide the line's end."""
    paired = {id(end) for bridge in joined for end in (bridge.start, bridge.stop)}
    found = []
    for end in ends:
        ahead = None if id(end) in paired else _ink_ahead(end, strokes)
        place = None if ahead is None else _middle_near(ahead, thin, strokes)
        if place is not None:
            found.append(Bridge(end, End(place, -end.direction, end.stroke, place, 0)))
    return found


def _middle_near(place: np.ndarray, thin: np.ndarray, strokes: Strokes) -> np.ndarray | None:
    """The point of a middle line nearest to a place in the ink, if one is within a pen."""
    reach = int(strokes.pen_mm / strokes.mm_per_px) + 1
    column, row = np.rint(place).astype(int)
    top, left = max(row - reach, 0), max(column - reach, 0)
    rows, columns = np.nonzero(thin[top : row + reach + 1, left : column + reach + 1])
    if len(rows) == 0:
        return None
    points = np.stack([columns + left, rows + top], axis=1).astype(float)
    return points[np.argmin(np.hypot(*(points - place).T))]


def _ink_ahead(end: End, strokes: Strokes) -> np.ndarray | None:
    """The first ink beyond the gap that an end points at, half a pen in; None if there is none
    within the widest gap. A line may have gone on a little to either side."""
    for degrees in _ASIDE_DEGREES:
        angle = np.radians(degrees)
        turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        place = _ink_along(end.tip, turn @ end.direction, strokes)
        if place is not None:
            return place
    return None


_ASIDE_DEGREES = (0, 10, -10, 20, -20)
"""A trembling hand's line bends by so much across the widest gap."""


def _ink_along(start: np.ndarray, direction: np.ndarray, strokes: Strokes) -> np.ndarray | None:
    pen_px = strokes.pen_mm / strokes.mm_per_px
    widest_px = (WIDEST_GAP_MM + _MEASURED_LARGER_MM) / strokes.mm_per_px
    way = np.arange(0, widest_px + pen_px, 0.5)
    inked = _inked(start + way[:, None] * direction, strokes.ink)
    bare = np.flatnonzero(~inked)
    again = np.flatnonzero(inked[bare[0] :]) if len(bare) else bare
    if len(again) == 0:
        return None
    return start + (way[bare[0] + again[0]] + pen_px / 2) * direction


def _inked(places: np.ndarray, ink: np.ndarray) -> np.ndarray:
    """Whether there is ink at places (n, 2), (n,) bool; beyond the picture there is none."""
    columns, rows = np.rint(places).astype(int).T
    height, width = ink.shape
    inked = (rows >= 0) & (rows < height) & (columns >= 0) & (columns < width)
    inked[inked] = ink[rows[inked], columns[inked]] > 0
    return inked
