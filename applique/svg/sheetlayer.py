"""The layer of cut sheets: every sheet and what lies on it, at true size beside the page.

It is for the eye. Nothing reads it back; it is locked, and made anew as a whole.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from lxml import etree

from applique.geometry.curves import transformed
from applique.geometry.lettering import lettered, lettering_width
from applique.model import Curve
from applique.svg import vocabulary as v
from applique.svg.layers import cleared_layer, digits_for, indent, unit_scale
from applique.svg.paths import write_path, write_points
from applique.svg.transforms import apply, compose, inverse, page_size_mm, root_matrix

AWAY_MM = 20.0
"""From the page to the first sheet, and from one sheet to the next."""

AROUND_MM = 8.0
"""What is drawn of a sheet reaches no further beyond its border, its titles apart."""

TITLE_MM = (8.0, 5.0)
"""Heights of a sheet's titles, from the top; smaller where the sheet is too narrow for them."""

_LEADING_MM = 3.5
_TITLES_MM = sum(TITLE_MM) + len(TITLE_MM) * _LEADING_MM + AROUND_MM
"""Room above a sheet."""

_INK = "#1a1a1a"
_SHEET_STYLE = ("#ffffff", "1", "#6f6f6f", 0.5)
_PIECE_OPACITY = "0.35"
_LINE_MM = 0.5
_CASING_MM = 1.3
_EDGE_MM = 0.3


@dataclass(frozen=True, eq=False)
class DrawnPiece:
    """A piece as it is drawn: its mark, its fabric's colour, and its closed curves."""

    mark: str
    colour: str
    curves: tuple[Curve, ...]


@dataclass(frozen=True, eq=False)
class DrawnSheet:
    """One sheet as it is drawn, in mm from its upper left corner.

    `fabric` is what it is cut from, `number` which of that fabric's sheets it is; `titles` stand
    above it, the first in larger letters. `border` are closed curves, those of holes too. `lines`,
    (n, 2) arrays, are what is written on it.
    """

    fabric: str
    number: int
    titles: tuple[str, str]
    size_mm: tuple[float, float]
    border: tuple[Curve, ...]
    pieces: tuple[DrawnPiece, ...]
    lines: tuple[np.ndarray, ...]


def write_sheets(root: etree._Element, sheets: Sequence[DrawnSheet]) -> None:
    """Draw sheets on the document's layer of cut sheets, in place of what stands there: to the
    right of the page, row by row, about as many rows as columns."""
    layer = cleared_layer(root, v.ROLE_SHEETS, "Cut sheets", _is_ours)
    layer.set(v.sodipodi("insensitive"), "true")
    corners = _corners([sheet.size_mm for sheet in sheets], page_size_mm(root)[0] + AWAY_MM)
    for place, (sheet, corner) in enumerate(zip(sheets, corners, strict=True), start=1):
        group = etree.SubElement(layer, v.svg("g"))
        group.set("id", f"ap-sheet-{place}")
        group.set(v.inkscape("label"), sheet.titles[0])
        group.set(v.SHEET, sheet.fabric)
        group.set(v.SHEET_NUMBER, str(sheet.number))
        _draw(group, sheet, _Pen(root, corner))
    indent(layer)


def _is_ours(element: etree._Element) -> bool:
    return element.get(v.SHEET_NUMBER) is not None


def _corners(sizes: Sequence[tuple[float, float]], left_mm: float) -> list[tuple[float, float]]:
    """The upper left corners of sheets in rows from left to right, on the page in mm; the titles
    of the first row begin at the page's upper side."""
    columns = max(1, math.ceil(math.sqrt(len(sizes))))
    corners = []
    top = 0.0
    for first in range(0, len(sizes), columns):
        row = sizes[first : first + columns]
        left, top = left_mm, top + _TITLES_MM
        for width, _ in row:
            corners.append((left, top))
            left += width + AWAY_MM
        top += max(height for _, height in row) + AWAY_MM
    return corners


def _draw(group: etree._Element, sheet: DrawnSheet, pen: _Pen) -> None:
    pen.closed(group, sheet.border, *_SHEET_STYLE)
    for piece in sheet.pieces:
        path = pen.closed(group, piece.curves, piece.colour, _PIECE_OPACITY, _INK, _EDGE_MM)
        path.set(v.inkscape("label"), piece.mark)
    for width_mm, colour in ((_CASING_MM, "#ffffff"), (_LINE_MM, _INK)):
        pen.lines(group, sheet.lines, colour, width_mm)
    pen.lines(group, _title_lines(sheet), _INK, _LINE_MM)


def _title_lines(sheet: DrawnSheet) -> list[np.ndarray]:
    """What stands above a sheet, no wider than it."""
    lines: list[np.ndarray] = []
    y = -_TITLES_MM
    for title, height in zip(sheet.titles, TITLE_MM, strict=True):
        smaller = min(1.0, sheet.size_mm[0] / max(lettering_width(title, height), height))
        shift = np.array([0.0, y])
        lines += [line + shift for line in lettered(title, smaller * height)]
        y += height + _LEADING_MM
    return lines


class _Pen:
    """Draws what is given in mm on a sheet whose corner is given in mm on the page, in the units of
    the document."""

    def __init__(self, root: etree._Element, corner_mm: tuple[float, float]) -> None:
        self._scale = unit_scale(root)
        self._digits = digits_for(self._scale)
        shift = np.array([[1.0, 0.0, corner_mm[0]], [0.0, 1.0, corner_mm[1]]])
        self._to_user = compose(inverse(root_matrix(root)), shift)

    def closed(
        self,
        group: etree._Element,
        curves: Sequence[Curve],
        fill: str,
        opacity: str,
        stroke: str,
        width_mm: float,
    ) -> etree._Element:
        """Add a filled shape with an outline to a group, rings within rings left open."""
        moved = [transformed(curve, self._to_user) for curve in curves]
        style = f"fill:{fill};fill-opacity:{opacity};fill-rule:evenodd;{self._stroke(width_mm)}"
        return _path(group, write_path(moved, self._digits), f"{style};stroke:{stroke}")

    def lines(
        self, group: etree._Element, lines: Sequence[np.ndarray], colour: str, width_mm: float
    ) -> None:
        """Add open lines to a group as one path; nothing if there are none."""
        data = [write_points(apply(self._to_user, line), self._digits) for line in lines]
        if data:
            round_ends = "stroke-linecap:round;stroke-linejoin:round"
            style = f"fill:none;{self._stroke(width_mm)};{round_ends};stroke:{colour}"
            _path(group, " ".join(data), style)

    def _stroke(self, width_mm: float) -> str:
        return f"stroke-width:{width_mm / self._scale:.4g}"


def _path(group: etree._Element, data: str, style: str) -> etree._Element:
    path = etree.SubElement(group, v.svg("path"))
    path.set("d", data)
    path.set("style", style)
    return path
