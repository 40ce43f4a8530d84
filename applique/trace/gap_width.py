"""How wide a gap in a line is, from ink to ink."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np

from applique.trace.gaps import WIDEST_GAP_MM, Bridge
from applique.trace.light import Light
from applique.trace.strokes import NARROWER_THAN_A_PEN, Strokes, disc

_STILL_CLOSED_MM = 0.6
"""Gaps wider than the widest by no more than this are closed too, and told: across a bend, or where
a hand trembles, ink ends further apart than the pen was lifted for."""

_SAMPLES_PER_PX = 8
_INTO_INK_PX = 4.0
"""So far into the ink on either side the light is looked at."""

_EDGE_WITHIN_PX = 2.5
_DIRT_PENS = 0.25
"""The edge of a tip lies no further than the first beyond its outermost inked pixel, and no further
than the second behind it, where a pale speck lies on the tip."""

_INK_QUANTILE = 0.75
_ROOM_PENS = 1.0

_ASIDE_PENS = 0.35
"""Ink further aside of the way across a gap than so many pens is a neighbour's line or a digit."""

_AS_NEAR_PX = 0.7
"""Pixels of a tip that are further away by no more than this are its middle taken together."""


def narrow_enough(
    bridges: Sequence[Bridge], light: Light, mask: np.ndarray, strokes: Strokes
) -> list[Bridge]:
    """The bridges over gaps that are narrow enough to be closed."""
    page_mm = strokes.mm_per_px / strokes.scale
    pen_px, widest_px = strokes.pen_mm / page_mm, (WIDEST_GAP_MM + _STILL_CLOSED_MM) / page_mm
    return [
        bridge
        for bridge in bridges
        if gap_width_px(bridge, light, mask, strokes.scale, pen_px) <= widest_px
    ]


def gap_width_px(
    bridge: Bridge, light: Light, mask: np.ndarray, scale: int, pen_px: float
) -> float:
    """How wide a bridged gap is, in the page's pixels: the shortest way between the ink's two ends,
    measured where the light is half that of bare paper and half that of the ends. Specks and hairs
    in the gap or at its ends don't count. `mask` is the page's ink."""
    start, stop = ((end.tip + 0.5) * scale for end in (bridge.start, bridge.stop))
    nearest = _nearest(start, stop, mask, pen_px)
    if nearest is None:
        return _bare(start, stop, light)
    return _between(*nearest, light, _DIRT_PENS * pen_px)


def _nearest(
    start: np.ndarray, stop: np.ndarray, mask: np.ndarray, pen_px: float
) -> tuple[np.ndarray, np.ndarray] | None:
    """The tips of the two ends, where they lie nearest to each other; None if the ends hang
    together nearby."""
    reach = np.hypot(*(stop - start)) / 2 + _ROOM_PENS * pen_px
    labels, low = parts_near((start + stop) / 2, reach, mask, pen_px)
    first, second = (_label_at(labels, end - low) for end in (start, stop))
    if first == second or 0 in (first, second):
        return None
    aside = _aside(labels.shape, start - low, stop - low) <= _ASIDE_PENS * pen_px
    within = np.where(aside, labels, 0)
    both = bool((within == first).any() and (within == second).any())
    return tips_of(within if both else labels, first, second, low)


def _aside(shape: tuple[int, ...], start: np.ndarray, stop: np.ndarray) -> np.ndarray:
    """How far each pixel of a window lies aside of the line through two places."""
    rows, columns = np.indices(shape) + 0.5
    way = (stop - start) / max(float(np.hypot(*(stop - start))), 1e-9)
    return np.abs((columns - start[0]) * way[1] - (rows - start[1]) * way[0])


def parts_near(
    middle: np.ndarray, reach: float, mask: np.ndarray, pen_px: float
) -> tuple[np.ndarray, np.ndarray]:
    """The parts into which the ink around a place falls, without hairs and specks, as labels, and
    where on the page their upper left corner is."""
    low = np.maximum(np.floor(middle - reach).astype(int), 0)
    high = np.ceil(middle + reach).astype(int)
    window = mask[low[1] : high[1], low[0] : high[0]]
    drawn = cv2.morphologyEx(window, cv2.MORPH_OPEN, disc(NARROWER_THAN_A_PEN * pen_px / 2))
    _, labels = cv2.connectedComponents(drawn, connectivity=8)
    return labels, low


def tips_of(
    labels: np.ndarray, first: int, second: int, low: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """The tips of two parts of the ink, where they lie nearest to each other: each the middle of
    the pixels there that hang together."""
    tips = []
    for own, other in ((first, second), (second, first)):
        away = cv2.distanceTransform((labels != other).astype(np.uint8), cv2.DIST_L2, 5)
        away[labels != own] = np.inf
        near = (away <= away.min() + _AS_NEAR_PX).astype(np.uint8)
        _, _, _, middles = cv2.connectedComponentsWithStats(near, connectivity=8)
        nearest = np.unravel_index(away.argmin(), away.shape)[::-1]
        apart = np.hypot(*(middles[1:] - nearest).T)
        tips.append(middles[1 + apart.argmin()] + low + 0.5)
    return tips[0], tips[1]


def _label_at(labels: np.ndarray, place: np.ndarray) -> int:
    """The label of the ink nearest to a place, 0 if there is none."""
    rows, columns = np.nonzero(labels)
    if len(rows) == 0:
        return 0
    nearest = np.argmin((columns - place[0]) ** 2 + (rows - place[1]) ** 2)
    return int(labels[rows[nearest], columns[nearest]])


def way_is_bare(start: np.ndarray, stop: np.ndarray, light: Light) -> bool:
    """Whether any of the way between two tips is bare."""
    onward = (stop - start) / float(np.hypot(*(stop - start)))
    return _bare(start - _INTO_INK_PX * onward, stop + _INTO_INK_PX * onward, light) > 0


def _between(start: np.ndarray, stop: np.ndarray, light: Light, dirt_px: float) -> float:
    """How far the edges of two tips lie apart, in pixels."""
    length = float(np.hypot(*(stop - start)))
    onward = (stop - start) / length
    furthest = min(_EDGE_WITHIN_PX, length / 2)
    inward = max(dirt_px, _EDGE_WITHIN_PX)
    beyond = (
        _edge_beyond(tip, way, inward, furthest, light)
        for tip, way in ((start, onward), (stop, -onward))
    )
    return max(0.0, length - sum(beyond))


def _edge_beyond(
    tip: np.ndarray, onward: np.ndarray, inward: float, furthest: float, light: Light
) -> float:
    """How far beyond the outermost inked pixel of a tip its edge lies, in pixels, from so far
    inward on."""
    steps = np.arange(-inward - _INTO_INK_PX, furthest + 1e-9, 1 / _SAMPLES_PER_PX)
    inked = light.inked(tip + steps[:, None] * onward)
    # Up to half of the way inward may be paler: a speck, or the side of a bent end.
    half = float(np.quantile(inked[steps <= 0], _INK_QUANTILE)) / 2
    leaving = np.flatnonzero((inked[:-1] >= half) & (inked[1:] < half))
    leaving = leaving[steps[leaving] >= -inward]
    if len(leaving) == 0:
        return min(0.5, furthest)
    last = int(leaving[-1])
    share = (inked[last] - half) / (inked[last] - inked[last + 1])
    return float(steps[last] + share / _SAMPLES_PER_PX)


def _bare(start: np.ndarray, stop: np.ndarray, light: Light) -> float:
    """How much of the straight way between two inked places is bare, in pixels."""
    length = float(np.hypot(*(stop - start)))
    steps = np.linspace(0, 1, max(20, int(length * _SAMPLES_PER_PX)))
    inked = light.inked(start + steps[:, None] * (stop - start))
    ends = max(2, len(inked) // 8)
    ink_level = float(np.median(np.concatenate([inked[:ends], inked[-ends:]])))
    return float((inked < ink_level / 2).mean()) * length
