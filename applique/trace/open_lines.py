"""Drawn lines that close nothing off."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np

from applique.trace.gaps import DIGIT_MM, End
from applique.trace.leftovers import is_paper_edge
from applique.trace.region import Region, innermost
from applique.trace.strokes import SMALLEST_DRAWN_MM, Strokes
from applique.trace.template import OpenLine, point_of

_LARGE_MM = 2 * SMALLEST_DRAWN_MM
"""A line that reaches no further was hardly meant for a template's."""


def ends_of_open_lines(
    ends: Sequence[End], regions: Sequence[Region], strokes: Strokes
) -> list[End]:
    """The loose ends of every stroke as large as a template's that is part of no region's line and
    lies in none."""
    return [end for own in _open_ends(ends, regions, strokes) for end in own]


def _open_ends(
    ends: Sequence[End], regions: Sequence[Region], strokes: Strokes
) -> list[tuple[End, ...]]:
    """The loose ends of open lines, a tuple a stroke."""
    _, stroke_of, boxes, _ = cv2.connectedComponentsWithStats(strokes.ink, connectivity=8)
    taken = _strokes_of(regions, stroke_of)
    by_stroke: dict[int, list[End]] = {}
    for end in ends:
        if end.stroke not in taken:
            by_stroke.setdefault(end.stroke, []).append(end)
    return [
        tuple(own)
        for stroke, own in sorted(by_stroke.items())
        if _may_be_a_template(boxes[stroke], stroke_of, stroke, strokes)
    ]


def long_ends_outside(
    ends: Sequence[End], regions: Sequence[Region], strokes: Strokes
) -> list[End]:
    """The loose ends that lie in no region, of lines longer than a digit's: a neighbour's line or a
    digit may touch them on their way."""
    owner = innermost(regions, strokes.ink.shape)
    longest_px = DIGIT_MM / strokes.mm_per_px
    outside = (owner[tuple(end.place.astype(int)[::-1])] < 0 for end in ends)
    return [end for end, out in zip(ends, outside, strict=True) if out and end.line_px > longest_px]


def open_lines(
    ends: Sequence[End], regions: Sequence[Region], strokes: Strokes
) -> tuple[OpenLine, ...]:
    """The lines that close nothing, each by two of its loose ends."""
    opened = []
    for own in _open_ends(ends, regions, strokes):
        if len(own) >= 2:
            start, stop = ((end.tip + 0.5) * strokes.mm_per_px for end in own[:2])
            opened.append(OpenLine(point_of(start), point_of(stop)))
    return tuple(opened)


def _strokes_of(regions: Sequence[Region], stroke_of: np.ndarray) -> set[int]:
    """The strokes that the regions' lines and what lies in the regions are part of."""
    taken: set[int] = set()
    for region in regions:
        near = cv2.dilate(region.mask, np.ones((3, 3), np.uint8)) > 0
        left, top = region.corner
        height, width = near.shape
        window = stroke_of[top : top + height, left : left + width]
        taken.update(np.unique(window[near]).tolist())
    return taken


def _may_be_a_template(
    box: np.ndarray, stroke_of: np.ndarray, stroke: int, strokes: Strokes
) -> bool:
    left, top, across, down = (int(value) for value in box[:4])
    height, width = stroke_of.shape
    at_border = left == 0 or top == 0 or left + across == width or top + down == height
    if at_border or max(across, down) * strokes.mm_per_px <= _LARGE_MM:
        return False
    rows, columns = np.nonzero(stroke_of[top : top + down, left : left + across] == stroke)
    pixels = np.stack([columns + left, rows + top], axis=1)
    return not is_paper_edge(pixels, stroke_of.shape, strokes)
