"""Where the edge of the ink is, to a few hundredths of a pixel.

Across an edge the light goes from the paper's to the ink's along the curve of a blurred step. Blur
spreads the ink but takes nothing away, so the share of ink over a short way across the edge tells
how far in the edge lies, whatever the lens or the scanner has done (A. J. Tabatabai and O. R.
Mitchell, "Edge location to subpixel values in digital imagery", IEEE PAMI 6 (1984) 188, do the same
with the first three moments).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from applique.trace.light import Light

_STEP_PX = 0.5
_OFFSETS = np.arange(-3.0, 4.01, _STEP_PX)
"""Where samples are taken across an edge, in pixels from its pixel line towards the ink."""

_INK_FROM_PX = 2.25
"""Ink this far behind the edge has its full darkness, however blurred the scan. Where the pen is
too thin for that, it is darkest in its middle."""

_ALONG = 5
"""Levels are evened out over so many pixels to each side along the edge, about the size of the
streaks that a marker leaves at 300 dpi."""

_HALF_WINDOW_PX = 1.5
"""The share of ink is taken over so much on either side: a blurred step is hardly longer, and
streaks further in should not count."""

_EXPECTED_PX = 0.75
"""The last bare pixel and the first inked one meet half a pixel from the middle of the former, a
little more as pixels count as inked before they are half inked."""

_LEAST_RISE = 0.08
"""An edge on which the share of ink rises by less than this from one sample to the next is none."""

SMOOTH_PX = 3.0
"""The pixel line is evened out over this much to find which way its edge faces."""


_HAIR_RUNS_IN = 6
"""A hair at a slant runs together with the line over so many pixels beside where it is apart."""

LEAST_CONTRAST = 0.15
"""Ink that takes less than this share of the paper's light is a shadow or a crease."""


@dataclass(frozen=True, eq=False)
class Edge:
    """An edge point by point: `points` (n, 2) in pixels from the picture's corner, `found` (n,)
    where a clear step from ink to paper was met, and unit vectors `towards_ink` (n, 2)."""

    points: np.ndarray
    found: np.ndarray
    towards_ink: np.ndarray


def edge_along(light: Light, pixels: np.ndarray, pen_px: float, ink_outside: bool = True) -> Edge:
    """The edge of the ink beside a closed line of bare pixels, (n, 2) columns and rows, that has
    the ink, a line of `pen_px`, on its outside, or else on its inside."""
    towards_ink = outward(pixels) if ink_outside else -outward(pixels)
    middles = pixels + 0.5
    paper = light.of_paper(middles)
    places = middles[:, None, :] + _OFFSETS[None, :, None] * towards_ink[:, None, :]
    found_light = light.at(places)
    contrast = np.maximum(paper - _ink_level(found_light, pen_px), 1e-3)
    share = (paper[:, None] - found_light) / contrast[:, None]
    offset, found = _half_crossing(share)
    points = middles + offset[:, None] * towards_ink
    return Edge(points, found & (contrast > LEAST_CONTRAST * paper), towards_ink)


def outward(pixels: np.ndarray) -> np.ndarray:
    """Unit normals (n, 2) of a closed pixel line, away from what it encloses."""
    smooth = smoothed(pixels.astype(float), SMOOTH_PX)
    ahead = np.roll(smooth, -1, axis=0) - np.roll(smooth, 1, axis=0)
    normals = np.stack([ahead[:, 1], -ahead[:, 0]], axis=1)
    normals /= np.maximum(np.hypot(normals[:, 0], normals[:, 1]), 1e-9)[:, None]
    x, y = smooth.T
    clockwise = np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) < 0
    return -normals if clockwise else normals


def smoothed(values: np.ndarray, sigma: float) -> np.ndarray:
    """Values (n, k) along a closed line, evened out by a Gaussian of `sigma` steps."""
    reach = int(np.ceil(3 * sigma))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    weights /= weights.sum()
    padded = np.concatenate([values[-reach:], values, values[:reach]])
    columns = [np.convolve(column, weights, mode="valid") for column in padded.T]
    return np.stack(columns, axis=1)


def _ink_level(light: np.ndarray, pen_px: float) -> np.ndarray:
    """The linear light of the ink just behind the edge, (n,), evened out along it."""
    middle = pen_px / 2 + 0.5
    deep_enough = min(_INK_FROM_PX, middle - _STEP_PX) <= _OFFSETS
    deep = light[:, deep_enough & (middle + _STEP_PX >= _OFFSETS)].mean(axis=1)
    width = 2 * _ALONG + 1
    padded = np.concatenate([deep[-_ALONG:], deep, deep[:_ALONG]])
    windows = np.lib.stride_tricks.sliding_window_view(padded, width)
    return np.median(windows, axis=1)


def _half_crossing(share: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Where the edge lies by the share of ink (n, k) on the way in, as offsets (n,) in pixels, and
    where there clearly is one."""
    rows = np.arange(len(share))
    rises = (share[:, :-1] < 0.5) & (share[:, 1:] >= 0.5)
    # Across a narrow tip lies the ink of its other side, so the nearest rise is the one meant.
    far = np.abs(_OFFSETS[:-1] + _STEP_PX / 2 - _EXPECTED_PX)
    before = np.argmin(np.where(rises, far, np.inf), axis=1)
    found = rises[rows, before]
    low, high = share[rows, before], share[rows, before + 1]
    rise = np.maximum(high - low, 1e-6)
    rough = _OFFSETS[before] + _STEP_PX * np.clip((0.5 - low) / rise, 0, 1)
    # What of the window is inked, wherever in it the blur has put it, tells where the edge is.
    reach = (_HALF_WINDOW_PX - np.abs(_OFFSETS[None, :] - rough[:, None])) / _STEP_PX + 0.5
    weight = np.clip(reach, 0, 1)
    inked = (weight * np.clip(share, 0, 1)).sum(axis=1) / weight.sum(axis=1)
    offset = rough + _HALF_WINDOW_PX * (1 - 2 * inked)
    steep = high - low > _LEAST_RISE
    clear = found & steep & ~_beside_a_hair(rises, before)
    return np.where(found, offset, rough), clear


def _beside_a_hair(rises: np.ndarray, before: np.ndarray) -> np.ndarray:
    """Where paper shows behind what was met (n,), as behind a hair that lies beside the line, and
    a little further, where the two run together."""
    behind = np.arange(rises.shape[1])[None, :] > before[:, None]
    again: np.ndarray = np.any(rises & behind, axis=1)
    reach = np.arange(-_HAIR_RUNS_IN, _HAIR_RUNS_IN + 1)
    around = (np.arange(len(again))[:, None] + reach) % len(again)
    return np.asarray(again[around].any(axis=1))
