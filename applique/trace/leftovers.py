"""Ink that belongs to no outline, so that nothing is lost silently."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
import shapely

from applique.geometry.centreline import strokes_of
from applique.trace.region import Region, innermost
from applique.trace.strokes import Strokes
from applique.trace.template import LeftKind, LeftOut, box_of
from applique.trace.whereabouts import PointMm

_LINE_PENS = 0.8
"""Ink within so many pens of the middle of a line is the line."""

_SPECK_MM = 2.0
"""What reaches no further than this is a speck."""

_DIGIT_MM = (3.0, 15.0)
"""Digits are between these high, and no wider than the second."""

_NUMBER_WIDE_MM = 30.0
_THIN_PENS = 0.4
"""Strokes thinner than this share of the pen are hairs or pencil."""

_STRIP_LONG_MM = 10.0
_STRIP_SLOPE = 0.08
_STRIP_FROM_BORDER_MM = 18.0
"""The shadow of the paper's side is this long at least, runs along the picture's border within four
and a half degrees, and lies within the third of it."""

_LEAST_PX = 3
"""Grains of the scanner are smaller than so many working pixels."""


def left_out(strokes: Strokes, regions: Sequence[Region]) -> tuple[LeftOut, ...]:
    """All ink of a page but that of the lines of its regions, from top to bottom."""
    lines = np.zeros(strokes.ink.shape, np.int32)
    owner = innermost(regions, strokes.ink.shape)
    reach = round(_LINE_PENS * strokes.pen_mm / strokes.mm_per_px)
    for number, region in enumerate(regions):
        contour = region.contour + np.array(region.corner)
        cv2.polylines(lines, [contour.astype(np.int32)], True, number + 1, 2 * reach)
    rest = strokes.all_ink * (lines == 0).astype(np.uint8)
    contours, _ = cv2.findContours(rest, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    borders = [c[:, 0, :] for c in contours if len(c) > _LEAST_PX]
    inside = [int(owner[tuple(np.round(b.mean(axis=0)).astype(int)[::-1])]) for b in borders]
    kinds = [_kind(border, rest.shape, strokes) for border in borders]
    _name_numbers(borders, inside, kinds, strokes)
    found = [
        _found(kind, border, within, lines, strokes.mm_per_px)
        for kind, border, within in zip(kinds, borders, inside, strict=True)
    ]
    return tuple(sorted(found, key=lambda item: (item.box[1], item.box[0])))


def _found(
    kind: LeftKind, border: np.ndarray, inside: int, lines: np.ndarray, mm_per_px: float
) -> LeftOut:
    touches = () if kind == "speck" else _touches(border, lines, mm_per_px)
    mm = _in_mm(border, mm_per_px)
    return LeftOut(kind, mm, box_of(mm), inside if inside >= 0 else None, touches)


def _touches(
    border: np.ndarray, lines: np.ndarray, mm_per_px: float
) -> tuple[tuple[int, PointMm], ...]:
    """Which lines a border lies against, and where."""
    places: dict[int, list[np.ndarray]] = {}
    height, width = lines.shape
    for step in ((0, 1), (1, 0), (0, -1), (-1, 0)):
        beside = np.clip(border + np.array(step), 0, (width - 1, height - 1))
        numbers = lines[beside[:, 1], beside[:, 0]]
        for number in np.unique(numbers[numbers > 0]).tolist():
            places.setdefault(number - 1, []).append(border[numbers == number])
    touches = []
    for number, found in sorted(places.items()):
        x, y = (np.concatenate(found).mean(axis=0) + 0.5) * mm_per_px
        touches.append((number, (float(x), float(y))))
    return tuple(touches)


def _in_mm(border: np.ndarray, mm_per_px: float) -> np.ndarray:
    """A border in mm, without needless points; a dot gets a width."""
    simple = cv2.approxPolyDP(border.reshape(-1, 1, 2).astype(np.int32), 0.7, True)[:, 0, :]
    if len(simple) < 3:
        (left, top), (right, bottom) = border.min(axis=0), border.max(axis=0) + 1
        simple = np.array([[left, top], [right, top], [right, bottom], [left, bottom]]) - 0.5
    return (simple + 0.5) * mm_per_px


def _kind(border: np.ndarray, shape: tuple[int, ...], strokes: Strokes) -> LeftKind:
    (left, top), (right, bottom) = border.min(axis=0), border.max(axis=0)
    if min(left, top) == 0 or right == shape[1] - 1 or bottom == shape[0] - 1:
        return "page edge"
    if max(right - left, bottom - top) * strokes.mm_per_px < _SPECK_MM:
        return "speck"
    return "page edge" if is_paper_edge(border, shape, strokes) else "mark"


def is_paper_edge(pixels: np.ndarray, shape: tuple[int, ...], strokes: Strokes) -> bool:
    """Whether ink, (n, 2) columns and rows, is the shadow along a side of the paper: a straight
    strip near the picture's border and along it."""
    low, high = pixels.min(axis=0) * strokes.mm_per_px, pixels.max(axis=0) * strokes.mm_per_px
    size = np.array([shape[1], shape[0]]) * strokes.mm_per_px
    long, short = max(high - low), min(high - low)
    if long < _STRIP_LONG_MM or short > _STRIP_SLOPE * long + strokes.pen_mm:
        return False
    axis = int(np.argmin(high - low))
    return bool(
        high[axis] < _STRIP_FROM_BORDER_MM or low[axis] > size[axis] - _STRIP_FROM_BORDER_MM
    )


def _name_numbers(
    borders: Sequence[np.ndarray], inside: Sequence[int], kinds: list[LeftKind], strokes: Strokes
) -> None:
    """Call those marks numbers that look like one: of the size of digits, drawn with a pen and, in
    a shape, standing in one row. Beside the shapes any such mark is one."""
    by_region: dict[int, list[int]] = {}
    for k, border in enumerate(borders):
        if kinds[k] == "mark" and _like_a_digit(border, strokes):
            by_region.setdefault(inside[k], []).append(k)
    for region, digits in by_region.items():
        if region < 0 or _in_one_row([borders[k] for k in digits], strokes.mm_per_px):
            for k in digits:
                kinds[k] = "number"


def _like_a_digit(border: np.ndarray, strokes: Strokes) -> bool:
    width, height = (border.max(axis=0) - border.min(axis=0) + 1) * strokes.mm_per_px
    if not _DIGIT_MM[0] <= max(width, height) <= _DIGIT_MM[1]:
        return False
    line = border.astype(np.int32)
    thickness = 2 * cv2.contourArea(line) / max(cv2.arcLength(line, True), 1)
    return bool(thickness * strokes.mm_per_px > _THIN_PENS * strokes.pen_mm)


def _in_one_row(borders: Sequence[np.ndarray], mm_per_px: float) -> bool:
    low = np.min([border.min(axis=0) for border in borders], axis=0)
    high = np.max([border.max(axis=0) for border in borders], axis=0)
    width, height = (high - low) * mm_per_px
    return bool(width <= _NUMBER_WIDE_MM and height <= _DIGIT_MM[1])


def mark_lines(left: LeftOut) -> tuple[np.ndarray, ...]:
    """The middle lines of a mark's strokes, (n, 2) arrays of mm."""
    shape = shapely.make_valid(shapely.Polygon(left.border))
    return tuple(
        np.vstack([stroke.points, stroke.points[:1]]) if stroke.closed else stroke.points
        for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon" and part.area > 0
        for stroke in strokes_of(part)
    )
