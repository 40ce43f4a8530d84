"""A flat sheet seen through a lens: how millimetres of the page become pixels of a photograph.

A pinhole camera maps the page by a homography (R. Hartley and A. Zisserman, "Multiple View
Geometry in Computer Vision", 2nd ed. 2004, chapters 2 and 4). The lens then moves every point away
from the picture's middle or towards it, by a share that grows with the square of the distance: the
first radial term of D. C. Brown's model ("Decentering distortion of lenses", Photogrammetric
Engineering 32 (1966) 444). Pixel coordinates count from the picture's corner: the pixel in column c
covers c to c + 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

_MOST_BOW = 0.3
"""No camera bends its pictures more; beyond, the fit has gone astray."""

_ROUNDS = 12
_CUT = 5.0
"""Points further from their side than this many times the usual distance don't count (J. W. Tukey's
biweight; usual: the median's share of a normal spread)."""

_LEAST_USUAL_PX = 0.03
"""An edge point is hardly more certain than this, however well the median one fits."""

_BAND_ROWS = 256
"""The page is drawn so many rows at a time: the maps of places would take up more memory than the
photograph."""

_ASPECT_DOUBT = 0.006
_SQUARE_DOUBT = 0.006
"""Cut paper and a lens whose middle isn't quite the picture's middle leave the ratio of the sides
uncertain by half a hundredth, and so the right angle between them."""

_USUAL_FOCUS = 0.75
_FOCUS_DOUBT = 0.5
"""Focal lengths of phones and cameras, in diagonals of the picture: mostly 0.55 to 1.2 (24 to 50 mm
for a film of 36 by 24 mm); the doubt is of its logarithm."""

_FOCI = np.geomspace(0.35, 4.0, 60)


@dataclass(frozen=True, eq=False)
class Lens:
    """The lens: `middle_px` (2,) of the picture, the length `unit_px` that distances from there are
    measured in (half the diagonal), and the `bow`: a point that a straight lens would show at
    distance r from the middle is shown at r (1 + bow r²)."""

    middle_px: np.ndarray
    unit_px: float
    bow: float

    def bent(self, straight_px: np.ndarray) -> np.ndarray:
        """Where points (n, 2) of a straight picture are in the photograph."""
        away = (straight_px - self.middle_px) / self.unit_px
        square = np.sum(away**2, axis=-1, keepdims=True)
        return self.middle_px + away * (1 + self.bow * square) * self.unit_px

    def straightened(self, pixels: np.ndarray) -> np.ndarray:
        """Where points (n, 2) of the photograph would be in a straight picture."""
        away = (pixels - self.middle_px) / self.unit_px
        shown = np.sqrt(np.sum(away**2, axis=-1, keepdims=True))
        true = shown / (1 + self.bow * shown**2)
        for _ in range(5):  # Newton's steps; the third is below rounding for any real lens
            true -= (true * (1 + self.bow * true**2) - shown) / (1 + 3 * self.bow * true**2)
        return self.middle_px + away * (true / np.maximum(shown, 1e-12)) * self.unit_px


def lens_of(size_px: tuple[int, int], bow: float = 0.0) -> Lens:
    """The lens of a picture of `size_px`, (width, height)."""
    size = np.array(size_px, float)
    return Lens(size / 2, float(np.hypot(*size)) / 2, bow)


def homography(page: np.ndarray, seen: np.ndarray) -> np.ndarray:
    """The homography (3, 3) that maps four points (4, 2) to four others, with a last element of 1:
    eight linear equations (Hartley and Zisserman, 4.1)."""
    rows, values = [], []
    for (x, y), (u, v) in zip(page, seen, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        values += [u, v]
    return np.append(np.linalg.solve(np.array(rows), np.array(values)), 1.0).reshape(3, 3)


def mapped(matrix: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Points (n, 2) through a homography (3, 3)."""
    ray = points @ matrix[:, :2].T + matrix[:, 2]
    return ray[:, :2] / ray[:, 2:]


@dataclass(frozen=True, eq=False)
class Frame:
    """Four straight sides fitted to edge points: `corners` (4, 2) in pixels of the straight
    picture, the `lens`, how far each point is off its side, `off_px` (n,), and its `weight` (n,)
    from 0 (an outlier) to 1."""

    corners: np.ndarray
    lens: Lens
    off_px: np.ndarray
    weight: np.ndarray

    @property
    def rms_px(self) -> float:
        """How far the points that count are off their sides."""
        return float(np.sqrt(np.sum(self.weight * self.off_px**2) / np.sum(self.weight)))


def fitted_frame(
    points: np.ndarray, side: np.ndarray, corners: np.ndarray, lens: Lens
) -> Frame | None:
    """The four corners and the bow for which the edge points (n, 2) lie on straight sides, by least
    squares; `side` (n,) is 0 to 3 for the side that runs from the corner of that number, `corners`
    (4, 2) a first guess. None if the sides fit no lens.

    The bow is what makes all four sides straight at once. The paper's size has no part in it: to
    any four straight sides there is a homography from any rectangle."""

    def distance(unknown: np.ndarray) -> np.ndarray:
        ends = unknown[:8].reshape(4, 2)
        through = Lens(lens.middle_px, lens.unit_px, unknown[8] / lens.unit_px)
        start, along = ends[side], (np.roll(ends, -1, axis=0) - ends)[side]
        away = through.straightened(points) - start
        cross = along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0]
        return cross / np.hypot(along[:, 0], along[:, 1])

    # The bow is counted in pixels at the unit's end, as the corners are.
    unknown = np.append(corners.ravel(), lens.bow * lens.unit_px)
    off = distance(unknown)
    weight = np.ones(len(points))
    for count in range(_ROUNDS):
        steps = 1e-3 * np.eye(9)
        slope = np.stack([(distance(unknown + s) - off) / 1e-3 for s in steps], axis=1)
        pull = slope.T @ (slope * weight[:, None])
        pull += 1e-9 * np.trace(pull) * np.eye(9)
        change = np.linalg.solve(pull, -slope.T @ (weight * off))
        unknown = unknown + change
        if abs(unknown[8]) > _MOST_BOW * lens.unit_px:
            return None
        off = distance(unknown)
        usual = max(1.4826 * float(np.median(np.abs(off))), _LEAST_USUAL_PX)
        weight = np.clip(1 - (off / (_CUT * usual)) ** 2, 0, None) ** 2
        if count > 4 and np.abs(change).max() < 1e-4:
            break
    through = Lens(lens.middle_px, lens.unit_px, float(unknown[8] / lens.unit_px))
    return Frame(unknown[:8].reshape(4, 2), through, off, weight)


def page_doubt(corners: np.ndarray, lens: Lens, page_mm: tuple[float, float]) -> float:
    """How hard it is to believe that corners (4, 2) of a straight picture are those of a page of
    this size, in standard deviations.

    A photograph tells the ratio of the sides as the camera has square pixels and looks through the
    picture's middle (Z. Zhang and L.-W. He, "Whiteboard scanning and image enhancement", Digital
    Signal Processing 17 (2007) 414); where it hardly tells the focal length, a usual one is
    supposed."""
    page = np.array([[0, 0], [page_mm[0], 0], page_mm, [0, page_mm[1]]])
    seen = (corners - lens.middle_px) / (2 * lens.unit_px)
    across, down = homography(page, seen)[:, :2].T
    rays = (
        np.stack([across, down])[None] * np.stack([1 / _FOCI, 1 / _FOCI, np.ones(60)], 1)[:, None]
    )
    length = np.linalg.norm(rays, axis=2)
    leaning = np.sum(rays[:, 0] * rays[:, 1], axis=1) / (length[:, 0] * length[:, 1])
    ratio = np.log(length[:, 0] / length[:, 1])
    focus = np.log(_FOCI / _USUAL_FOCUS)
    square = (ratio / _ASPECT_DOUBT) ** 2 + (leaning / _SQUARE_DOUBT) ** 2
    return float(np.sqrt(np.min(square + (focus / _FOCUS_DOUBT) ** 2)))


def resampled(
    grey: np.ndarray, to_straight: np.ndarray, lens: Lens, size_px: tuple[int, int], rim_px: float
) -> np.ndarray:
    """A picture (h, w) of uint8 drawn anew, `size_px` (width, height) large: the new picture's
    pixels are taken through a homography `to_straight` and the lens. The outermost `rim_px` of the
    new picture repeat what is just inside them."""
    width, height = size_px
    shrink = _shrink(to_straight, size_px)
    if shrink > 1:  # or fine detail between the samples would be lost or doubled
        rows, columns = (n // shrink * shrink for n in grey.shape)
        reduced = (columns // shrink, rows // shrink)
        grey = cv2.resize(grey[:rows, :columns], reduced, interpolation=cv2.INTER_AREA)
    unit, (middle_x, middle_y) = lens.unit_px, lens.middle_px
    norm = np.array([[1 / unit, 0, -middle_x / unit], [0, 1 / unit, -middle_y / unit], [0, 0, 1]])
    (a, b, c), (d, e, f), (g, h, i) = (norm @ to_straight).astype(np.float32)
    x = np.clip(np.arange(width, dtype=np.float32) + 0.5, rim_px, width - rim_px)[None]
    page = np.empty((height, width), np.uint8)
    for top in range(0, height, _BAND_ROWS):
        rows_y = np.arange(top, min(top + _BAND_ROWS, height), dtype=np.float32) + 0.5
        y = np.clip(rows_y, rim_px, height - rim_px)[:, None]
        depth = 1 / (g * x + (h * y + i))
        across, down = (a * x + (b * y + c)) * depth, (d * x + (e * y + f)) * depth
        bend = np.float32(unit / shrink) * (1 + np.float32(lens.bow) * (across**2 + down**2))
        across *= bend
        down *= bend
        across += np.float32(middle_x / shrink - 0.5)
        down += np.float32(middle_y / shrink - 0.5)
        part = page[top : top + len(rows_y)]
        cv2.remap(grey, across, down, cv2.INTER_CUBIC, part, cv2.BORDER_REPLICATE)
    return page


def _shrink(to_straight: np.ndarray, size_px: tuple[int, int]) -> int:
    """How many pixels of the photograph make one of the new picture, in whole numbers."""
    steps = np.array([[0, 0], [1, 0], [0, 1]])
    ends = mapped(to_straight, np.array(size_px) / 2 + steps)
    return max(1, int(np.hypot(*(ends[1:] - ends[0]).T).min() + 0.25))
