"""How wide a gap in a line is, from ink to ink."""

from __future__ import annotations

import cv2
import numpy as np

from applique.trace.gaps import Bridge
from applique.trace.light import Light

_SAMPLES_PER_PX = 8
_INTO_INK_PX = 4.0
"""So far into the ink on either side the light is looked at."""

_ROOM_PENS = 1.0

_AS_NEAR_PX = 0.7
"""Pixels of a tip that are further away by no more than this are its middle taken together."""


def gap_width_px(
    bridge: Bridge, light: Light, mask: np.ndarray, scale: int, pen_px: float
) -> float:
    """How wide a bridged gap is, in the page's pixels: the shortest way between the ink's two ends,
    measured where the light is half that of bare paper and half that of the ends. `mask` is the
    page's ink."""
    start, stop = ((end.tip + 0.5) * scale for end in (bridge.start, bridge.stop))
    nearest = _nearest(start, stop, mask, pen_px)
    if nearest is not None:
        start, stop = nearest
        onward = (stop - start) / max(float(np.hypot(*(stop - start))), 1e-9)
        start, stop = start - _INTO_INK_PX * onward, stop + _INTO_INK_PX * onward
    return _bare(start, stop, light)


def _nearest(
    start: np.ndarray, stop: np.ndarray, mask: np.ndarray, pen_px: float
) -> tuple[np.ndarray, np.ndarray] | None:
    """The tips of the two ends, where they lie nearest to each other; None if the ends hang
    together nearby."""
    reach = np.hypot(*(stop - start)) / 2 + _ROOM_PENS * pen_px
    middle = (start + stop) / 2
    low = np.maximum(np.floor(middle - reach).astype(int), 0)
    high = np.ceil(middle + reach).astype(int)
    window = mask[low[1] : high[1], low[0] : high[0]]
    _, labels = cv2.connectedComponents(window, connectivity=8)
    first, second = (_label_at(labels, end - low) for end in (start, stop))
    if first == second or 0 in (first, second):
        return None
    tips = []
    for own, other in ((first, second), (second, first)):
        away = cv2.distanceTransform((labels != other).astype(np.uint8), cv2.DIST_L2, 5)
        rows, columns = np.nonzero(labels == own)
        nearest = away[rows, columns] <= away[rows, columns].min() + _AS_NEAR_PX
        tips.append(np.array([columns[nearest].mean(), rows[nearest].mean()]) + low + 0.5)
    return tips[0], tips[1]


def _label_at(labels: np.ndarray, place: np.ndarray) -> int:
    """The label of the ink nearest to a place, 0 if there is none."""
    rows, columns = np.nonzero(labels)
    if len(rows) == 0:
        return 0
    nearest = np.argmin((columns - place[0]) ** 2 + (rows - place[1]) ** 2)
    return int(labels[rows[nearest], columns[nearest]])


def _bare(start: np.ndarray, stop: np.ndarray, light: Light) -> float:
    """How much of the straight way between two inked places is bare, in pixels."""
    length = float(np.hypot(*(stop - start)))
    steps = np.linspace(0, 1, max(20, int(length * _SAMPLES_PER_PX)))
    inked = light.inked(start + steps[:, None] * (stop - start))
    ends = max(2, len(inked) // 8)
    ink_level = float(np.median(np.concatenate([inked[:ends], inked[-ends:]])))
    return float((inked < ink_level / 2).mean()) * length
