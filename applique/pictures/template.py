"""One template as a picture: its outline, its name and a bar of known length."""

from __future__ import annotations

import numpy as np
from shapely import MultiPolygon

from applique.geometry.lettering import lettering_width
from applique.pictures.canvas import Canvas, area_round
from applique.pictures.colours import INK, PAPER, Colour
from applique.pictures.png import png_bytes
from applique.pictures.words import write

_LONG_SIDE_PX = 1000
_LETTERS_PX = 34.0
_WORDS_SHARE = 0.7
"""A picture is as wide as this share of its height at least, for its title's sake."""

_MARGIN = 0.08

_FILL: Colour = (214, 222, 226)
_BAR_MM = 10.0


def template_picture(title: str, shape: MultiPolygon) -> bytes:
    """A PNG of a template, `shape` in mm, with its title and a bar of 10 mm beneath it."""
    left, top, right, bottom = shape.bounds
    size = max(right - left, bottom - top, _BAR_MM)
    wide = max(right, left + _WORDS_SHARE * size)
    area = area_round((left, top, wide, bottom + 0.22 * size), _MARGIN * size)
    canvas = Canvas(area, PAPER, _LONG_SIDE_PX)
    canvas.polygon(shape, _FILL)
    canvas.outline(shape, 3.0, INK)
    y = bottom + 0.14 * size
    room_px = (wide - left) * canvas.px_per_mm
    fits_px = room_px / max(lettering_width(title, 1.0), 1.0)
    write(canvas, title, (left, bottom + 0.05 * size), min(_LETTERS_PX, fits_px))
    bar = np.array([[left, y], [left + _BAR_MM, y]])
    canvas.line(bar, 4.0 / canvas.px_per_mm, INK)
    write(canvas, "10 mm", (left, y + 0.02 * size), _LETTERS_PX * 0.7)
    return png_bytes(canvas.finished())
