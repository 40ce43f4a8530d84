"""Numbers drawn where `leaders.py` has placed them."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from applique.model import Curve
from applique.paper.drawing import (
    INK,
    Item,
    Path,
    PointMm,
    centred,
    line,
    rectangle,
)
from applique.paper.inside import Placed
from applique.paper.leaders import DOT_MM
from applique.paper.letters import text_width_mm

WHITE = "#ffffff"
_LINE_MM = 0.2
_CASING_MM = 0.7
"""White on both sides of a line, so that it shows on every fabric."""

_DARK = 0.2
"""Relative luminance L on which white and our black (0.011) stand out alike, by the contrast of
WCAG 2.1: (1 + 0.05) / (L + 0.05) = (L + 0.05) / (0.011 + 0.05)."""

Words = tuple[tuple[str, float, bool], ...]
"""The lines of a number: text, size in mm, and whether it is bold."""


def drawn_numbers(
    placed: tuple[Placed, ...],
    words: Mapping[str, Words],
    colours: Mapping[str, str],
    backed: bool = False,
) -> list[Item]:
    """Numbers in their pieces in a colour that shows on the piece's own (`colours`), all others in
    white boxes with lines that lead from them. Lines lie below all numbers; with `backed` nothing
    else shows through the numbers in the pieces."""
    items: list[Item] = []
    for place in placed:
        if place.start_mm is not None and place.end_mm is not None:
            items += _leader(place.start_mm, place.end_mm)
    for place in placed:
        boxed = place.end_mm is not None
        if boxed:
            items.append(rectangle(place.box.bounds, WHITE, INK, 0.15))
        elif backed:
            items.append(rectangle(place.box.bounds, colours[place.key]))
        colour = INK if boxed else letters_on(colours[place.key])
        items += _lines(place, words[place.key], colour)
    return items


def words_size(words: Words) -> tuple[float, float]:
    """Width and height in mm of the lines of a number."""
    width = max(text_width_mm(text, size, bold) for text, size, bold in words)
    return width, sum(size for _, size, _ in words)


def letters_on(colour: str) -> str:
    """Black or white, whichever shows better on a colour."""
    return WHITE if is_dark(colour) else INK


def is_dark(colour: str) -> bool:
    """Whether a colour is dark: its relative luminance (WCAG 2.1; its powers taken as 2.2)."""
    red, green, blue = (int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5))
    return 0.2126 * red**2.2 + 0.7152 * green**2.2 + 0.0722 * blue**2.2 < _DARK


def dot(place: PointMm, radius: float, fill: str, stroke: str = "") -> Path:
    """A disc of four Bezier quarters (within 0.03 % of the radius: M. Goldapp, "Approximation of
    circular arcs by cubic polynomials", 1991)."""
    arm = 4 / 3 * (math.sqrt(2) - 1)
    quarter = np.array([[1.0, 0.0], [1.0, arm], [arm, 1.0], [0.0, 1.0]])
    turn = np.array([[0.0, 1.0], [-1.0, 0.0]])
    quarters = [quarter @ np.linalg.matrix_power(turn, k) for k in range(4)]
    segments = np.stack(quarters) * radius + np.array(place)
    return Path((Curve(segments, np.zeros(4, dtype=bool), True),), fill, stroke, 0.25)


def _leader(start: PointMm, end: PointMm) -> list[Item]:
    return [
        line([start, end], WHITE, _CASING_MM),
        line([start, end], INK, _LINE_MM),
        dot(end, DOT_MM, INK, WHITE),
    ]


def _lines(place: Placed, words: Words, colour: str) -> list[Item]:
    """The lines of a number, centred on its place as one."""
    x, y = place.centre_mm
    heights = [size * place.scale for _, size, _ in words]
    top = y - sum(heights) / 2
    items: list[Item] = []
    for (text, _, bold), height in zip(words, heights, strict=True):
        items.append(centred(text, (x, top + height / 2), height, bold, colour))
        top += height
    return items
