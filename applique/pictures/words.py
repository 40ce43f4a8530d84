"""Words on a picture, in the project's own single-stroke letters: the same on every system."""

from __future__ import annotations

import shapely

from applique.geometry.lettering import lettered, lettering_width
from applique.pictures.canvas import Canvas
from applique.pictures.colours import INK, WHITE, Colour

_STROKE_SHARE = 0.13
"""Width of a letter's stroke for its height."""

_HALO_SHARE = 0.5
"""Width of the light band behind the letters' strokes, which keeps them legible on any ground."""

_BOX_SHARE = 0.4
"""Room round the text in a box, for the height of its letters."""


def write(
    canvas: Canvas,
    text: str,
    at: tuple[float, float],
    height_px: float,
    colour: Colour = INK,
) -> None:
    """Write a line of text, its top left corner at a place in mm, its letters some px high."""
    _strokes(canvas, text, at, height_px, _STROKE_SHARE, colour)


def write_over(
    canvas: Canvas,
    text: str,
    middle: tuple[float, float],
    height_px: float,
    colour: Colour = INK,
) -> None:
    """Write text over a drawing, its middle at a place in mm but never off the picture."""
    corner = _corner(canvas, text, middle, height_px)
    _strokes(canvas, text, corner, height_px, _HALO_SHARE, WHITE)
    _strokes(canvas, text, corner, height_px, _STROKE_SHARE, colour)


def write_boxed(canvas: Canvas, text: str, middle: tuple[float, float], height_px: float) -> None:
    """Write light text in a dark box, its middle at a place in mm but never off the picture."""
    left, top = _corner(canvas, text, middle, height_px)
    height = height_px / canvas.px_per_mm
    more = _BOX_SHARE * height
    width = lettering_width(text, height)
    box = shapely.box(left - more, top - more, left + width + more, top + height + more)
    canvas.polygon(box, INK)
    _strokes(canvas, text, (left, top), height_px, _STROKE_SHARE, WHITE)


def _corner(
    canvas: Canvas, text: str, middle: tuple[float, float], height_px: float
) -> tuple[float, float]:
    """The top left corner of a text with its middle at a place, moved in where it would stick
    out."""
    area = canvas.area
    height = height_px / canvas.px_per_mm
    width = lettering_width(text, height)
    return (
        _within(middle[0], width, area.left + height, area.left + area.width - height),
        _within(middle[1], height, area.top + height, area.top + area.height - height),
    )


def _within(middle: float, size: float, low: float, high: float) -> float:
    return max(low, min(middle - size / 2, high - size))


def _strokes(
    canvas: Canvas,
    text: str,
    at: tuple[float, float],
    height_px: float,
    share: float,
    colour: Colour,
) -> None:
    height = height_px / canvas.px_per_mm
    for line in lettered(text, height):
        canvas.line(line + at, share * height, colour)
