"""Pockets: small regions between a drawn line and a digit or mark that touches it twice.

Whether a pocket lies inside the line or outside it, the middle lines don't tell. A drawn line turns
little where a digit meets it, so the border that turns less is the line.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from applique.trace.edge import smoothed
from applique.trace.region import Region

_MARGIN_PX = 1
"""So much room is kept around a region, and more than that while its mask is closed: what touches
the border of a picture would not be opened again there."""


def with_pockets(region: Region, labels: np.ndarray, templates: set[int], pen_px: float) -> Region:
    """The region with the pockets that lie inside its line. `labels` are the regions of the page,
    `templates` the labels of those that are no pockets."""
    left, top = region.corner
    height, width = region.mask.shape
    band = cv2.dilate(region.mask, np.ones((5, 5), np.uint8)) - region.mask
    window = labels[top : top + height, left : left + width]
    open_page = int(labels[0, 0])
    beside = set(np.unique(window[band > 0]).tolist()) - {0, open_page} - templates
    edges = (labels[0], labels[-1], labels[:, 0], labels[:, -1])
    beside -= set(np.unique(np.concatenate(edges)).tolist())
    for label in sorted(beside):
        region = _with_pocket(region, labels, label, pen_px)
    return region


def _with_pocket(region: Region, labels: np.ndarray, label: int, pen_px: float) -> Region:
    """The region with one pocket if its border turns less then, else as it is."""
    rows, columns = np.nonzero(labels == label)
    left, top = region.corner
    height, width = region.mask.shape
    low_x, low_y = min(columns.min() - _MARGIN_PX, left), min(rows.min() - _MARGIN_PX, top)
    high_x = max(columns.max() + 1 + _MARGIN_PX, left + width)
    high_y = max(rows.max() + 1 + _MARGIN_PX, top + height)
    both = np.zeros((high_y - low_y, high_x - low_x), np.uint8)
    both[top - low_y : top - low_y + height, left - low_x : left - low_x + width] = region.mask
    both[rows - low_y, columns - low_x] = 1
    # The line between the two is a pixel or two wide.
    roomy = cv2.copyMakeBorder(both, 2, 2, 2, 2, cv2.BORDER_CONSTANT, value=0)
    both = cv2.morphologyEx(roomy, cv2.MORPH_CLOSE, np.ones((3, 3), np.uint8))[2:-2, 2:-2]
    contours, _ = cv2.findContours(both, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    contour = max(contours, key=cv2.contourArea)
    if _turning(contour[:, 0, :], pen_px) >= _turning(region.contour, pen_px):
        return replace(region, pockets=region.pockets + 1)
    mask = np.zeros_like(both)
    cv2.drawContours(mask, [contour], -1, 1, cv2.FILLED)
    return replace(
        region,
        mask=mask,
        corner=(int(low_x), int(low_y)),
        contour=contour[:, 0, :],
        pockets=region.pockets + 1,
    )


def _turning(contour: np.ndarray, pen_px: float) -> float:
    """By how much a closed line of pixels turns in all, in radians, small waves left out."""
    line = smoothed(contour.astype(float), min(pen_px / 3, len(contour) / 8))
    way = np.roll(line, -1, axis=0) - line
    heading = np.arctan2(way[:, 1], way[:, 0])
    turn = np.roll(heading, -1) - heading
    return float(np.abs((turn + np.pi) % (2 * np.pi) - np.pi).sum())
