"""Regions: what a drawn line closes off from the rest of the page.

The middle lines of all ink cut the page into regions. A region's border is then the middle of the
line drawn around it, whatever else touches that line from inside or outside; a digit that hangs on
the line does not cut anything off.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from applique.trace.gaps import Bridge
from applique.trace.pockets import with_pockets
from applique.trace.region import Region
from applique.trace.strokes import SMALLEST_DRAWN_MM, Strokes

NARROWEST_MM = 3.0
"""A closed line narrower than this inside is a stroke drawn there and back, or a digit."""

NARROWEST_NESTED_MM = 6.0
"""Inside another shape it must be wider: a nought is narrow."""

_WHOLE_PAGE = 0.7
"""A region of more than this share of the picture is the sheet itself."""


def find_regions(thin: np.ndarray, strokes: Strokes, joined: list[Bridge]) -> list[Region]:
    """The regions that may be templates, the largest first."""
    cut = thin.copy()
    pen_px = strokes.pen_mm / strokes.mm_per_px
    for bridge in joined:
        way = (bridge.start.place, bridge.start.tip, bridge.stop.tip, bridge.stop.place)
        cv2.polylines(cut, [np.array(way).astype(np.int32)], False, 1, 1, cv2.LINE_4)
    _, labels, boxes, _ = cv2.connectedComponentsWithStats(1 - cut, connectivity=4)
    closing = {bridge: _sides(labels, bridge) for bridge in joined}
    running_off = _strokes_at_border(strokes.ink)
    regions = []
    for label in _large_enough(labels, boxes, strokes):
        region = _region(labels, boxes, int(label), running_off, strokes)
        if region is not None:
            mine = [bridge for bridge in joined if region.label in closing[bridge]]
            regions.append(replace(region, bridges=tuple(mine)))
    regions.sort(key=lambda region: -float(region.mask.sum()))
    kept = _nested(regions, labels.shape, strokes)
    chosen = {region.label for region in kept}
    return [with_pockets(region, labels, chosen, pen_px) for region in kept]


def _sides(labels: np.ndarray, bridge: Bridge) -> frozenset[int]:
    """The regions on the two sides of a bridge's middle; none if it is the same on both."""
    middle = (bridge.start.tip + bridge.stop.tip) / 2
    column, row = (round(float(value)) for value in middle)
    near = labels[max(row - 2, 0) : row + 3, max(column - 2, 0) : column + 3]
    found = set(np.unique(near).tolist()) - {0}
    return frozenset(found) if len(found) > 1 else frozenset()


def _large_enough(labels: np.ndarray, boxes: np.ndarray, strokes: Strokes) -> np.ndarray:
    """Labels of the regions whose box could hold a template and that are not the open page."""
    width, height = boxes[:, cv2.CC_STAT_WIDTH], boxes[:, cv2.CC_STAT_HEIGHT]
    reach = np.hypot(width, height) * strokes.mm_per_px - strokes.pen_mm
    fits = (reach >= SMALLEST_DRAWN_MM) & (boxes[:, cv2.CC_STAT_AREA] < _WHOLE_PAGE * labels.size)
    fits[0] = False  # The lines themselves.
    edges = (labels[0], labels[-1], labels[:, 0], labels[:, -1])
    fits[np.unique(np.concatenate(edges))] = False
    return np.flatnonzero(fits)


def _strokes_at_border(ink: np.ndarray) -> np.ndarray:
    """A mask of the ink that runs off the picture, the paper's edge among it."""
    count, labels = cv2.connectedComponents(ink, connectivity=8)
    edges = np.unique(np.concatenate((labels[0], labels[-1], labels[:, 0], labels[:, -1])))
    touching = np.zeros(count, bool)
    touching[edges] = True
    touching[0] = False
    return touching[labels]


def _region(
    labels: np.ndarray, boxes: np.ndarray, label: int, running_off: np.ndarray, strokes: Strokes
) -> Region | None:
    """One region with its border, or None if it is too narrow for a template."""
    left, top, width, height = (int(value) for value in boxes[label, :4])
    # A region never reaches the picture's border, so there is room for a pixel all round.
    left, top = left - 1, top - 1
    window = (slice(top, top + height + 2), slice(left, left + width + 2))
    mask = (labels[window] == label).astype(np.uint8)
    # Lines that lead into the region and end there are part of it.
    roomy = cv2.copyMakeBorder(mask, 2, 2, 2, 2, cv2.BORDER_CONSTANT, value=0)
    mask = cv2.morphologyEx(roomy, cv2.MORPH_CLOSE, np.ones((3, 3), np.uint8))[2:-2, 2:-2]
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    contour = max(contours, key=cv2.contourArea)
    filled = np.zeros_like(mask)
    cv2.drawContours(filled, [contour], -1, 1, cv2.FILLED)
    _, sides, _ = cv2.minAreaRect(contour)
    size = (max(sides), min(sides))
    pen_px = strokes.pen_mm / strokes.mm_per_px
    if size[0] - pen_px < SMALLEST_DRAWN_MM / strokes.mm_per_px:
        return None
    if size[1] - pen_px < NARROWEST_MM / strokes.mm_per_px:
        return None
    band = cv2.dilate(filled, np.ones((3, 3), np.uint8)) - filled
    off = bool((running_off[window] & (band > 0)).any())
    return Region(label, filled, (left, top), contour[:, 0, :], size, None, (), off)


def _nested(regions: list[Region], shape: tuple[int, ...], strokes: Strokes) -> list[Region]:
    """The regions, each with the one around it; narrow ones inside another are digits and fall
    away. The largest come first."""
    owner = np.full(shape, -1, np.int32)
    kept = []
    for region in regions:
        left, top = region.corner
        height, width = region.mask.shape
        window = owner[top : top + height, left : left + width]
        own = region.mask > 0
        around = int(np.bincount(window[own] + 1).argmax()) - 1
        inside = around if around >= 0 else None
        narrow = (region.size_px[1] * strokes.mm_per_px - strokes.pen_mm) < NARROWEST_NESTED_MM
        if inside is not None and narrow:
            continue
        window[own] = region.label
        kept.append(replace(region, inside=inside))
    return kept
