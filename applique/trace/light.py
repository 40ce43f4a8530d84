"""Light on a page: how bright its paper is everywhere, and where the ink is.

Brightness adds up in linear light, not in the values that a picture file holds, so levels are
compared after decoding them (IEC 61966-2-1, the sRGB curve).
"""

from __future__ import annotations

import cv2
import numpy as np

PAPER_REACH_MM = 12.0
"""Dark marks narrower than this don't count for the paper's brightness around them; a line with
a number against it is hardly half as wide."""

INK_SHARE = 0.7
"""Paper that reflects less than this share of its own light is inked: above the middle between
paper and the palest pen worth tracing (which leaves about 0.4), and below ruled lines of a pale
colour."""

_COARSE_MM = 0.7
"""Brightness of paper is reckoned from patches of this size, in which noise evens out."""

_SMOOTH_PATCHES = 3.0


def _decoded() -> np.ndarray:
    value = np.arange(256) / 255
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


LINEAR = _decoded().astype(np.float32)
"""Linear light, 0 to 1, of each value of a picture, (256,)."""


def encoded(linear: np.ndarray) -> np.ndarray:
    """The picture's values, as whole numbers from 0 to 255, of linear light."""
    return np.interp(linear, LINEAR, np.arange(256)).round().astype(np.uint8)


class Light:
    """A picture in linear light: `grey` (height, width) uint8, `paper` from `paper_values`."""

    def __init__(self, grey: np.ndarray, paper: np.ndarray) -> None:
        self.grey = grey
        self.paper = paper

    def of_paper(self, places: np.ndarray) -> np.ndarray:
        """The light of bare paper around places (n, 2), in pixels from the picture's corner."""
        height, width = self.grey.shape
        scale = np.array([self.paper.shape[1] / width, self.paper.shape[0] / height])
        columns, rows = (places * scale).astype(int).T
        rows = np.clip(rows, 0, self.paper.shape[0] - 1)
        columns = np.clip(columns, 0, self.paper.shape[1] - 1)
        return LINEAR[self.paper[rows, columns]]

    def at(self, places: np.ndarray) -> np.ndarray:
        """The light at places (n, k, 2), in pixels from the picture's corner, interpolated between
        the pixels' middles: (n, k)."""
        flat = places.reshape(-1, 2)
        margin = 2
        low = np.maximum(np.floor(flat.min(axis=0)).astype(int) - margin, 0)
        high = np.ceil(flat.max(axis=0)).astype(int) + margin
        window = LINEAR[self.grey[low[1] : high[1], low[0] : high[0]]]
        within = (places - low - 0.5).astype(np.float32)
        parts = np.array_split(within, len(within) // _MOST_ROWS + 1)
        return np.concatenate([_interpolated(window, part) for part in parts])

    def inked(self, places: np.ndarray) -> np.ndarray:
        """How much darker than bare paper it is at places (n, 2) in pixels: 0 for paper, 1 for
        perfect black."""
        return 1 - self.at(places[:, None])[:, 0] / self.of_paper(places)


_MOST_ROWS = 30000
"""More can't be interpolated in one go (OpenCV counts them in 16 bits)."""


def _interpolated(window: np.ndarray, places: np.ndarray) -> np.ndarray:
    x, y = np.ascontiguousarray(places[..., 0]), np.ascontiguousarray(places[..., 1])
    return cv2.remap(window, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)


def paper_values(grey: np.ndarray, mm_per_px: float) -> np.ndarray:
    """The value of bare paper around every patch of a picture, a small (h, w) array of uint8 that
    spans the whole picture."""
    patch = max(1, round(_COARSE_MM / mm_per_px))
    height, width = grey.shape
    size = (max(1, width // patch), max(1, height // patch))
    coarse = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    reach = int(PAPER_REACH_MM / _COARSE_MM) | 1
    closed = cv2.morphologyEx(coarse, cv2.MORPH_CLOSE, np.ones((reach, reach), np.uint8))
    return cv2.GaussianBlur(closed, (0, 0), _SMOOTH_PATCHES)


def evened_out(grey: np.ndarray) -> np.ndarray:
    """A picture of black and white alone, blurred so that its edges lie between pixels; any other
    as it is."""
    counts = np.bincount(grey[::4, ::4].ravel(), minlength=256)
    extremes = counts[:_BLACK_BELOW].sum() + counts[_WHITE_FROM:].sum()
    if extremes < _TWO_TONES * counts.sum() or counts[:_BLACK_BELOW].sum() == 0:
        return grey
    return cv2.GaussianBlur(grey, (0, 0), 1.0)


_BLACK_BELOW, _WHITE_FROM, _TWO_TONES = 8, 248, 0.999
"""A picture has two tones if all but so few of its values lie below the first or from the second
on."""


def ink_mask(grey: np.ndarray, paper: np.ndarray) -> np.ndarray:
    """Where there is ink: a (height, width) array of uint8, 1 for ink and 0 for paper."""
    limit = encoded(INK_SHARE * LINEAR[paper])
    size = (grey.shape[1], grey.shape[0])
    everywhere = cv2.resize(limit, size, interpolation=cv2.INTER_LINEAR)
    return cv2.threshold(cv2.subtract(everywhere, grey), 0, 1, cv2.THRESH_BINARY)[1]
