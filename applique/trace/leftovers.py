"""Ink that belongs to no outline, so that nothing is lost silently."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np

from applique.trace.region import Region
from applique.trace.strokes import Strokes
from applique.trace.template import LeftKind, LeftOut, box_of

_LINE_PENS = 0.8
"""Ink within so many pens of the middle of a line is the line."""

_SPECK_MM = 2.0
"""What reaches no further than this is a speck."""

_DIGIT_MM = (3.0, 15.0)
"""Digits are between these high, and no wider than the second."""

_NUMBER_WIDE_MM = 30.0
_THIN_PENS = 0.4
"""Strokes thinner than this share of the pen are hairs or pencil."""

_LEAST_PX = 3
"""Grains of the scanner are smaller than so many working pixels."""


def left_out(strokes: Strokes, regions: Sequence[Region]) -> tuple[LeftOut, ...]:
    """All ink of a page but that of its outlines, from top to bottom."""
    rest = strokes.all_ink.copy()
    owner = np.full(rest.shape, -1, np.int32)
    reach = round(_LINE_PENS * strokes.pen_mm / strokes.mm_per_px)
    for number, region in enumerate(regions):
        contour = region.contour + np.array(region.corner)
        cv2.polylines(rest, [contour.astype(np.int32)], True, 0, 2 * reach)
        left, top = region.corner
        height, width = region.mask.shape
        owner[top : top + height, left : left + width][region.mask > 0] = number
    contours, _ = cv2.findContours(rest, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    borders = [c[:, 0, :] for c in contours if len(c) > _LEAST_PX]
    owners = [int(owner[tuple(np.round(b.mean(axis=0)).astype(int)[::-1])]) for b in borders]
    kinds = [_kind(border, owner, rest.shape, strokes) for border, owner in zip(borders, owners, strict=True)]
    kinds = _with_numbers(borders, owners, kinds, len(regions), strokes)
    found = [
        LeftOut(kind, mm, box_of(mm))
        for kind, mm in zip(kinds, (_in_mm(border, strokes) for border in borders), strict=True)
    ]
    return tuple(sorted(found, key=lambda item: (item.box[1], item.box[0])))


def _in_mm(border: np.ndarray, strokes: Strokes) -> np.ndarray:
    """A border in mm, without needless points; a dot gets a width."""
    simple = cv2.approxPolyDP(border.reshape(-1, 1, 2).astype(np.int32), 0.7, True)[:, 0, :]
    if len(simple) < 3:
        low, high = border.min(axis=0), border.max(axis=0) + 1
        simple = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
        return simple * strokes.mm_per_px
    return (simple + 0.5) * strokes.mm_per_px


def _kind(
    border: np.ndarray, owner: int, shape: tuple[int, ...], strokes: Strokes
) -> LeftKind:
    low, high = border.min(axis=0), border.max(axis=0)
    if low.min() == 0 or high[0] == shape[1] - 1 or high[1] == shape[0] - 1:
        return "page edge"
    return "speck" if (high - low).max() * strokes.mm_per_px < _SPECK_MM else "mark"


def _with_numbers(
    borders: list[np.ndarray],
    owners: list[int],
    kinds: list[LeftKind],
    count: int,
    strokes: Strokes,
) -> list[LeftKind]:
    """The kinds, with those marks called numbers that look like one inside their shape: of the
    size of digits, drawn with a pen, and standing in one row."""
    told = list(kinds)
    for number in range(count):
        digits = [
            k
            for k, border in enumerate(borders)
            if owners[k] == number and kinds[k] == "mark" and _like_a_digit(border, strokes)
        ]
        if digits and _in_one_row([borders[k] for k in digits], strokes):
            for k in digits:
                told[k] = "number"
    for k, border in enumerate(borders):
        if owners[k] < 0 and kinds[k] == "mark" and _like_a_digit(border, strokes):
            told[k] = "number"
    return told


def _like_a_digit(border: np.ndarray, strokes: Strokes) -> bool:
    width, height = (border.max(axis=0) - border.min(axis=0) + 1) * strokes.mm_per_px
    if not (_DIGIT_MM[0] <= max(width, height) <= _DIGIT_MM[1]):
        return False
    area, around = cv2.contourArea(border.astype(np.int32)), cv2.arcLength(border.astype(np.int32), True)
    return 2 * area / max(around, 1) * strokes.mm_per_px > _THIN_PENS * strokes.pen_mm


def _in_one_row(borders: list[np.ndarray], strokes: Strokes) -> bool:
    low = np.min([b.min(axis=0) for b in borders], axis=0)
    high = np.max([b.max(axis=0) for b in borders], axis=0)
    width, height = (high - low) * strokes.mm_per_px
    return bool(width <= _NUMBER_WIDE_MM and height <= _DIGIT_MM[1])
