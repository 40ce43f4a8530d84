"""A spot: parallel satin bars across the narrow way of a shape too small for fabric.

The turning is one in which every bar crosses the shape once and the longest bar is shortest. Along
the long way a short run lies beneath; the satin begins where it ends.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely import Polygon

from applique.geometry.walk import step_lengths, turned_left
from applique.geometry.width import widest_mm
from applique.settings import Settings
from applique.stitches.line import SewnLine, without_short
from applique.stitches.running import running
from applique.stitches.satin import LONGEST_SATIN_MM, split_long

FAN_DEGREES = 10.0
"""Turnings that are tried beside the shape's own axes lie this far apart."""

SHORTER_BY = 0.95
"""Another turning than along the shape's own axes must make the longest bar shorter by this share:
the axes turn with the shape, while the best of a fan may jump."""

ROUND_WITHIN = 0.02
"""Where both ways through a shape are alike to this share, it has no long way of its own."""

STROKE_LIKE = 2.0
"""A shape with a bar longer than so many times its width consists of strokes; of a triangle of
equal sides the longest bar is 1.5 times as long."""

SHORTEST_BAR_MM = 0.5
"""Bars at the tips that come out shorter are left out: the lower bound of a satin stitch."""

FIRST_BAR_MM = 0.1
"""The first bar stands this far inside a tip: half of the way from one pass to the next."""

GAP_MM = 0.3
"""At a dent in a tip a bar may leave the shape for so little: less than two threads."""

UNDERLAY_INSET_MM = 0.5
UNDERLAY_MM = 2.0
"""The run beneath stays so far from the tips, and has stitches of so much (docs/sources.md)."""

SHORTEST_UNDERLAY_MM = 1.5
"""A spot whose run beneath would be shorter has none."""

_FEW = 5
_TIE_BARS = 40


def spot(shape: Polygon, settings: Settings) -> SewnLine | None:
    """The bars of a spot with the run beneath them; None where no turning has single bars, or
    nothing is long enough for a stitch."""
    apart = settings.detail_spacing_mm / 2
    way, _ = long_way(shape, apart)
    bars = None if way is None else _bars(shape, way, apart)
    if way is None or bars is None:
        return None
    across = turned_left(way)
    bars = bars + np.array([[-1.0], [1.0]]) * across * settings.pull_compensation_mm
    lengths = np.hypot(*(bars[:, 1] - bars[:, 0]).T)
    bars = bars[lengths >= SHORTEST_BAR_MM]
    if len(bars) < 2:
        return None
    return _sewn(bars)


def is_stroke_like(shape: Polygon, settings: Settings) -> bool:
    """Whether the bars of a spot would lie along its strokes, as in a letter L, or be too long; or
    no turning has single bars."""
    _, longest = long_way(shape, settings.detail_spacing_mm / 2)
    return longest > min(LONGEST_SATIN_MM, STROKE_LIKE * widest_mm(shape))


def long_way(shape: Polygon, apart_mm: float) -> tuple[np.ndarray | None, float]:
    """The unit vector (2,) along which the bars of a spot follow each other `apart_mm`, and the
    longest bar in mm; None and infinity if in every turning some bar would leave the shape and
    enter it again."""
    best, shortest = None, math.inf
    # No turning can do without a bar as long as the widest circle in the shape.
    enough = widest_mm(shape) / SHORTER_BY
    # Round a hole every bar would leave the shape.
    for way in [] if shape.interiors else _turnings(shape):
        if shortest <= enough:
            break
        # Most turnings that won't do show so with a few bars already.
        few = _bars(shape, way, _FEW * apart_mm)
        bars = None if few is None else _bars(shape, way, apart_mm)
        if bars is None:
            continue
        longest = float(np.hypot(*(bars[:, 1] - bars[:, 0]).T).max())
        if longest < SHORTER_BY * shortest:
            best, shortest = way, longest
    return best, shortest


def _turnings(shape: Polygon) -> list[np.ndarray]:
    """Unit vectors to try, the shape's own axis first: all turn with the shape."""
    own = _axis(shape)
    angles = [own + math.radians(k * FAN_DEGREES) for k in range(int(180 / FAN_DEGREES))]
    sides = shapely.get_coordinates(shape.minimum_rotated_rectangle)[:3]
    ways = [np.array([math.cos(angle), math.sin(angle)]) for angle in angles]
    along = [side / np.hypot(*side) for side in np.diff(sides, axis=0) if side.any()]
    return [ways[0], *along, *ways[1:]]


def _axis(shape: Polygon) -> float:
    """The angle of the long axis of a shape, from the second moments of its area; that of the
    longer side of its narrowest box where the moments tell no difference."""
    ring = shapely.get_coordinates(shape.exterior) - shapely.get_coordinates(shape.centroid)
    x, y = ring[:-1].T
    x1, y1 = ring[1:].T
    cross = x * y1 - x1 * y
    xx = float(((x * x + x * x1 + x1 * x1) * cross).sum()) / 12
    yy = float(((y * y + y * y1 + y1 * y1) * cross).sum()) / 12
    xy = float(((x * y1 + 2 * x * y + 2 * x1 * y1 + x1 * y) * cross).sum()) / 24
    if xx + yy < 0:
        xx, yy, xy = -xx, -yy, -xy
    if math.hypot(xx - yy, 2 * xy) > ROUND_WITHIN * (xx + yy):
        return 0.5 * math.atan2(2 * xy, xx - yy)
    sides = np.diff(shapely.get_coordinates(shape.minimum_rotated_rectangle)[:3], axis=0)
    longer = sides[int(np.argmax(np.hypot(*sides.T)))]
    return math.atan2(longer[1], longer[0])


def _bars(shape: Polygon, way: np.ndarray, apart_mm: float) -> np.ndarray | None:
    """Bars across a shape, (n, 2, 2) mm, from one side to the other, at most `apart_mm` apart along
    `way`; None if one of them crosses the shape more than once."""
    across = turned_left(way)
    ring = shapely.get_coordinates(shape)
    along = ring @ way
    low, high = float(along.min()) + FIRST_BAR_MM, float(along.max()) - FIRST_BAR_MM
    if high <= low:
        return None
    reach = np.array([float((ring @ across).min()) - 1.0, float((ring @ across).max()) + 1.0])
    count = max(math.ceil((high - low) / apart_mm - 1e-6), 1)
    places = low + (high - low) * np.arange(count + 1) / count
    ends = places[:, None, None] * way + reach[None, :, None] * across
    chords = shapely.intersection(shapely.linestrings(ends), shape)
    if shapely.is_empty(chords).any():
        return None
    points, owners = shapely.get_coordinates(chords, return_index=True)
    starts = np.searchsorted(owners, np.arange(len(chords)))
    heights = points @ across
    first, last = np.minimum.reduceat(heights, starts), np.maximum.reduceat(heights, starts)
    if (last - first - shapely.length(chords)).max() > GAP_MM:
        return None
    return places[:, None, None] * way + np.stack([first, last], axis=1)[..., None] * across


def _sewn(bars: np.ndarray) -> SewnLine:
    """Bars sewn to and fro, with the run beneath them from the last bar back to the first."""
    count = len(bars)
    points = bars[np.arange(count), np.arange(count) % 2]
    points = split_long(without_short(points, SHORTEST_BAR_MM))
    middles = bars.mean(axis=1)
    beneath = _underlay(middles)
    start_line = np.vstack([points[:1], middles[1:]])
    if beneath is not None:
        start_line = beneath
        points = without_short(np.vstack([beneath, points]), SHORTEST_BAR_MM)
    end_line = np.vstack([points[-1:], middles[-2 : -_TIE_BARS - 1 : -1]])
    return SewnLine(points, start_line, end_line)


def _underlay(middles: np.ndarray) -> np.ndarray | None:
    """A run along the middles of the bars, from the last to the first, clear of both tips."""
    way = np.concatenate([[0.0], np.cumsum(step_lengths(middles))])
    inner = (way >= UNDERLAY_INSET_MM) & (way <= way[-1] - UNDERLAY_INSET_MM)
    if not inner.any() or np.ptp(way[inner]) < SHORTEST_UNDERLAY_MM:
        return None
    return running(middles[inner][::-1], False, UNDERLAY_MM)
