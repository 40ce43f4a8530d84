"""What maps and patterns of cut sheets have in common: sheets, pieces and their numbers.

Everything is drawn in mm of the page: mm of the sheet times a scale, and moved.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.cutting.marks import grain_arrow, side_marks
from applique.cutting.sheet import PlacedCut, Sheet
from applique.cutting.space import box_within, free_space
from applique.geometry.curves import polyline, transformed
from applique.model import Curve
from applique.paper.drawing import (
    FAINT,
    INK,
    BoxMm,
    Item,
    Path,
    PointMm,
    Text,
    line,
    rectangle,
    shape_curves,
)
from applique.paper.inside import Inside, Placed, Subject
from applique.paper.leaders import Places, place_numbers
from applique.paper.letters import text_width_mm
from applique.paper.tags import WHITE, Words, drawn_numbers, words_size

CAUTION = "Blades are sharp; follow your machine's own safety instructions."

_ARROW_MM = 0.3
_CASING_MM = 1.0
_SIDE_MARK_MM = 0.25
_REGION_MM = 0.4
_MARGIN_DASH_MM = (1.5, 1.0)
_NAME_MM = 3.2
_BESIDE_NUMBER_MM = 0.8
_SIMPLER_MM = 0.05
"""Numbers look for places in outlines made so much simpler, a third of a line's width: distances
from curves of hundreds of nodes take long."""
_INSIDE = Inside(share=0.6, scales=(1.0, 0.8, 0.6))
"""Where a number stands in its piece: outlines show all the same."""


@dataclass(frozen=True)
class Place:
    """Where a sheet lies on a page: enlarged by `scale`, then moved by `shift_mm`."""

    scale: float
    shift_mm: PointMm

    def curves(self, curves: Sequence[Curve]) -> tuple[Curve, ...]:
        """Curves of the sheet on the page."""
        x, y = self.shift_mm
        matrix = np.array([[self.scale, 0.0, x], [0.0, self.scale, y]])
        return tuple(transformed(curve, matrix) for curve in curves)

    def points(self, points: np.ndarray) -> np.ndarray:
        """Points (n, 2) of the sheet on the page."""
        return points * self.scale + np.array(self.shift_mm)

    def shape(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the sheet on the page."""
        return shapely.transform(shape, self.points)

    def on_sheet(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the page on the sheet."""
        shift = np.array(self.shift_mm)
        return shapely.transform(shape, lambda points: (points - shift) / self.scale)


def numbered(
    cuts: Sequence[PlacedCut],
    place: Place,
    size_mm: float,
    area_mm: BoxMm,
    colours: Mapping[str, str],
) -> tuple[list[Item], tuple[str, ...]]:
    """The grain arrows and the numbers of pieces, within an area of the page, and the numbers for
    which it had no room. `colours` are those of the pieces by their fabric, white where it tells
    none. Numbers are `size_mm` high, smaller in small pieces, and stand beside those that have no
    room for them."""
    words: dict[str, Words] = {str(k): ((c.piece.mark, size_mm, True),) for k, c in enumerate(cuts)}
    subjects = [
        Subject(str(k), _outline(cut, place), words_size(words[str(k)]))
        for k, cut in enumerate(cuts)
    ]
    places = place_numbers(subjects, area_mm, _INSIDE)
    grounds = {str(k): colours.get(c.piece.fabric, WHITE) for k, c in enumerate(cuts)}
    missing = tuple(cuts[int(key)].piece.mark for key in places.missing)
    return [*_arrows(cuts, place, places), *drawn_numbers(places.placed, words, grounds)], missing


def _outline(cut: PlacedCut, place: Place) -> BaseGeometry:
    """A piece on the page, as far as its number is concerned."""
    return place.shape(shapely.simplify(cut.shape, _SIMPLER_MM / place.scale))


def _arrows(cuts: Sequence[PlacedCut], place: Place, places: Places) -> list[Item]:
    """The grain of every piece, clear of its number or of the end of its number's line."""
    taken = {int(p.key): place.on_sheet(_taken(p)) for p in places.placed}
    lines = [
        place.points(part)
        for k, cut in enumerate(cuts)
        for part in grain_arrow(cut.piece, cut.placement, taken.get(k, shapely.Point()))
    ]
    white: list[Item] = [line(points, WHITE, _CASING_MM) for points in lines]
    return [*white, *(line(points, INK, _ARROW_MM) for points in lines)]


def _taken(number: Placed) -> BaseGeometry:
    found = number.box if number.end_mm is None else shapely.Point(number.end_mm)
    return found.buffer(_BESIDE_NUMBER_MM)


def beside(cuts: Sequence[PlacedCut], place: Place) -> list[Item]:
    """The second lines beside sides that stay flat, and the clips."""
    marks = [line for cut in cuts for line in side_marks(cut.piece, cut.placement)]
    lines = tuple(polyline(line, closed=False) for line in marks)
    return [Path(place.curves(lines), "", INK, _SIDE_MARK_MM)] if lines else []


def regions(sheet: Sheet, place: Place) -> list[Item]:
    """The borders of the fabrics on a shared sheet, and their names where nothing lies."""
    if not sheet.regions:
        return []
    space = free_space(sheet.stock, 0.0, [cut.shape for cut in sheet.cuts], 1.0)
    height = _NAME_MM / place.scale
    items: list[Item] = []
    for region in sheet.regions:
        box = shapely.box(*region.box_mm)
        items.append(rectangle(place.shape(box).bounds, stroke=INK, stroke_mm=_REGION_MM))
        width = text_width_mm(region.fabric, height, bold=True)
        corner = box_within(space.intersection(box.buffer(-height / 2)), width, height)
        if corner is None:
            corner = np.array(region.box_mm[:2]) + height / 2
        x, y = place.points(corner + np.array([0.0, height])).tolist()
        items.append(Text((x, y), region.fabric, _NAME_MM, bold=True))
    return items


def margin(sheet: Sheet, place: Place) -> list[Item]:
    """The sheet's margin, dashed."""
    within = sheet.stock.shape.buffer(-sheet.margin_mm, join_style="mitre")
    if sheet.margin_mm <= 0 or within.is_empty:
        return []
    return [Path(shape_curves(place.shape(within)), "", FAINT, 0.15, _MARGIN_DASH_MM)]
