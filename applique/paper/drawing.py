"""What is drawn on paper: plain frozen objects in mm, x to the right and y down.

Both writers, `pdf.py` and `html.py`, take these and nothing else. Colours are #rrggbb, "" for none.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from shapely.geometry.base import BaseGeometry

from applique.geometry.curves import polyline, transformed
from applique.geometry.rings import rings_of
from applique.model import Curve

INK = "#1c1c1c"
FAINT = "#8a8a8a"
HAIRLINE_MM = 0.2
_PRINTED_MM = 0.02
"""Half a dot of a printer of 600 dots an inch."""

CAP_HEIGHT = 0.718
"""Height of Helvetica's capitals in its size (Adobe's font metrics)."""

Anchor = Literal["start", "middle", "end"]
PointMm = tuple[float, float]
BoxMm = tuple[float, float, float, float]
"""Left, top, right and bottom."""


@dataclass(frozen=True, eq=False)
class Path:
    """Curves filled by the even-odd rule and drawn along; `dash_mm` are lengths of dash and gap."""

    curves: tuple[Curve, ...]
    fill: str = ""
    stroke: str = ""
    stroke_mm: float = HAIRLINE_MM
    dash_mm: tuple[float, ...] = ()


@dataclass(frozen=True)
class Text:
    """A line of text in Helvetica, its baseline beginning, centred or ending at `place_mm`.

    `size_mm` is the font's size; the angle is in degrees clockwise about the place.
    """

    place_mm: PointMm
    text: str
    size_mm: float
    anchor: Anchor = "start"
    bold: bool = False
    colour: str = INK
    angle_degrees: float = 0.0


@dataclass(frozen=True, eq=False)
class Group:
    """Items moved by `shift_mm` and seen through a window of the page, `clip_mm`."""

    items: tuple[Item, ...]
    shift_mm: PointMm
    clip_mm: BoxMm


Item = Path | Text | Group


@dataclass(frozen=True, eq=False)
class Page:
    """A page of a size in mm. `name` is what a list of the pages calls it."""

    width_mm: float
    height_mm: float
    items: tuple[Item, ...]
    name: str = ""


@dataclass(frozen=True, eq=False)
class Printout:
    """All pages of a file, and its title."""

    title: str
    pages: tuple[Page, ...]


@dataclass(frozen=True, eq=False)
class Drawing:
    """Items within a box, to be put on pages at true size. `name` is what its pages are called,
    `told` a line on how to read it. Where there is anything `to_be_seen`, pages that show nothing
    of that are left out."""

    name: str
    items: tuple[Item, ...]
    box_mm: BoxMm
    told: str = ""
    to_be_seen: tuple[BaseGeometry, ...] = ()


def line(
    points: Sequence[PointMm] | np.ndarray,
    stroke: str = INK,
    stroke_mm: float = HAIRLINE_MM,
    dash_mm: tuple[float, ...] = (),
) -> Path:
    """An open line through two or more points of mm."""
    return Path(
        (polyline(np.asarray(points, dtype=float), closed=False),), "", stroke, stroke_mm, dash_mm
    )


def rectangle(
    box_mm: BoxMm,
    fill: str = "",
    stroke: str = "",
    stroke_mm: float = HAIRLINE_MM,
    dash_mm: tuple[float, ...] = (),
) -> Path:
    """A rectangle."""
    left, top, right, bottom = box_mm
    corners = np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
    return Path((polyline(corners, closed=True),), fill, stroke, stroke_mm, dash_mm)


def shape_curves(shape: BaseGeometry) -> tuple[Curve, ...]:
    """Every ring of a polygonal shape as a closed curve of straight segments; points that a printer
    can't show are left out."""
    shown = shape.simplify(_PRINTED_MM)
    return tuple(polyline(ring, closed=True) for ring in rings_of(shown))


def centred(text: str, place_mm: PointMm, size_mm: float, bold: bool, colour: str) -> Text:
    """A text whose capitals and figures stand centred on a place."""
    x, y = place_mm
    return Text((x, y + CAP_HEIGHT / 2 * size_mm), text, size_mm, "middle", bold, colour)


def moved(items: Iterable[Item], shift_mm: PointMm) -> list[Item]:
    """Items in another place."""
    return [_moved(item, shift_mm) for item in items]


def _moved(item: Item, shift_mm: PointMm) -> Item:
    x, y = shift_mm
    if isinstance(item, Text):
        return replace(item, place_mm=(item.place_mm[0] + x, item.place_mm[1] + y))
    if isinstance(item, Path):
        matrix = np.array([[1.0, 0.0, x], [0.0, 1.0, y]])
        return replace(item, curves=tuple(transformed(curve, matrix) for curve in item.curves))
    left, top, right, bottom = item.clip_mm
    clip = (left + x, top + y, right + x, bottom + y)
    return replace(item, shift_mm=(item.shift_mm[0] + x, item.shift_mm[1] + y), clip_mm=clip)
