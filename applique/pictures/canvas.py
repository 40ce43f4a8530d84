"""A drawing surface in millimetres, three times finer than the picture that is made of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from PIL import Image, ImageDraw
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import polygons_of
from applique.geometry.strips import round_ended
from applique.pictures.colours import Colour
from applique.pictures.swatches import FabricPrint

LONG_SIDE_PX = 2400
"""Length of a picture's longer side. With `FINER` this bounds its memory to some 160 MB, however
large the block is."""

MOST_PX_PER_MM = 200.0
"""No picture is finer: a thread is 80 px wide by then."""

FINER = 3
"""Every side of a pixel is drawn as so many and averaged, which makes slanted lines smooth."""

_MISSED = 0.4
"""How much of a round a chord may miss, in finer pixels."""


@dataclass(frozen=True)
class Area:
    """A rectangle of the page, in mm. Raises ValueError if it has no size."""

    left: float
    top: float
    width: float
    height: float

    def __post_init__(self) -> None:
        sides = (self.left, self.top, self.width, self.height)
        if not (all(math.isfinite(side) for side in sides) and min(sides[2:]) > 0):
            raise ValueError("the area of a picture must have a width and a height above 0 mm")

    def meets(self, low: np.ndarray, high: np.ndarray, reach_mm: float) -> np.ndarray:
        """Which boxes, given by their corners (n, 2), come within `reach_mm` of it: (n,) bool."""
        corner = np.array([self.left, self.top])
        opposite = corner + np.array([self.width, self.height])
        near = (high >= corner - reach_mm) & (low <= opposite + reach_mm)
        return np.asarray(near.all(axis=1))


def area_round(bounds: tuple[float, float, float, float], margin_mm: float) -> Area:
    """The area round bounds (left, top, right, bottom) with a margin, in mm."""
    left, top, right, bottom = bounds
    return Area(
        left - margin_mm,
        top - margin_mm,
        right - left + 2 * margin_mm,
        bottom - top + 2 * margin_mm,
    )


class Canvas:
    """Shapes in mm drawn over one another, and a picture made of them.

    Lines are given in mm, their widths in mm or, where the name says so, in px of the picture.
    """

    def __init__(self, area: Area, background: Colour, long_side_px: int = LONG_SIDE_PX) -> None:
        self.area = area
        self.px_per_mm = min(long_side_px / max(area.width, area.height), MOST_PX_PER_MM)
        self.size = (
            max(1, round(area.width * self.px_per_mm)),
            max(1, round(area.height * self.px_per_mm)),
        )
        self._image = Image.new("RGB", (self.size[0] * FINER, self.size[1] * FINER), background)
        self._draw = ImageDraw.Draw(self._image)

    def polygon(self, shape: BaseGeometry, fill: Colour) -> None:
        """Fill a shape, its holes left open."""
        for part in polygons_of(shape.intersection(self._reach())):
            if part.interiors:
                corner, mask = self._mask(part)
                self._image.paste(fill, corner, mask)
            else:
                self._draw.polygon(self._numbers(part.exterior), fill)

    def printed(self, shape: BaseGeometry, fabric_print: FabricPrint) -> None:
        """Fill a shape with a print at its true size, repeated from the page's corner (0, 0)."""
        seen = fabric_print.seen_at(self._fine(1.0))
        for part in polygons_of(shape.intersection(self._within())):
            (left, top), mask = self._mask(part)
            across = (np.arange(mask.width) + left + 0.5) / self._fine(1.0) + self.area.left
            down = (np.arange(mask.height) + top + 0.5) / self._fine(1.0) + self.area.top
            self._image.paste(Image.fromarray(seen.at(across, down)), (left, top), mask)

    def _mask(self, part: BaseGeometry) -> tuple[tuple[int, int], Image.Image]:
        """What of the finer pixels a polygon covers, no larger than it is, and its corner."""
        outer = self._at(shapely.get_coordinates(part.exterior))
        low = np.floor(outer.min(axis=0)).astype(int)
        width, height = (np.ceil(outer.max(axis=0)).astype(int) - low + 1).tolist()
        mask = Image.new("1", (width, height), 0)
        draw = ImageDraw.Draw(mask)
        for ring, inside in [(part.exterior, 1), *((hole, 0) for hole in part.interiors)]:
            points = self._at(shapely.get_coordinates(ring)) - low
            draw.polygon(np.rint(points).astype(int).ravel().tolist(), inside)
        return (int(low[0]), int(low[1])), mask

    def outline(self, shape: BaseGeometry, width_px: float, colour: Colour) -> None:
        """Draw along a shape's outlines."""
        if shape.is_empty:
            return
        for part in polygons_of(shape.intersection(self._reach())):
            for ring in (part.exterior, *part.interiors):
                self.line(shapely.get_coordinates(ring), width_px / self.px_per_mm, colour)

    def line(self, points: np.ndarray, width_mm: float, colour: Colour) -> None:
        """Draw a line (n, 2) with round ends and corners."""
        self.strokes(points[:-1], points[1:], [(width_mm, colour)])

    def strokes(
        self, starts: np.ndarray, ends: np.ndarray, passes: Sequence[tuple[float, Colour]]
    ) -> None:
        """Draw straight strokes with round ends, one after the other, from points (n, 2) to points
        (n, 2). Each is drawn once for every width (mm) and colour, the first undermost."""
        low, high = np.minimum(starts, ends), np.maximum(starts, ends)
        seen = self.area.meets(low, high, max((width for width, _ in passes), default=0.0))
        if not seen.any():
            return
        from_, to = self._at(starts[seen]), self._at(ends[seen])
        shapes = [_outlines(from_, to, self._fine(width) / 2) for width, _ in passes]
        colours = [colour for _, colour in passes]
        polygon = self._draw.polygon
        for stroke in zip(*shapes, strict=True):
            for shape, colour in zip(stroke, colours, strict=True):
                polygon(shape, colour)

    def dots(self, places: np.ndarray, radius_mm: float, colours: Sequence[Colour]) -> None:
        """Draw discs round points (n, 2), each in its own colour, the first undermost."""
        seen = self.area.meets(places, places, radius_mm)
        radius = self._fine(radius_mm)
        which = np.flatnonzero(seen).tolist()
        for k, (x, y) in zip(which, self._at(places[seen]).tolist(), strict=True):
            self._draw.ellipse((x - radius, y - radius, x + radius, y + radius), colours[k])

    def finished(self) -> Image.Image:
        """The picture at its own size."""
        return self._image.reduce(FINER)

    def part(self, area: Area, long_side_px: int) -> Image.Image:
        """A picture of an area within this one, made of the finer pixels; it should be coarser than
        they are."""
        px_per_mm = long_side_px / max(area.width, area.height)
        size = (max(1, round(area.width * px_per_mm)), max(1, round(area.height * px_per_mm)))
        left, top = area.left - self.area.left, area.top - self.area.top
        edges = (left, top, left + area.width, top + area.height)
        most = self._image.size * 2
        box = [min(max(self._fine(mm), 0.0), limit) for mm, limit in zip(edges, most, strict=True)]
        return self._image.resize(size, Image.Resampling.BOX, (box[0], box[1], box[2], box[3]))

    def print_over(self, fabric_print: FabricPrint) -> None:
        """Fill the whole area with a print at its true size."""
        self.printed(self._within(), fabric_print)

    def _fine(self, mm: float) -> float:
        return mm * self.px_per_mm * FINER

    def _at(self, points: np.ndarray) -> np.ndarray:
        """Points in the finer pixels. The middle of a pixel has its number, not half more."""
        corner = (self.area.left, self.area.top)
        return np.asarray((points - corner) * (self.px_per_mm * FINER) - 0.5)

    def _numbers(self, ring: BaseGeometry) -> list[int]:
        at = self._at(shapely.get_coordinates(ring))
        return [int(number) for number in np.rint(at).ravel()]

    def _reach(self) -> BaseGeometry:
        """The area and a little more, so that what is cut off ends out of sight."""
        return self._within(0.1 * max(self.area.width, self.area.height))

    def _within(self, more_mm: float = 0.0) -> BaseGeometry:
        """The area, larger by so much on every side."""
        area = self.area
        return shapely.box(
            area.left - more_mm,
            area.top - more_mm,
            area.left + area.width + more_mm,
            area.top + area.height + more_mm,
        )


def _outlines(starts: np.ndarray, ends: np.ndarray, half: float) -> list[list[int]]:
    """The outlines of strokes with round ends, as flat lists of whole numbers."""
    rims = round_ended(starts, ends, half, _chords(half))
    flat: list[list[int]] = np.rint(rims).astype(int).reshape(len(rims), -1).tolist()
    return flat


def _chords(half: float) -> int:
    """With how many chords a quarter of a stroke's round end is drawn, `half` being the stroke's
    half width in finer pixels: they miss less of the round than rounding to whole pixels does."""
    fewest = math.pi / 4 / math.acos(max(1 - _MISSED / max(half, _MISSED), 0.0))
    return max(1, math.ceil(fewest))
