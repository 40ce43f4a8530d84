"""Pages drawn for tests: templates traced by a pen on paper, then scanned.

All places are in mm from the paper's upper left corner, x to the right and y down. How much of a
pixel the ink covers is reckoned exactly; light adds up in linear light, so blur is applied there.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import cv2
import numpy as np
import shapely
from shapely import affinity, ops
from shapely.geometry.base import BaseGeometry

Colour = tuple[float, float, float]
"""Linear light that comes back, 0 to 1: red, green, blue."""

BLACK: Colour = (0.04, 0.04, 0.045)
WHITE: Colour = (0.82, 0.82, 0.80)
PALE_BLUE: Colour = (0.55, 0.68, 0.82)

_LUMA = np.array([0.2126, 0.7152, 0.0722])  # ITU-R BT.709

DIGITS = {
    "0": "30,0 6,30 6,70 30,100 54,70 54,30 30,0",
    "1": "8,27 22,14 34,0 | 34,0 33,100",
    "2": "5,24 28,0 54,24 38,58 3,100 | 3,100 60,100",
    "3": "5,10 34,0 50,22 25,45 55,70 30,100 3,90",
    "4": "40,0 2,66 | 2,66 60,66 | 42,40 42,100",
    "5": "55,0 12,0 | 12,0 8,45 | 8,45 36,38 57,66 36,98 3,90",
    "6": "45,0 13,40 6,76 30,100 54,76 30,52 8,70",
    "7": "3,0 58,0 | 58,0 36,45 22,100",
    "8": "50,10 30,0 10,20 30,45 55,75 30,100 5,75 | 5,75 30,45 52,22 50,10",
    "9": "53,24 30,50 7,25 30,0 53,24 50,60 40,100",
}
"""Each digit's strokes as points (x, y) of smooth lines, in hundredths of the digit's height."""


@dataclass(frozen=True, eq=False)
class Traced:
    """A template traced by a pen that slides around it: its `outline` (n, 2), not closed by its
    first point again. The line has a gap of `gap_mm`, from ink to ink, nearest to `gap_at`."""

    outline: np.ndarray
    pen_mm: float = 1.0
    gap_mm: float = 0.0
    gap_at: tuple[float, float] = (0.0, 0.0)
    colour: Colour = BLACK


@dataclass(frozen=True, eq=False)
class Mark:
    """A line drawn freely, (n, 2): a digit's stroke, a hair, a crease; one point is a speck."""

    points: np.ndarray
    width_mm: float = 0.8
    colour: Colour = BLACK


@dataclass(frozen=True, eq=False)
class Page:
    """A sheet of paper with what is drawn on it; `ruled_mm` is between its ruled lines, 0 for
    none."""

    size_mm: tuple[float, float]
    drawn: tuple[Traced | Mark, ...]
    paper: Colour = WHITE
    ruled_mm: float = 0.0


@dataclass(frozen=True)
class Scanner:
    """What a scanner makes of a page. The page is turned by `skew_degrees` about its middle; beyond
    its edges the lid shows, beside a shadow if `edge_shadow`; the light falls off by `uneven` from
    the left to the right. `blur_px` and `noise` (in values of the picture) are standard
    deviations."""

    dpi: float = 200.0
    coloured: bool = False
    skew_degrees: float = 0.0
    edge_shadow: bool = False
    uneven: float = 0.0
    blur_px: float = 0.6
    noise: float = 1.5
    seed: int = 1

    def to_pixels(self, size_mm: tuple[float, float]) -> np.ndarray:
        """The (2, 3) matrix from mm on the page to pixels of the scan."""
        middle = (size_mm[0] / 2, size_mm[1] / 2)
        return cv2.getRotationMatrix2D(middle, self.skew_degrees, 1.0) * (self.dpi / 25.4)


def number(
    text: str, at: tuple[float, float], height_mm: float = 6.0, width_mm: float = 0.8
) -> tuple[Mark, ...]:
    """The strokes of a number whose upper left corner is at a place."""
    return tuple(
        Mark(smooth_line(np.add(line, (0.85 * place, 0)) * height_mm + at), width_mm)
        for place, digit in enumerate(text)
        for line in digit_strokes(digit)
    )


def digit_strokes(digit: str) -> list[np.ndarray]:
    """The strokes of a digit one high, each (n, 2)."""
    strokes = [re.findall(r"\d+", line) for line in DIGITS[digit].split("|")]
    return [np.array(line, float).reshape(-1, 2) / 100 for line in strokes]


def smooth_line(points: np.ndarray, steps: int = 8) -> np.ndarray:
    """A line through points (Catmull and Rom's spline)."""
    ends = np.vstack([2 * points[0] - points[1], points, 2 * points[-1] - points[-2]])
    a, b, c, d = (ends[k : len(ends) - 3 + k, None] for k in range(4))
    t = np.linspace(0, 1, steps, endpoint=False)[None, :, None]
    bends = (2 * a - 5 * b + 4 * c - d) * t**2 + (3 * b - a - 3 * c + d) * t**3
    return np.vstack([(b + ((c - a) * t + bends) / 2).reshape(-1, 2), points[-1:]])


def stroke(points: np.ndarray, width_mm: float) -> BaseGeometry:
    """The ink of a round nib moved along a line."""
    line = shapely.LineString(points) if len(points) > 1 else shapely.Point(points[0])
    return line.buffer(width_mm / 2, quad_segs=32)


def trembling(outline: np.ndarray, by_mm: float, wave_mm: float, phase: float = 0.0) -> np.ndarray:
    """An outline (n, 2) as a hand goes round it that trembles, away from the template only, by up
    to twice so much in waves of about a length; `phase` in radians."""
    ring = shapely.orient_polygons(shapely.Polygon(outline)).exterior
    points = shapely.get_coordinates(shapely.segmentize(ring, 0.1))[:-1]
    way = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    way /= np.hypot(*way.T)[:, None]
    waves = 2 * np.pi * round(ring.length / wave_mm)
    off = by_mm * (1 + np.sin(np.linspace(0, waves, len(points), endpoint=False) + phase))
    return points + off[:, None] * np.stack([way[:, 1], -way[:, 0]], axis=1)


def pen_path(traced: Traced) -> np.ndarray:
    """Where the middle of the pen goes, (n, 2), closed: half a pen from the template."""
    moved = shapely.Polygon(traced.outline).buffer(traced.pen_mm / 2, quad_segs=32)
    return np.array(moved.exterior.coords)


def ink_of(item: Traced | Mark) -> BaseGeometry:
    """The ink of one thing that is drawn."""
    if isinstance(item, Mark):
        return stroke(item.points, item.width_mm)
    path = pen_path(item)
    return stroke(with_gap(path, item) if item.gap_mm else path, item.pen_mm)


def with_gap(path: np.ndarray, traced: Traced) -> np.ndarray:
    """The pen's way without the part at its gap."""
    ring = shapely.LineString(path)
    start = ring.project(shapely.Point(traced.gap_at))
    begun = ops.substring(ring, start, ring.length)
    way = np.vstack([begun.coords, ops.substring(ring, 0, start).coords[1:]])
    line, apart = shapely.LineString(way), traced.gap_mm + traced.pen_mm
    half = apart / 2
    for _ in range(8):  # The nib's two places shall be so far apart as the crow flies.
        ends = line.interpolate(half), line.interpolate(line.length - half)
        half *= apart / ends[0].distance(ends[1])
    return np.array(ops.substring(line, half, line.length - half).coords)


def scanned(page: Page, scanner: Scanner = Scanner()) -> np.ndarray:
    """A scan of a page, as large as the page: (h, w) or, coloured, (h, w, 3) of uint8."""
    matrix = scanner.to_pixels(page.size_mm)
    width, height = (round(side * scanner.dpi / 25.4) for side in page.size_mm)
    light = np.full((height, width, 3 if scanner.coloured else 1), 0.62)
    if scanner.edge_shadow:
        light *= 1 - 0.6 * _shadow(page, matrix, (height, width))[:, :, None]
    paint(light, shapely.box(0, 0, *page.size_mm), page.paper, matrix)
    for y in np.arange(page.ruled_mm, page.size_mm[1], page.ruled_mm) if page.ruled_mm else ():
        paint(light, shapely.box(0, y - 0.15, page.size_mm[0], y + 0.15), PALE_BLUE, matrix)
    for item in page.drawn:
        paint(light, ink_of(item), item.colour, matrix)
    light *= 1 - scanner.uneven * np.linspace(0, 1, width)[None, :, None]
    picture = developed(light, scanner.blur_px, scanner.noise, scanner.seed)
    return picture if scanner.coloured else picture[:, :, 0]


def _shadow(page: Page, matrix: np.ndarray, size: tuple[int, int]) -> np.ndarray:
    """The paper's shadow on the lid, below and to the right of it."""
    dark = np.zeros((*size, 1))
    paint(dark, shapely.box(0, 0, page.size_mm[0] + 0.5, page.size_mm[1] + 0.5), (1, 1, 1), matrix)
    return cv2.GaussianBlur(dark, (0, 0), 0.4 * np.hypot(*matrix[:, 0]))


def paint(light: np.ndarray, ink: BaseGeometry, colour: Colour, matrix: np.ndarray) -> None:
    """Cover part of a picture in linear light with ink; the matrix leads from mm to pixels."""
    shape = affinity.affine_transform(ink, [*matrix[:, :2].ravel(), *matrix[:, 2]])
    bounds = np.array(shape.bounds).reshape(2, 2)
    left, top = np.maximum(np.floor(bounds[0]).astype(int), 0)
    right, bottom = np.minimum(np.ceil(bounds[1]).astype(int), light.shape[1::-1])
    if right <= left or bottom <= top:
        return
    share = coverage(affinity.translate(shape, -left, -top), (bottom - top, right - left))
    tone = np.array(colour) if light.shape[2] == 3 else _LUMA @ np.array(colour)
    window = light[top:bottom, left:right]
    window += share[:, :, None] * (tone - window)


def coverage(shape: BaseGeometry, size: tuple[int, int]) -> np.ndarray:
    """The share of each pixel that a shape covers: (h, w), exactly. The pixels to the right of a
    piece of an edge gain or lose the height of that piece, the one it lies in as much of it."""
    height, width = size
    rings = [shapely.get_coordinates(r) for r in shapely.get_rings(shapely.orient_polygons(shape))]
    edges = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])
    pieces = _cut(_cut(edges, 1), 0)
    x, y = pieces.mean(axis=1).T
    rise = pieces[:, 1, 1] - pieces[:, 0, 1]
    on = (y >= 0) & (y < height)
    x, row, rise = np.clip(x[on], 0, width), np.floor(y[on]).astype(int), rise[on]
    column = np.floor(x).astype(int)
    steps = np.zeros((height, width + 2))
    np.add.at(steps, (row, column), rise * (1 - (x - column)))
    np.add.at(steps, (row, column + 1), rise * (x - column))
    return np.clip(np.abs(np.cumsum(steps, axis=1)[:, :width]), 0, 1)


def _cut(edges: np.ndarray, axis: int) -> np.ndarray:
    """Edges (n, 2, 2) cut where x (axis 0) or y (axis 1) is a whole number."""
    ends = edges[:, :, axis]
    low, high = ends.min(axis=1), ends.max(axis=1)
    count = np.maximum(np.ceil(high) - np.floor(low), 1).astype(int)
    owner = np.repeat(np.arange(len(edges)), count)
    step = np.floor(low)[owner] + np.arange(count.sum()) - np.repeat(count.cumsum() - count, count)
    cuts = np.clip(np.stack([step, step + 1]), low[owner], high[owner])
    run = (ends[:, 1] - ends[:, 0])[owner]
    level = run == 0
    t = np.sort((cuts - ends[owner, 0]) / np.where(level, 1, run), axis=0)
    t[:, level] = [[0], [1]]
    start, way = edges[owner, 0], (edges[:, 1] - edges[:, 0])[owner]
    return np.stack([start + part[:, None] * way for part in t], axis=1)


def developed(light: np.ndarray, blur_px: float, noise: float, seed: int) -> np.ndarray:
    """A picture of uint8 from linear light (h, w, n): blurred, in sRGB (IEC 61966-2-1), noisy."""
    blurred = cv2.GaussianBlur(light, (0, 0), blur_px).reshape(light.shape) if blur_px else light
    low = blurred * 12.92
    values = np.where(low <= 0.04045, low, 1.055 * np.maximum(blurred, 0) ** (1 / 2.4) - 0.055)
    grain = np.random.default_rng(seed).normal(0, noise, light.shape)
    return np.clip(np.rint(255 * values + grain), 0, 255).astype(np.uint8)
