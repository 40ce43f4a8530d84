"""The band in which the edge of a drawn line must lie, and the line of pixels along it.

The middle of a line and the pen's width tell where its edge is, to a few tenths of a millimetre.
Ink further in than that is a digit or a mark that touches the line, and bare paper further out is a
gap in it; there the edge can't be seen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from applique.trace.along import lying_along
from applique.trace.region import Region
from applique.trace.whereabouts import PointMm

TOLERANCE_MM = 1.0
TOLERANCE_PENS = 0.48
"""The edge may lie so much nearer to the middle of its line or further from it than half a pen,
whichever is less: a middle line cuts short through a deep notch. A digit reaches further."""

DOUBTFUL_MM = 0.25
DOUBTFUL_PENS = 0.12
"""What lies further off than the greater of these is left out as far as it goes, if the band's
limit is reached anywhere in it: the walls of a digit's stroke, the round end of a line at a gap."""


SEEN, MISSING, BEYOND, INTRUDING, BLURRED = range(5)
"""Why an edge can't be told at a place: it can; there is bare paper where the line should be; the
ink goes on; a hair or a speck juts in; there is no clear step from ink to paper."""


@dataclass(frozen=True, eq=False)
class Band:
    """The bare pixels along an edge, one by one around the region, (n, 2) columns and rows of the
    page, and why the edge can't be told there, (n,) of the codes above. `half_pen_px` is how far
    from the middle of its line most of the edge lies; `one_line_px` how much of the edge is that of
    a single line with another shape on its other side."""

    pixels: np.ndarray
    why: np.ndarray
    half_pen_px: float
    one_line_px: int = 0


def near_band(
    mask: np.ndarray,
    region: Region,
    around: Surroundings,
    scale: int,
    mm_per_px: float,
    pen_mm: float,
) -> Band | None:
    """The band along the inner edge of a region's line; `mask` is the page's ink. None if nothing
    is left."""
    own, ink, shared_here, corner = _windows(mask, region, around.shared, scale)
    distance, on_shared = _from_middle(own, shared_here)
    half_pen = _half_pen(distance, on_shared, border(_largest(own & (1 - ink))), pen_mm / mm_per_px)
    limits = Limits.of(half_pen, mm_per_px)
    # A line that two shapes share is up to two pens wide, and its middle as much further off.
    further = np.where(on_shared, half_pen, 0.0)
    # Where nothing touches the line its ink is all its own, as in a notch that its middle line
    # cuts short.
    further[~_near(around.touched_mm, own.shape, corner, mm_per_px)] = np.inf
    bare = own & ((distance > limits.most + further) | ((ink == 0) & (distance > limits.least)))
    pixels = border(_largest(bare.astype(np.uint8)))
    if len(pixels) == 0:
        return None
    columns, rows = pixels.T
    why = limits.why(distance[rows, columns], further[rows, columns])
    # What lies along the line and leaves no end behind is not known to touch it.
    along = lying_along(mask, pixels + corner, why != MISSING, mm_per_px, 2 * half_pen)
    along &= np.isinf(further[rows, columns]) & ~on_shared[rows, columns]
    why = np.where(along & (why == SEEN), BEYOND, why)
    single = on_shared[rows, columns] & (distance[rows, columns] < _ONE_LINE * half_pen)
    return Band(pixels + corner, why, half_pen, int(single.sum()))


@dataclass(frozen=True, eq=False)
class Surroundings:
    """What lies around a region: `shared`, a mask like the region's own of the other regions beside
    it, and where other ink touches its line, in mm."""

    shared: np.ndarray
    touched_mm: Sequence[PointMm]


_ONE_LINE = 1.3
"""The edge of a line that two shapes share lies further than so many half pens from its middle if
both have drawn it."""

_TOUCHED_MM = 8.0
"""What touches a line has done so within this distance."""


def _near(
    places_mm: Sequence[PointMm], shape: tuple[int, ...], corner: np.ndarray, mm_per_px: float
) -> np.ndarray:
    """Where in a window other ink is near, a mask (h, w) of bool."""
    near = np.zeros(shape, np.uint8)
    for place in places_mm:
        x, y = np.round(np.array(place) / mm_per_px - corner).astype(int).tolist()
        cv2.circle(near, (x, y), round(_TOUCHED_MM / mm_per_px), 1, cv2.FILLED)
    return near > 0


@dataclass(frozen=True)
class Limits:
    """How far from the middle of its line an edge may lie, in pixels: between `least` and `most`,
    and without doubt within `doubtful` of half a pen."""

    half_pen: float
    least: float
    most: float
    doubtful: float

    @classmethod
    def of(cls, half_pen_px: float, mm_per_px: float) -> Limits:
        """The limits for a pen."""
        tolerance = min(TOLERANCE_MM / mm_per_px, TOLERANCE_PENS * 2 * half_pen_px)
        doubtful = max(DOUBTFUL_MM / mm_per_px, DOUBTFUL_PENS * 2 * half_pen_px)
        return cls(half_pen_px, half_pen_px - tolerance, half_pen_px + tolerance, doubtful)

    def why(self, distance: np.ndarray, further: np.ndarray) -> np.ndarray:
        """Why the edge can't be told at places so far from the middle, one by one along a closed
        line; they may lie `further` off where the line is shared."""
        certain = distance - further >= self.most - 0.5
        beyond = reaching(distance - further > self.half_pen + self.doubtful, certain)
        bare = distance <= self.least + 1.5
        missing = reaching(distance < self.half_pen - self.doubtful, bare)
        return np.where(missing, MISSING, np.where(beyond, BEYOND, SEEN))


def reaching(doubtful: np.ndarray, certain: np.ndarray) -> np.ndarray:
    """The runs of a closed row of doubtful places that hold a certain one, (n,) bool."""
    either = doubtful | certain
    if either.all():
        return either
    start = int(np.argmin(either))
    rolled, sure = np.roll(either, -start), np.roll(certain, -start)
    run = np.cumsum(np.diff(rolled.astype(np.int8), prepend=0) == 1)
    holds = np.zeros(int(run[-1]) + 1, bool)
    holds[run[sure]] = True
    return np.roll(rolled & holds[run], start)


def _windows(
    mask: np.ndarray, region: Region, shared: np.ndarray, scale: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """The region, the ink and the shared lines around it, all in the page's pixels, and where
    they begin."""
    left, top = region.corner
    height, width = region.mask.shape
    enlarged = (width * scale, height * scale)
    own = cv2.resize(region.mask, enlarged, interpolation=cv2.INTER_NEAREST)
    shared_here = cv2.resize(shared, enlarged, interpolation=cv2.INTER_NEAREST)
    x, y = left * scale, top * scale
    ink = mask[y : y + height * scale, x : x + width * scale]
    return own, ink, shared_here, np.array([x, y])


def _from_middle(own: np.ndarray, shared: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Each pixel's distance from the region's border, and whether that is a shared one there."""
    if not shared.any():
        return cv2.distanceTransform(own, cv2.DIST_L2, 5), np.zeros(own.shape, bool)
    distance, nearest = cv2.distanceTransformWithLabels(
        own, cv2.DIST_L2, 5, labelType=cv2.DIST_LABEL_PIXEL
    )
    border = own == 0
    is_shared = np.zeros(int(nearest.max()) + 1, bool)
    is_shared[nearest[border]] = cv2.dilate(shared, np.ones((3, 3), np.uint8))[border] > 0
    return distance, is_shared[nearest]


def _largest(mask: np.ndarray) -> np.ndarray:
    """The largest connected part of a mask."""
    count, labels, boxes, _ = cv2.connectedComponentsWithStats(mask, connectivity=4)
    if count <= 2:
        return mask
    return (labels == 1 + int(np.argmax(boxes[1:, cv2.CC_STAT_AREA]))).astype(np.uint8)


def border(mask: np.ndarray) -> np.ndarray:
    """The outer border of a mask's only part, pixel by pixel, (n, 2) columns and rows."""
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not contours:
        return np.zeros((0, 2), int)
    return max(contours, key=len)[:, 0, :]


def _half_pen(
    distance: np.ndarray, on_shared: np.ndarray, edge: np.ndarray, usual_px: float
) -> float:
    """How far from the middle of its line most of the edge lies."""
    if len(edge) == 0:
        return usual_px / 2
    columns, rows = edge.T
    own = ~on_shared[rows, columns]
    if not own.any():
        return usual_px / 2
    return float(np.median(distance[rows, columns][own]))
