"""The laying page: every piece's fabric outlined at true size in its place, in laying order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.paper.content import Card, CardPiece
from applique.paper.drawing import (
    FAINT,
    INK,
    Drawing,
    Item,
    Path,
    line,
    rectangle,
    shape_curves,
)
from applique.paper.inside import Inside, Subject
from applique.paper.leaders import Places, place_numbers
from applique.paper.tags import Words, drawn_numbers, words_size

_EDGES_TOLD = (
    "Full lines: the edge of the fabric as it lies. Short dashes: edges that a later piece covers. "
    "Long dashes: seam line."
)
_PAUSES_TOLD = "P3 is what is laid at pause 3, P3.2 the second there."
_NO_PAUSES_TOLD = "The table says at which pause a piece is laid."
_BOXES_TOLD = "A number in a box belongs to the piece at the end of its line."
_PATCHES = "Lay patches so that they reach past their outline all round."

_LABEL_MM = 4.6
_PAUSE_MM = 2.5
_EDGE_MM = 0.35
_COVERED_MM = 0.2
_COVERED_DASH_MM = (1.2, 1.0)
_SEAM_DASH_MM = (6.0, 2.0)
_TINT = 0.2
"""Share of the fabric's colour in the tint that tells pieces from each other."""

_INSIDE = Inside(share=0.6, scales=(1.0, 0.75))
"""A number may take up more of its piece: at true size the outline shows all the same."""

_ON_EDGE_MM = 0.1
"""An edge this near to one of a later piece lies on it, and is drawn once."""


def laying_drawing(card: Card) -> tuple[Drawing, tuple[str, ...]]:
    """The drawing at true size, and the labels for which it had no room."""
    name = f"{card.name or 'Block'}, laying page"
    frame = card.frame
    items: list[Item] = [rectangle(card.box_mm, stroke=FAINT, stroke_mm=0.2)]
    shown = _shown(card.pieces)
    items += [Path(shape_curves(shown[piece.label]), _tint(piece.colour)) for piece in card.pieces]
    if frame is not None:
        box = (frame.left, frame.top, frame.right, frame.bottom)
        items.append(rectangle(box, stroke=INK, stroke_mm=0.2, dash_mm=_SEAM_DASH_MM))
    items += _edges(card.pieces)
    items += _middle_marks(card)
    places, words = _numbers(card, shown)
    colours = {piece.label: _tint(piece.colour) for piece in card.pieces}
    numbers = drawn_numbers(places.placed, words, colours, backed=True)
    seen = [piece.cut for piece in card.pieces] + [placed.box for placed in places.placed]
    drawing = Drawing(name, (*items, *numbers), card.box_mm, _told(card.pieces, words), tuple(seen))
    return drawing, places.missing


def _told(pieces: Sequence[CardPiece], words: dict[str, Words]) -> str:
    """How the drawing is to be read."""
    told = [_EDGES_TOLD]
    if any(len(lines) > 1 for lines in words.values()):
        told.append(_PAUSES_TOLD)
    elif any(piece.pause for piece in pieces):
        told.append(_NO_PAUSES_TOLD)
    told.append(_BOXES_TOLD)
    if any(piece.method == "cut-in-hoop" for piece in pieces):
        told.append(_PATCHES)
    return " ".join(told)


def _shown(pieces: Sequence[CardPiece]) -> dict[str, BaseGeometry]:
    """What is in sight of every piece's fabric once all are laid."""
    above = _above(pieces, 0.0)
    return {
        piece.label: piece.cut.difference(over) for piece, over in zip(pieces, above, strict=True)
    }


def _above(pieces: Sequence[CardPiece], within_mm: float) -> list[BaseGeometry]:
    """For every piece the fabrics laid later that come near it, as one shape."""
    cuts = np.array([piece.cut for piece in pieces], dtype=object)
    below, near = shapely.STRtree(cuts).query(cuts, predicate="dwithin", distance=within_mm)
    later = near > below
    over: list[list[BaseGeometry]] = [[] for _ in pieces]
    for k, other in zip(below[later], near[later], strict=True):
        over[k].append(cuts[other])
    return [shapely.union_all(shapes) for shapes in over]


def _edges(pieces: Sequence[CardPiece]) -> list[Item]:
    """The outlines of the fabrics: full lines in sight, short dashes under later pieces."""
    full: list[Item] = []
    dashed: list[Item] = []
    above = _above(pieces, 2 * _ON_EDGE_MM)
    for piece, over in zip(reversed(pieces), reversed(above), strict=True):
        edge = piece.cut.boundary
        hidden = edge.intersection(over.buffer(-_ON_EDGE_MM))
        shown = edge.difference(over.buffer(_ON_EDGE_MM))
        if shown.equals(edge):
            curves = piece.curves if piece.cut.equals(piece.whole) else ()
            full.append(Path(curves or shape_curves(piece.cut), "", INK, _EDGE_MM))
        else:
            full += [line(part, INK, _EDGE_MM) for part in _lines(shown)]
            dashed += [line(p, FAINT, _COVERED_MM, _COVERED_DASH_MM) for p in _lines(hidden)]
    return [*dashed, *full]


def _lines(geometry: BaseGeometry) -> list[np.ndarray]:
    merged = shapely.line_merge(geometry) if geometry.geom_type == "MultiLineString" else geometry
    return [
        shapely.get_coordinates(part)
        for part in shapely.get_parts(shapely.get_parts(merged))
        if part.geom_type == "LineString" and part.length > 0
    ]


def _middle_marks(card: Card) -> list[Item]:
    """Ticks at the middles of the block's sides, to lay it over folds of the background."""
    if card.frame is None:
        return []
    f = card.frame
    x, y, out = (f.left + f.right) / 2, (f.top + f.bottom) / 2, 4.0
    ends = [
        ((x, f.top - out), (x, f.top + out)),
        ((x, f.bottom - out), (x, f.bottom + out)),
        ((f.left - out, y), (f.left + out, y)),
        ((f.right - out, y), (f.right + out, y)),
    ]
    return [line(pair, INK, 0.25) for pair in ends]


def _numbers(card: Card, shown: dict[str, BaseGeometry]) -> tuple[Places, dict[str, Words]]:
    """Places for labels with their pauses, or, where more pieces get one so, for labels alone; and
    the words of either."""
    at_once = Counter(piece.pause for piece in card.pieces)
    words = {piece.label: _words(piece, at_once[piece.pause]) for piece in card.pieces}
    places = _placed(card, shown, words)
    if any(not shown[label].is_empty for label in places.missing):
        labels = {label: lines[:1] for label, lines in words.items()}
        bare = _placed(card, shown, labels)
        if len(bare.missing) < len(places.missing):
            return bare, labels
    return places, words


def _placed(card: Card, shown: dict[str, BaseGeometry], words: dict[str, Words]) -> Places:
    subjects = [
        Subject(piece.label, shown[piece.label], words_size(words[piece.label]))
        for piece in card.pieces
    ]
    return place_numbers(subjects, card.box_mm, _INSIDE)


def _words(piece: CardPiece, at_once: int) -> Words:
    """The label, and at which pause it is laid; of several laid at once, which it is."""
    label = (piece.label, _LABEL_MM, True)
    if not piece.pause:
        return (label,)
    pause = f"P{piece.pause}"
    if at_once > 1:
        pause += f".{piece.turn}"
    return label, (pause, _PAUSE_MM, False)


def _tint(colour: str) -> str:
    parts = [int(colour[k : k + 2], 16) for k in (1, 3, 5)]
    return "#" + "".join(f"{round(255 + _TINT * (part - 255)):02x}" for part in parts)
