"""Ink at a working scale: strokes of a pen, without hairs, specks and pinholes.

What belongs to what on a page can be told on a picture of some six pixels a millimetre; only the
edges of lines need every pixel there is.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

WORKING_MM = 1 / 6
"""About the size of a pixel at the working scale: the thinnest pen still has three across."""

SMALLEST_DRAWN_MM = 8.0
"""A shape that reaches this far may be a template; what is smaller is a digit or a mark."""

NARROWER_THAN_A_PEN = 0.5
"""Strokes narrower than this share of the page's pen are hairs, dirt or ruled lines."""

_PINHOLE_PENS = 0.6
"""A bare place in the ink no larger than this many pen widths across is where the ink skipped."""

_USUAL_PEN_MM = 1.0
"""Taken where there is no stroke to measure."""


@dataclass(frozen=True, eq=False)
class Strokes:
    """The strokes of a page. `ink` is a mask (h, w) of 0 and 1 at `mm_per_px`, `scale` of the
    page's pixels to one of it; `all_ink` has the hairs and specks as well. `pen_mm` is the width
    of the pen that drew most of it."""

    ink: np.ndarray
    all_ink: np.ndarray
    scale: int
    mm_per_px: float
    pen_mm: float


def find_strokes(mask: np.ndarray, mm_per_px: float) -> Strokes:
    """The strokes in a page's ink mask of 0 and 1."""
    scale = max(1, round(WORKING_MM / mm_per_px))
    small = shrunk(mask, scale)
    working_mm = mm_per_px * scale
    pen_mm = pen_width(small, working_mm)
    filled = _without_pinholes(small, _PINHOLE_PENS * pen_mm / working_mm)
    strokes = cv2.morphologyEx(
        filled, cv2.MORPH_OPEN, disc(NARROWER_THAN_A_PEN * pen_mm / 2 / working_mm)
    )
    return Strokes(strokes, small, scale, working_mm, pen_mm)


def shrunk(mask: np.ndarray, scale: int) -> np.ndarray:
    """A mask at a fraction of its scale: inked where more than half of the pixels are."""
    if scale == 1:
        return mask
    height, width = (side // scale for side in mask.shape)
    whole = mask[: height * scale, : width * scale] * np.uint8(255)
    share = cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA)
    return cv2.threshold(share, 127, 1, cv2.THRESH_BINARY)[1]


def disc(radius_px: float) -> np.ndarray:
    """A round brush for opening and closing masks."""
    reach = int(radius_px)
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1]
    return (x * x + y * y <= radius_px * radius_px).astype(np.uint8)


def pen_width(ink: np.ndarray, mm_per_px: float) -> float:
    """The width of the lines of a mask in mm: twice the area by the perimeter, for each stroke long
    enough to be part of a template, the middle one by length."""
    contours, tree = cv2.findContours(ink, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    if tree is None:
        return _USUAL_PEN_MM
    areas = np.array([cv2.contourArea(contour) for contour in contours])
    around = np.array([cv2.arcLength(contour, True) for contour in contours])
    parents = tree[0][:, 3]
    strokes = np.flatnonzero(parents < 0)
    # The line of a hole runs on ink, half a pixel from its edge, as does that of a stroke.
    ink_area = np.where(parents < 0, areas + around / 2, around / 2 - areas)
    owner = np.where(parents < 0, np.arange(len(contours)), parents)
    area = np.bincount(owner, ink_area, len(contours))[strokes]
    length = np.bincount(owner, around, len(contours))[strokes] / 2
    long = length * mm_per_px > SMALLEST_DRAWN_MM * 2
    if not long.any():
        return _USUAL_PEN_MM
    width, length = area[long] / length[long] * mm_per_px, length[long]
    order = np.argsort(width)
    middle = np.searchsorted(np.cumsum(length[order]), length.sum() / 2)
    return float(width[order][middle])


def _without_pinholes(ink: np.ndarray, largest_px: float) -> np.ndarray:
    """The mask with bare places filled that are no larger than so many pixels each way."""
    count, labels, boxes, _ = cv2.connectedComponentsWithStats(1 - ink, connectivity=4)
    small = np.maximum(boxes[:, cv2.CC_STAT_WIDTH], boxes[:, cv2.CC_STAT_HEIGHT]) <= largest_px
    small[0] = False  # The label of the ink itself.
    return (ink | small[labels]).astype(np.uint8) if count > 1 else ink
