"""The picture of a block on its card: fabrics in stacking order, the seam line, the numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from applique.geometry.curves import transformed
from applique.model import Curve
from applique.paper.content import Card, CardDetail, CardPiece
from applique.paper.drawing import (
    INK,
    BoxMm,
    Group,
    Item,
    Path,
    PointMm,
    rectangle,
    shape_curves,
)
from applique.paper.inside import Subject
from applique.paper.leaders import place_numbers
from applique.paper.tags import Words, drawn_numbers, is_dark, words_size

NUMBER_MM = 3.4
BORDER_MM = 5.0
"""Free paper round the block in which boxes may stand."""

_OUTLINE_MM = 0.18
_ON_DARK = "#d8d8d8"
"""Outlines of dark fabrics."""

_SEAM_DASH_MM = (2.5, 1.2)


def picture_height_mm(card: Card, width_mm: float) -> float:
    """How high the picture is where it takes all of a width."""
    left, top, right, bottom = card.box_mm
    return (width_mm - 2 * BORDER_MM) * (bottom - top) / (right - left) + 2 * BORDER_MM


def block_picture(card: Card, box_mm: BoxMm) -> tuple[list[Item], tuple[str, ...]]:
    """The block as large as it goes in the middle of a box on the page, and the labels of pieces
    for whose numbers there was no room."""
    left, top, right, bottom = card.box_mm
    x0, y0, x1, y1 = box_mm
    room = (x1 - x0 - 2 * BORDER_MM, y1 - y0 - 2 * BORDER_MM)
    scale = min(room[0] / (right - left), room[1] / (bottom - top))
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    shift = (middle[0] - scale * (left + right) / 2, middle[1] - scale * (top + bottom) / 2)
    matrix = np.array([[scale, 0.0, shift[0]], [0.0, scale, shift[1]]])
    corners = np.array([[left, top], [right, bottom]]) * scale + shift
    sheet: BoxMm = (*corners[0].tolist(), *corners[1].tolist())
    fabrics = [_drawn(item, matrix) for item in card.stack]
    items: list[Item] = [
        rectangle(sheet, card.background_colour),
        Group(tuple(fabrics), (0.0, 0.0), sheet),
        rectangle(sheet, stroke=INK, stroke_mm=0.25),
        *_seam_line(card, scale, shift),
    ]
    numbers, missing = _numbers(card.pieces, scale, shift, box_mm)
    return [*items, *numbers], missing


def _drawn(item: CardPiece | CardDetail, matrix: np.ndarray) -> Path:
    if isinstance(item, CardPiece):
        stroke = _ON_DARK if is_dark(item.colour) else INK
        curves = item.curves or shape_curves(item.whole)
        return Path(_moved(curves, matrix), item.colour, stroke, _OUTLINE_MM)
    curves = _moved(item.curves, matrix)
    if item.filled:
        return Path(curves, item.colour)
    return Path(curves, "", item.colour, max(item.width_mm * matrix[0, 0], 0.2))


def _moved(curves: Sequence[Curve], matrix: np.ndarray) -> tuple[Curve, ...]:
    return tuple(transformed(curve, matrix) for curve in curves)


def _seam_line(card: Card, scale: float, shift: PointMm) -> list[Item]:
    """The seam line in white and black, so that it shows on every fabric."""
    if card.frame is None:
        return []
    f = card.frame
    box = (
        f.left * scale + shift[0],
        f.top * scale + shift[1],
        f.right * scale + shift[0],
        f.bottom * scale + shift[1],
    )
    return [
        rectangle(box, stroke="#ffffff", stroke_mm=0.45),
        rectangle(box, stroke=INK, stroke_mm=0.2, dash_mm=_SEAM_DASH_MM),
    ]


def _numbers(
    pieces: Sequence[CardPiece], scale: float, shift: PointMm, area_mm: BoxMm
) -> tuple[list[Item], tuple[str, ...]]:
    words: dict[str, Words] = {p.label: ((p.label, NUMBER_MM, True),) for p in pieces}
    subjects = [
        Subject(
            piece.label,
            shapely.transform(piece.shown, lambda points: points * scale + np.array(shift)),
            words_size(words[piece.label]),
        )
        for piece in pieces
    ]
    places = place_numbers(subjects, area_mm)
    colours = {piece.label: piece.colour for piece in pieces}
    return drawn_numbers(places.placed, words, colours), places.missing
