"""Draws the sample pages of `applique trace`: templates of a harbour, traced and numbered by hand.

`python -m tests.trace.make_samples` writes the same pictures every time, into `samples/traced/`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import shapely
from PIL import Image
from shapely import affinity

from applique.geometry.curves import flatten
from applique.svg.paths import parse_path
from tests.trace.drawn import (
    Colour,
    Mark,
    Page,
    Scanner,
    Traced,
    digit_strokes,
    pen_path,
    scanned,
    smooth_line,
    with_gap,
)
from tests.trace.photographed import Camera, photographed, seen_from_above

ROOT = Path(__file__).resolve().parents[2]

LETTER_MM = (215.9, 279.4)
A4_MM = (210.0, 297.0)
JPEG_QUALITY = 84

MARKER: Colour = (0.035, 0.035, 0.04)
BLUE_MARKER: Colour = (0.03, 0.05, 0.16)
DUST: Colour = (0.30, 0.28, 0.26)

TEMPLATES = {
    "hull": "M0 4 C20 8 50 7 70 0 C67 12 61 21 52 23 L17 23 C8 21 3 14 0 4 Z",
    "mainsail": "M0 0 C18 14 30 32 34 53 C22 56 10 56 0 54 Z",
    "jib": "M20 0 L22 43 C14 45 6 44 0 42 C9 29 16 15 20 0 Z",
    "lighthouse": "M5 64 L9 26 L4 26 L4 20 L9.5 20 L9.5 10 C11 6 13 3 16 0 C19 3 21 6 22.5 10"
    " L22.5 20 L28 20 L28 26 L23 26 L27 64 Z",
    "left wing": "M0 13 C8 1 24 -3 42 4 C33 6 27 9 22 15 C15 11 7 11 0 13 Z",
    "right wing": "M42 13 C34 1 18 -3 0 4 C9 6 15 9 20 15 C27 11 35 11 42 13 Z",
    "pennant": "M0 0 C12 5 28 -1 46 9 C29 13 14 15 0 21 Z",
    "cloud": "M7 22 C-2 22 -2 11 6 10 C7 1 19 -1 23 6 C28 1 38 4 38 12 C46 12 46 22 38 22 Z",
    "buoy": "M12 0 L19 0 L23 17 C29 19 31 23 31 27 C24 32 7 32 0 27 C0 23 2 19 8 17 Z",
    "moon": "M15 0 C2 4 -2 21 8 29 C15 34 24 33 28 28 C18 28 11 23 11 14 C11 8 12 4 15 0 Z",
    "house": "M0 17 L18 0 L36 17 L31 17 L31 39 L5 39 L5 17 Z",
    "fish": "M0 12 C8 0 25 -1 37 9 L48 1 C45 8 45 16 48 23 L37 15 C25 25 8 24 0 12 Z",
    "wave": "M0 31 C11 29 16 8 34 2 C47 -2 56 5 57 15 C51 10 44 10 42 15 C40 23 50 30 64 31 Z",
    "starfish": "M21 0 C24 0 25 10 27 14 C32 14 42 13 43 16 C44 19 36 23 33 27 C35 31 39 39 36 41"
    " C33 43 26 36 22 34 C18 36 11 43 8 41 C5 39 10 31 11 27 C8 23 0 19 1 16 C2 13 11 14 15 14"
    " C17 10 18 0 21 0 Z",
    "whale's tail": "M20 42 C19 31 18 23 12 18 C6 14 1 11 0 2 C8 1 19 3 24 11 C29 3 40 1 48 2"
    " C47 11 42 14 36 18 C30 23 29 31 28 42 Z",
    "life belt": "M36 18 C36 27.941 27.941 36 18 36 C8.059 36 0 27.941 0 18 C0 8.059 8.059 0 18 0"
    " C27.941 0 36 8.059 36 18 Z",
    "life belt's hole": "M17 8.5 C17 13.194 13.194 17 8.5 17 C3.806 17 0 13.194 0 8.5"
    " C0 3.806 3.806 0 8.5 0 C13.194 0 17 3.806 17 8.5 Z",
    "fluke": "M0 0 C12 3 22 12 26 25 L17 23 C14 16 8 11 0 10 Z",
    "shell": "M14 27 C5 24 -1 15 1 7 C4 -1 12 0 16 0 C20 0 28 -1 31 7 C33 15 27 24 18 27 L20 32"
    " L12 32 Z",
}
"""The templates of a harbour, in mm, as the data of SVG paths."""


@dataclass(frozen=True)
class Placed:
    """A template on a page: where its upper left corner comes to lie, turned by degrees about its
    middle; its number, and where that stands from the widest place inside it, in mm. A gap of
    `gap_mm` lies towards `gap_side`, as an angle clockwise from the right."""

    name: str
    at: tuple[float, float]
    turn: float
    number: str
    number_off: tuple[float, float] = (0.0, 0.0)
    number_mm: float = 6.5
    gap_mm: float = 0.0
    gap_side: float = 0.0


@dataclass(frozen=True)
class Sheet:
    """A page to draw: its paper, what is on it, the pen, the hand's seed, and stray marks."""

    size_mm: tuple[float, float]
    placed: tuple[Placed, ...]
    pen_mm: float
    colour: Colour
    seed: int
    stray: tuple[tuple[tuple[float, float], ...], ...] = ()


@dataclass
class Hand:
    """A hand that trembles a little, the same way every time for its seed."""

    seed: int
    chance: np.random.Generator = field(init=False)

    def __post_init__(self) -> None:
        self.chance = np.random.default_rng(self.seed)

    def traced(self, path: np.ndarray, sway_mm: float = 0.07) -> np.ndarray:
        """The pen's closed way (n, 2) with a tremor: the template stops it on the inside."""
        ring = shapely.LinearRing(path)
        count = max(40, int(ring.length / 0.35))
        corners = path[:-1][_turns(path) > np.radians(20)]
        along = np.union1d(
            np.linspace(0, ring.length, count, endpoint=False),
            shapely.line_locate_point(ring, shapely.points(corners)),
        )
        even = shapely.get_coordinates(shapely.line_interpolate_point(ring, along))
        ahead = np.roll(even, -1, axis=0) - np.roll(even, 1, axis=0)
        ahead /= np.hypot(*ahead.T)[:, None]
        outward = np.stack([ahead[:, 1], -ahead[:, 0]], axis=1) * (1 if ring.is_ccw else -1)
        slow, quick = (self._waves(along / ring.length, round(ring.length / mm)) for mm in (9, 2.5))
        push = np.maximum(sway_mm * (slow + 1) + 0.012 * quick, -0.02)
        moved = even + push[:, None] * outward
        return np.vstack([moved, moved[:1]])

    def _waves(self, share: np.ndarray, knots: int) -> np.ndarray:
        """Smooth random heights around a ring, about 1 high."""
        heights = self.chance.normal(0, 0.6, max(knots, 4))
        place = share * len(heights)
        low = np.floor(place).astype(int)
        bend = (1 - np.cos(np.pi * (place - low))) / 2
        start, stop = heights[low % len(heights)], heights[(low + 1) % len(heights)]
        return start + bend * (stop - start)

    def written(self, text: str, middle: np.ndarray, height_mm: float) -> Iterator[np.ndarray]:
        """A number's strokes around its middle, each digit a little askew."""
        width = 0.8 * height_mm * len(text)
        for place, digit in enumerate(text):
            turn, size = np.radians(self.chance.normal(4, 4)), self.chance.normal(1, 0.06)
            matrix = size * np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
            corner = np.add(middle, (0.8 * height_mm * place - width / 2 + 0.1 * height_mm, 0))
            for line in digit_strokes(digit):
                shaken = line + self.chance.normal(0, 0.018, line.shape)
                yield smooth_line((shaken - [0, 0.5]) @ matrix.T * height_mm + corner)


def _turns(path: np.ndarray) -> np.ndarray:
    """By how much a closed way turns at each of its points, unsigned."""
    steps = np.diff(path, axis=0)
    arriving, leaving = np.roll(steps, 1, axis=0), steps
    cross = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    return np.abs(np.arctan2(cross, (arriving * leaving).sum(axis=1)))


def template(placed: Placed) -> shapely.Polygon:
    """A template in its place on the page."""
    (curve,) = parse_path(TEMPLATES[placed.name])
    turned = affinity.rotate(shapely.Polygon(flatten(curve, 0.002)), placed.turn, origin="center")
    left, top = turned.bounds[:2]
    return affinity.translate(turned, placed.at[0] - left, placed.at[1] - top)


def drawn(sheet: Sheet) -> Page:
    """A sheet with everything a hand drew on it."""
    hand, pen_mm = Hand(sheet.seed), 0.8 * sheet.pen_mm
    marks: list[Mark] = []
    for placed in sheet.placed:
        shape = template(placed)
        marks.append(outline(placed, shape, sheet, hand))
        widest = shapely.get_coordinates(shapely.maximum_inscribed_circle(shape, 0.2))[0]
        digits = hand.written(placed.number, widest + placed.number_off, placed.number_mm)
        marks += [Mark(line, pen_mm, sheet.colour) for line in digits]
    marks += [Mark(smooth_line(np.array(line)), pen_mm, sheet.colour) for line in sheet.stray]
    specks = hand.chance.uniform((5, 5), np.array(sheet.size_mm) - 5, (40, 2))
    marks += [Mark(at[None], hand.chance.uniform(0.05, 0.2), DUST) for at in specks]
    return Page(sheet.size_mm, tuple(marks))


def outline(placed: Placed, shape: shapely.Polygon, sheet: Sheet, hand: Hand) -> Mark:
    """The line that a pen draws around a template."""
    pen_mm = sheet.pen_mm * hand.chance.uniform(0.95, 1.05)
    way = np.radians(placed.gap_side)
    middle = shapely.get_coordinates(shape.centroid)[0]
    gap_at = middle + 100 * np.array([np.cos(way), np.sin(way)])
    gap_at = shape.exterior.intersection(shapely.LineString([middle, gap_at])).coords[0]
    traced = Traced(np.array(shape.exterior.coords)[:-1], pen_mm, placed.gap_mm, gap_at)
    path = hand.traced(pen_path(traced))
    return Mark(with_gap(path, traced) if placed.gap_mm else path, pen_mm, sheet.colour)


HARBOUR_1 = Sheet(
    LETTER_MM,
    (
        Placed("lighthouse", (17, 16), 2, "1", (0, -4)),
        Placed("mainsail", (64, 17), -3, "2", (-2, 4)),
        Placed("jib", (112, 22), 3, "3", (1, 3)),
        Placed("cloud", (152, 24), 0, "4"),
        Placed("hull", (26, 98), -2, "5"),
        Placed("pennant", (128, 92), 4, "6", (-1, 0), gap_mm=1.5, gap_side=-90),
        Placed("house", (22, 142), 3, "7", (0, 1)),
        Placed("moon", (86, 143), -8, "8", (0, 0), 5.0),
        Placed("wave", (136, 140), 0, "9", (-1, 6)),
        Placed("left wing", (24, 208), -4, "10", (1, 0), 5.5),
        Placed("right wing", (82, 206), 5, "11", (-1, 0), 5.5),
        Placed("buoy", (148, 196), -6, "12"),
    ),
    1.1,
    BLUE_MARKER,
    seed=11,
    stray=(((104, 245), (112, 241), (121, 243), (127, 240)),),
)

HARBOUR_2 = Sheet(
    A4_MM,
    (
        Placed("fish", (16, 20), 3, "13", (-2, 0)),
        Placed("starfish", (84, 17), 6, "14", (0, 0.5)),
        Placed("shell", (146, 22), -5, "15"),
        Placed("whale's tail", (20, 78), -2, "16", (0, 7.5), 5.5),
        Placed("life belt", (92, 82), 0, "17", (0, -13.7), 4.5),
        Placed("life belt's hole", (101.5, 91.5), 0, "18", (0, 0), 5.5),
        Placed("fluke", (154, 84), 12, "19", (0.2, 0.3), 4.0),
        Placed("mainsail", (20, 140), 88, "20", (0, 0)),
        Placed("hull", (98, 150), 4, "21", (0, 4.6)),
        Placed("fish", (150, 214), 184, "24", (2, 0)),
        Placed("pennant", (24, 216), -9, "22"),
        Placed("house", (94, 206), -4, "23", (0, 2)),
    ),
    0.9,
    MARKER,
    seed=12,
)

HARBOUR_PHOTO = Sheet(
    A4_MM,
    (
        Placed("wave", (18, 22), 2, "25", (-1, 6)),
        Placed("lighthouse", (100, 20), -4, "26", (0, -4)),
        Placed("starfish", (150, 26), 14, "27", (0, 0.5)),
        Placed("jib", (28, 82), 5, "28", (1, 3)),
        Placed("whale's tail", (66, 100), 6, "29", (0, 7.5), 5.5),
        Placed("buoy", (144, 104), 5, "30", (0, 1)),
        Placed("hull", (22, 168), -4, "31"),
        Placed("cloud", (132, 166), 3, "32"),
        Placed("fish", (24, 226), -3, "33", (-2, 0)),
        Placed("moon", (98, 220), 10, "34", (-0.1, 0.6), 4.0),
        Placed("shell", (150, 222), 4, "35"),
    ),
    1.2,
    MARKER,
    seed=13,
)


def main() -> None:
    """Draw the three pictures."""
    folder = ROOT / "samples" / "traced"
    folder.mkdir(exist_ok=True)
    scanner = Scanner(300, True, 0.7, True, 0.06, 0.7, 1.3, seed=21)
    _save(scanned(drawn(HARBOUR_1), scanner), folder / "harbour-1.jpg", 300)
    scanner = Scanner(300, False, -0.9, True, 0.04, 0.7, 1.4, seed=22)
    _save(scanned(drawn(HARBOUR_2), scanner), folder / "harbour-2.jpg", 300)
    page = scanned(drawn(HARBOUR_PHOTO), Scanner(300, True, uneven=0.15, blur_px=0.4, noise=0))
    size_px = (2760, 3680)
    corners = seen_from_above(A4_MM, size_px, 11.2, (5.0, -4.0, 1.5))
    camera = Camera(size_px, corners, -0.012, (0.11, 0.065, 0.035), 0.8, 1.5, 23)
    _save(photographed(page, camera), folder / "harbour-photo.jpg", None)


def _save(picture: np.ndarray, path: Path, dpi: int | None) -> None:
    """Write a JPEG: a scan with its resolution, a photo as a camera held sideways writes it."""
    image, told = Image.fromarray(picture), {}
    if dpi is None:
        # Tag 274 is the orientation; 6 says that the right of what is stored is the top.
        image, told["exif"] = image.transpose(Image.Transpose.ROTATE_90), Image.Exif()
        told["exif"][274] = 6
    else:
        told["dpi"] = (dpi, dpi)
    image.save(path, quality=JPEG_QUALITY, optimize=True, subsampling="4:2:0", **told)


if __name__ == "__main__":
    main()
