"""Makes the swatches of the harbour quilt: two printed fabrics, seen straight from above.

`python -m tests.quilt.make_swatches` writes the same pictures every time. Each is one repeat of its
print, so that swatches laid side by side go on without a seam.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

from applique.files import put_in_place

FOLDER = Path(__file__).resolve().parents[2] / "samples" / "swatches"

SIZE_MM = 48
PIXELS = 240
"""Both swatches are squares: 5 pixels to the millimetre."""

_FINE = 4
"""Drawn this many times larger, so that edges come out smooth."""

_PX_A_MM = _FINE * PIXELS / SIZE_MM

_NEIGHBOURS = [(dx, dy) for dx in (-SIZE_MM, 0, SIZE_MM) for dy in (-SIZE_MM, 0, SIZE_MM)]
"""What is drawn is drawn in the repeats beside as well, so that nothing ends at a seam."""

Colour = tuple[int, int, int]


def waves() -> Image.Image:
    """A directional print: rows of waves, each with a crest of foam, all the same way up."""
    deep, mid, foam = (41, 102, 134), (60, 124, 154), (150, 192, 206)
    y, x = np.mgrid[0 : PIXELS * _FINE, 0 : PIXELS * _FINE] / _PX_A_MM
    row_mm, wave_mm = SIZE_MM / 6, SIZE_MM / 4
    # Crests lean to the right; every other row is moved by half a wave, as scales lie.
    row = np.floor(y / row_mm)
    phase = 2 * np.pi * (x / wave_mm + 0.5 * (row % 2))
    height = 2.6 + 1.2 * np.cos(phase + 0.5 * np.sin(phase))
    above = y - row * row_mm - height
    pixels = np.full((*x.shape, 3), deep, dtype=np.uint8)
    pixels[(above > 0) & (above < 2.2)] = mid
    pixels[(above > 0) & (above < 0.7)] = foam
    return _reduced(Image.fromarray(pixels))


def anchors() -> Image.Image:
    """A tossed print: small anchors and dots, turned every way, on a pale ground."""
    ground, dark, light = (190, 218, 234), (92, 138, 172), (236, 244, 248)
    picture = Image.new("RGB", (PIXELS * _FINE,) * 2, ground)
    draw = ImageDraw.Draw(picture)
    for x, y, turn in ((10, 9, 20), (33, 6, 200), (22, 24, 110), (42, 29, 335), (8, 36, 260)):
        for dx, dy in _NEIGHBOURS:
            _anchor(draw, (x + dx, y + dy), turn, dark)
    for x, y in ((21, 10), (44, 15), (9, 22), (33, 20), (31, 36), (20, 42), (43, 44), (2, 47)):
        for dx, dy in _NEIGHBOURS:
            _dot(draw, x + dx, y + dy, 1.3, light)
    return _reduced(picture)


def _anchor(draw: ImageDraw.ImageDraw, at: tuple[int, int], turn: int, colour: Colour) -> None:
    """An anchor about 8 mm tall: ring, stock, shank, and an arm bent up at both ends."""
    angle = np.radians(turn)
    ways = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    bend = np.radians(np.linspace(10, 170, 17))
    lines = (
        np.array([[0, -2.6], [0, 3.8]]),
        np.array([[-1.9, -1.5], [1.9, -1.5]]),
        np.column_stack([3.2 * np.cos(bend), 0.6 + 3.2 * np.sin(bend)]),
        np.column_stack([0.8 * np.cos(2.2 * bend), -3.4 + 0.8 * np.sin(2.2 * bend)]),
    )
    for line in lines:
        _stroke(draw, line @ ways + at, 0.8, colour)


def _stroke(
    draw: ImageDraw.ImageDraw, line_mm: NDArray[np.float64], wide_mm: float, colour: Colour
) -> None:
    """A line with round ends and joins."""
    points = [tuple(point) for point in (line_mm * _PX_A_MM).tolist()]
    draw.line(points, fill=colour, width=round(wide_mm * _PX_A_MM))
    for x, y in line_mm.tolist():
        _dot(draw, x, y, wide_mm / 2, colour)


def _dot(
    draw: ImageDraw.ImageDraw, x_mm: float, y_mm: float, radius_mm: float, colour: Colour
) -> None:
    box = [(at + side) * _PX_A_MM for side in (-radius_mm, radius_mm) for at in (x_mm, y_mm)]
    draw.ellipse(box, fill=colour)


def _reduced(picture: Image.Image) -> Image.Image:
    return picture.resize((PIXELS, PIXELS), Image.Resampling.BOX)


SWATCHES: dict[str, Callable[[], Image.Image]] = {"sea-waves": waves, "tossed-anchors": anchors}


def main() -> None:
    """Write the swatches."""
    FOLDER.mkdir(exist_ok=True)
    for name, made in SWATCHES.items():
        sink = io.BytesIO()
        made().save(sink, format="PNG", optimize=True)
        put_in_place(FOLDER / f"{name}.png", sink.getvalue())


if __name__ == "__main__":
    main()
