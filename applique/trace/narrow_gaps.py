"""Gaps so narrow that the ends of the line run together on a coarser picture.

The middle line goes on across such a gap. But its ink is paler there, and a nib leaves round ends,
which only touch each other.
"""

from __future__ import annotations

import cv2
import numpy as np

from applique.trace.gap_width import parts_near, tips_of, way_is_bare
from applique.trace.gaps import Bridge, End
from applique.trace.light import LINEAR, Light
from applique.trace.strokes import Strokes

_PALER = 0.75
"""In the middle of a line there is no less than this share of the ink around, but at gaps."""

_AROUND_PENS = 1.25
_BEYOND_PENS = 0.5
"""The line's two ends are looked at as far around a gap as the first; from the second on its pixels
belong to one of them or the other."""

_FLANK_PENS = (0.5, 0.9)
"""Ink that, so many pens behind a tip, reaches further to both sides than the second is no end of a
line but its side, against which something lies."""

_MOST_PLACES = 400
"""A page with more pale places on its lines is noise, cloth or a picture."""


def narrow_gaps(thin: np.ndarray, strokes: Strokes, light: Light, mask: np.ndarray) -> list[Bridge]:
    """Bridges over the gaps that a middle line goes on across, from top to bottom. `mask` is the
    page's ink."""
    _, _, _, places = cv2.connectedComponentsWithStats(_pale(thin, strokes, light), connectivity=8)
    if len(places) - 1 > _MOST_PLACES:
        return []
    found = [_bridge(place, thin, strokes, light, mask) for place in places[1:]]
    return [bridge for bridge in found if bridge is not None]


def _pale(thin: np.ndarray, strokes: Strokes, light: Light) -> np.ndarray:
    """A mask of the pixels of middle lines that are paler somewhere than the line around them."""
    pale = np.zeros_like(thin)
    rows, columns = np.nonzero(thin)
    if len(rows) == 0:
        return pale
    inked = _inked(light, columns, rows, strokes.scale)
    around = np.zeros(thin.shape, np.float32)
    around[rows, columns] = inked.max(axis=0)
    reach = int(strokes.pen_mm / strokes.mm_per_px)
    darkest = cv2.dilate(around, np.ones((2 * reach + 1, 2 * reach + 1), np.uint8))
    pale[rows, columns] = inked.min(axis=0) < _PALER * darkest[rows, columns]
    return pale


def _inked(light: Light, columns: np.ndarray, rows: np.ndarray, scale: int) -> np.ndarray:
    """How much darker than bare paper each of the page's pixels is that working pixels (n,) are
    made of: (k, n)."""
    paper = light.of_paper(scale * (np.stack([columns, rows], axis=1) + 0.5))
    height, width = light.grey.shape
    down, right = (part.ravel() for part in np.mgrid[:scale, :scale])
    own_rows = np.minimum(scale * rows + down[:, None], height - 1)
    own_columns = np.minimum(scale * columns + right[:, None], width - 1)
    return 1 - LINEAR[light.grey[own_rows, own_columns]] / paper


def _bridge(
    place: np.ndarray, thin: np.ndarray, strokes: Strokes, light: Light, mask: np.ndarray
) -> Bridge | None:
    """The bridge over the gap at a place of a middle line, in working pixels; None if the ink
    there hangs together."""
    scale, pen_px = strokes.scale, strokes.pen_mm / strokes.mm_per_px * strokes.scale
    labels, low = parts_near((place + 0.5) * scale, _AROUND_PENS * pen_px, mask, pen_px)
    line = _line_beside(place, thin, strokes)
    columns, rows = ((line + 0.5) * scale - low).astype(int).T
    counts = np.bincount(labels[rows, columns], minlength=3)
    counts[0] = 0  # Bare paper.
    first, second = np.argsort(-counts, kind="stable")[:2]
    if counts[second] == 0:
        return None
    start, stop = tips_of(labels, int(first), int(second), low)
    onward = (stop - start) / float(np.hypot(*(stop - start)))
    sides = (start - low, onward, first), (stop - low, -onward, second)
    if any(_is_flank(tip, way, labels == part, pen_px) for tip, way, part in sides):
        return None
    if not way_is_bare(start, stop, light):
        return None
    start, stop = start / scale - 0.5, stop / scale - 0.5
    return Bridge(End(start, onward, 0, start, 0), End(stop, -onward, 0, stop, 0))


def _is_flank(tip: np.ndarray, onward: np.ndarray, part: np.ndarray, pen_px: float) -> bool:
    """Whether a part of the ink turns its side to a gap, and not an end."""
    behind, aside = (share * pen_px for share in _FLANK_PENS)
    across = np.array([-onward[1], onward[0]])
    places = tip - behind * onward + aside * np.array([[-1], [1]]) * across
    columns, rows = places.astype(int).T
    inside = (rows >= 0) & (rows < part.shape[0]) & (columns >= 0) & (columns < part.shape[1])
    return bool(inside.all() and part[rows, columns].all())


def _line_beside(place: np.ndarray, thin: np.ndarray, strokes: Strokes) -> np.ndarray:
    """The pixels (n, 2) of a middle line on either side of one of its places."""
    pen_px = strokes.pen_mm / strokes.mm_per_px
    reach = int(_AROUND_PENS * pen_px)
    column, row = np.rint(place).astype(int)
    top, left = max(row - reach, 0), max(column - reach, 0)
    _, lines = cv2.connectedComponents(
        thin[top : row + reach + 1, left : column + reach + 1], connectivity=8
    )
    rows, columns = np.nonzero(lines)
    points = np.stack([columns + left, rows + top], axis=1)
    away = np.hypot(*(points - place).T)
    own = lines[rows, columns] == lines[rows, columns][np.argmin(away)]
    beside = own & (away >= _BEYOND_PENS * pen_px) & (away < _AROUND_PENS * pen_px - 1)
    return points[beside]
