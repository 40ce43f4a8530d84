"""The marks on the template of a hooping: the field, its middle, crosses and arrows.

All is in mm from the middle of the field, as the hoop stands before the machine. A mark comes with
the boxes that it takes up, so that numbers keep off it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.curves import polyline
from applique.model import Curve
from applique.paper.drawing import (
    INK,
    BoxMm,
    Item,
    Path,
    PointMm,
    Text,
    centred,
    line,
    rectangle,
)
from applique.paper.letters import text_width_mm
from applique.paper.sizes import SizeMm
from applique.paper.tags import WHITE, dot

FIELD_MM = 0.25
CENTRE_ARM_MM = 12.0
CROSS_ARM_MM = 5.0
RING_MM = 3.2
"""Radius of the ring round a cross by which the hooping is lined up."""

SEAM_DASH_MM = (6.0, 2.0)
GRIP_DASH_MM = (5.0, 1.5, 0.3, 1.5)

_LINE_MM = 0.3
_CASING_MM = 1.0
"""White below the lines of a mark, so that it stands out from outlines."""

_MIDDLE_DISC_MM = 2.2
_TICK_MM = 6.0
_BRACKET_MM = 8.0
_BRACKET_STROKE_MM = 0.8
_ARROW_MM = 6.0
_SLANTING_MM = 3.0
_NAME_MM = 4.4
_WORDS_MM = 2.5
_GAP_MM = 0.6


@dataclass(frozen=True, eq=False)
class Mark:
    """What is drawn of a mark, and the boxes that it takes up."""

    items: tuple[Item, ...]
    taken: tuple[BoxMm, ...]


def field_border(size_mm: SizeMm) -> list[Item]:
    """The field's border with heavy corners, and a tick outwards from the middle of each side:
    there hoops have their own marks (common practice)."""
    x, y = size_mm[0] / 2, size_mm[1] / 2
    ends = [((0.0, side), (0.0, side + math.copysign(_TICK_MM, side))) for side in (-y, y)]
    ends += [((side, 0.0), (side + math.copysign(_TICK_MM, side), 0.0)) for side in (-x, x)]
    return [
        rectangle((-x, -y, x, y), stroke=INK, stroke_mm=FIELD_MM),
        *(_bracket(across, down) for across in (-x, x) for down in (-y, y)),
        *(line(pair, INK, _LINE_MM) for pair in ends),
    ]


def _bracket(x: float, y: float) -> Path:
    """A corner of the field."""
    inwards = (x - math.copysign(_BRACKET_MM, x), y - math.copysign(_BRACKET_MM, y))
    return line([(inwards[0], y), (x, y), (x, inwards[1])], INK, _BRACKET_STROKE_MM)


def middle_of_field() -> Mark:
    """The origin of the file: a long cross with a disc of which two quarters are filled."""
    arm, radius = CENTRE_ARM_MM, _MIDDLE_DISC_MM
    quarters = tuple(_quarter(radius, turn) for turn in (0, 2))
    items = (
        *_cross((0.0, 0.0), arm),
        dot((0.0, 0.0), radius, WHITE, INK),
        Path(quarters, INK),
    )
    return Mark(items, (_box((0.0, 0.0), 2 * arm, 3.0), _box((0.0, 0.0), 3.0, 2 * arm)))


@dataclass(frozen=True, eq=False)
class Ground:
    """Among what names are placed: borders, the outlines of all pieces and the `pieces` whose own
    numbers need room, as arrays; the boxes of marks, and the drawing's own box."""

    borders: BaseGeometry
    outlines: np.ndarray
    pieces: np.ndarray
    marks: tuple[BoxMm, ...]
    box_mm: BoxMm

    def and_also(self, marks: Iterable[Mark]) -> Ground:
        """With more marks."""
        return replace(self, marks=(*self.marks, *(box for mark in marks for box in mark.taken)))

    def cost(self, box: BoxMm) -> float:
        """What speaks against a name's box: to stand off the drawing most, then on marks, then to
        take up much of a piece, then to lie on borders, then on outlines."""
        place = shapely.box(*box)
        off = not shapely.box(*self.box_mm).contains(place)
        marks = shapely.box(*np.array(self.marks).reshape(-1, 4).T)
        on_marks = int(shapely.intersects(place, marks).sum())
        shares = shapely.area(shapely.intersection(self.pieces, place)) / shapely.area(self.pieces)
        on_borders = place.intersects(self.borders)
        on_outlines = int(shapely.intersects(place, self.outlines).sum())
        in_pieces = 30.0 * float(shares.sum())
        return 1000.0 * off + 100.0 * on_marks + in_pieces + 5.0 * on_borders + on_outlines


def made_cross(place: PointMm) -> Mark:
    """A cross that is made in this hooping."""
    return Mark(tuple(_cross(place, CROSS_ARM_MM)), (_square(place, CROSS_ARM_MM),))


def used_cross(place: PointMm) -> Mark:
    """A cross by which this hooping is lined up: it has a ring."""
    ring = dot(place, RING_MM, "", INK)
    casing = replace(ring, stroke=WHITE, stroke_mm=_CASING_MM)
    return Mark((casing, *_cross(place, CROSS_ARM_MM), ring), (_square(place, CROSS_ARM_MM),))


def middle_of_block(place: PointMm) -> Mark:
    """A small slanting cross."""
    (x, y), arm = place, _SLANTING_MM
    falling = ((x - arm, y - arm), (x + arm, y + arm))
    rising = ((x - arm, y + arm), (x + arm, y - arm))
    return Mark(tuple(_cased([falling, rising])), (_square(place, arm),))


def cross_name(name: str, place: PointMm, ground: Ground) -> Mark:
    """The name of a cross, in one of its four corners."""
    size = (text_width_mm(name, _NAME_MM, bold=True) + 1.0, _NAME_MM)
    box = _least_in_the_way(_corners(place, size, 0.75 * RING_MM), ground)
    return Mark((rectangle(box, WHITE), centred(name, _middle(box), _NAME_MM, True, INK)), (box,))


def block_words(place: PointMm, ground: Ground) -> Mark:
    """What the slanting cross is, on any side of it."""
    words = "middle of the block"
    size = (text_width_mm(words, _WORDS_MM) + 1.0, 1.2 * _WORDS_MM)
    boxes = [*_sides(place, size, _SLANTING_MM), *_corners(place, size, _SLANTING_MM)]
    box = _least_in_the_way(boxes, ground)
    return Mark(
        (rectangle(box, WHITE), centred(words, _middle(box), _WORDS_MM, False, INK)), (box,)
    )


def _least_in_the_way(boxes: Sequence[BoxMm], ground: Ground) -> BoxMm:
    """The first of the boxes against which least speaks."""
    return min(boxes, key=ground.cost)


def _corners(place: PointMm, size_mm: SizeMm, clear_mm: float) -> list[BoxMm]:
    """Boxes of a size off a place along both axes: right and above first."""
    (x, y), (width, height) = place, size_mm
    right, down = clear_mm + _GAP_MM + width / 2, clear_mm + _GAP_MM + height / 2
    ways = [(1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)]
    return [_box((x + a * right, y + b * down), width, height) for a, b in ways]


def _sides(place: PointMm, size_mm: SizeMm, clear_mm: float) -> list[BoxMm]:
    """Boxes of a size right, left, below and above of a place."""
    (x, y), (width, height) = place, size_mm
    right, down = clear_mm + _GAP_MM + width / 2, clear_mm + _GAP_MM + height / 2
    ways = [(right, 0.0), (-right, 0.0), (0.0, down), (0.0, -down)]
    return [_box((x + a, y + b), width, height) for a, b in ways]


def arrow_up(size_mm: SizeMm) -> Mark:
    """Above the field's upper border: which side is the top of the hoop."""
    x, y = -size_mm[0] / 4, -size_mm[1] / 2 - 1.0
    words = "top of the hoop"
    width = text_width_mm(words, _WORDS_MM, bold=True)
    box = (x - 2.5, y - _ARROW_MM, x + 4.0 + width, y)
    items = (
        rectangle(box, WHITE),
        line([(x, y), (x, y - _ARROW_MM + 1.0)], INK, 0.5),
        _filled([(x - 1.8, y - 3.0), (x, y - _ARROW_MM), (x + 1.8, y - 3.0)]),
        Text((x + 3.0, y - 2.0), words, _WORDS_MM, bold=True),
    )
    return Mark(items, (box,))


def arrow_right(size_mm: SizeMm) -> Mark:
    """Beside the field's right border: where the top of the block is that lies turned."""
    x, y = size_mm[0] / 2 + 1.0, -size_mm[1] / 4
    words = "top of the block"
    width = text_width_mm(words, _WORDS_MM, bold=True)
    box = (x, y - 2.5, x + _ARROW_MM, y + 4.0 + width)
    items = (
        rectangle(box, WHITE),
        line([(x, y), (x + _ARROW_MM - 1.0, y)], INK, 0.5),
        _filled([(x + 3.0, y - 1.8), (x + _ARROW_MM, y), (x + 3.0, y + 1.8)]),
        Text((x + 2.0, y + 3.0), words, _WORDS_MM, bold=True, angle_degrees=90.0),
    )
    return Mark(items, (box,))


def _cross(place: PointMm, arm: float) -> list[Item]:
    x, y = place
    return _cased([((x - arm, y), (x + arm, y)), ((x, y - arm), (x, y + arm))])


def _cased(ends: Sequence[tuple[PointMm, PointMm]]) -> list[Item]:
    """Straight lines with white beside them, which lies below all of them."""
    white: list[Item] = [line(pair, WHITE, _CASING_MM) for pair in ends]
    return [*white, *(line(pair, INK, _LINE_MM) for pair in ends)]


def _filled(points: Sequence[PointMm]) -> Path:
    return Path((polyline(np.array(points), closed=True),), INK)


def _quarter(radius: float, quarters: int) -> Curve:
    """A quarter of a disc about (0, 0), so many quarter turns on; 16 chords stray from the round
    by less than 0.003 of the radius."""
    angles = np.radians(np.linspace(0.0, 90.0, 17) + 90.0 * quarters)
    rim = radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return polyline(np.vstack([[[0.0, 0.0]], rim]), closed=True)


def _square(place: PointMm, half: float) -> BoxMm:
    return _box(place, 2 * half, 2 * half)


def _box(middle: PointMm, width: float, height: float) -> BoxMm:
    x, y = middle
    return x - width / 2, y - height / 2, x + width / 2, y + height / 2


def _middle(box: BoxMm) -> PointMm:
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
