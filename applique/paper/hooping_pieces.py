"""The pieces on the template of a hooping: their outlines and their numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.curves import flatten, polyline, transformed
from applique.hoops.plan import Hooping
from applique.model import Curve
from applique.paper.drawing import FAINT, INK, BoxMm, Item, Path
from applique.paper.inside import PAD_MM, Inside, Subject
from applique.paper.leaders import place_numbers
from applique.paper.tags import Words, drawn_numbers, words_size

HERE_MM = 0.5
"""Width of the outlines of what is sewn in the hooping."""

SEWN_MM = 0.2
LATER_DASH_MM = (0.5, 1.2)
"""What an earlier hooping sewed has thin full outlines, all else dotted ones."""

_NUMBER_MM = 4.6
_SMALL_NUMBER_MM = 2.4
_TINT = 0.2
"""Share of the fabric's colour in the tint of what is sewn in the hooping."""

_EDGE = ("edge", "underlay", "detail")

_NEAR_EDGE_MM = 5.0
"""Needle points of an edge are no further from one another along its outline, nor from it."""

_PAPER = "#ffffff"
_THREAD_MM = 0.5
"""How wide an open line of a detail counts where its number looks for a place."""

_INSIDE = Inside(share=0.6, scales=(1.0, 0.75))
"""As on the laying page: at true size the outline shows all the same."""

_LEAST_SEEN_MM2 = 4.0
"""Of what is not sewn here, no number leads to less than this at the edge of the drawing."""


@dataclass(frozen=True, eq=False)
class ShownPiece:
    """A piece or a detail on the template. `curves` are mm on the page; `sewn_in` is the number of
    the hooping that sews it, the first if several do, 0 if none does; `divided` says that several
    do, each a stretch of it."""

    label: str
    colour: str
    curves: tuple[Curve, ...]
    sewn_in: int
    divided: bool = False


@dataclass(frozen=True, eq=False)
class InHoop:
    """A piece as it lies in the hoop, mm from the middle of the field. `shape` is its fabric or
    thread as far as the drawing reaches; `here` says that it is sewn in this hooping, `before` that
    it was begun in an earlier one; `strong` are the parts of its outline sewn in this one."""

    label: str
    colour: str
    curves: tuple[Curve, ...]
    shape: BaseGeometry
    here: bool
    before: bool
    strong: tuple[Curve, ...]


def pieces_in_hoop(
    shown: Sequence[ShownPiece], hooping: Hooping, matrix: np.ndarray, box_mm: BoxMm
) -> tuple[InHoop, ...]:
    """The pieces that reach into the drawing, in their order, moved by a (2, 3) matrix."""
    window = shapely.box(*box_mm)
    found = []
    for piece in shown:
        curves = tuple(transformed(curve, matrix) for curve in piece.curves)
        shape = covered_by(curves).intersection(window)
        if not shape.is_empty:
            here = piece.sewn_in == hooping.number or piece.label in hooping.labels
            before = 0 < piece.sewn_in < hooping.number
            strong = curves if here else ()
            if here and piece.divided:
                strong = _stretch_of(piece, hooping, matrix)
            found.append(InHoop(piece.label, piece.colour, curves, shape, here, before, strong))
    return tuple(found)


def _stretch_of(piece: ShownPiece, hooping: Hooping, matrix: np.ndarray) -> tuple[Curve, ...]:
    """The parts of a piece's outline along which a hooping sews its edge."""
    paths = [
        path
        for step in hooping.steps
        if step.piece == piece.label and step.kind in _EDGE
        for path in step.paths
    ]
    if not paths:
        return ()
    lines = shapely.MultiLineString([_outline_of(curve) for curve in piece.curves])
    near = shapely.MultiPoint(np.vstack(paths)).buffer(_NEAR_EDGE_MM)
    parts = shapely.get_parts(shapely.line_merge(lines.intersection(near)))
    return tuple(
        transformed(polyline(shapely.get_coordinates(part), closed=False), matrix)
        for part in parts
        if isinstance(part, shapely.LineString)
    )


def _outline_of(curve: Curve) -> np.ndarray:
    points = flatten(curve)
    return np.vstack([points, points[:1]]) if curve.closed else points


def covered_by(curves: Sequence[Curve]) -> BaseGeometry:
    """What closed curves enclose by the even-odd rule, with what the thread of open ones covers."""
    covered: BaseGeometry = Polygon()
    for curve in curves:
        points = flatten(curve)
        if curve.closed and len(points) > 2:
            covered = covered.symmetric_difference(shapely.make_valid(Polygon(points)))
    threads = [
        shapely.LineString(flatten(curve)).buffer(_THREAD_MM / 2)
        for curve in curves
        if not curve.closed
    ]
    return shapely.union_all([covered, *threads])


def outlines(pieces: Sequence[InHoop]) -> list[Item]:
    """Tints first, then the outlines of what is not sewn here, then strong ones. The rest of a
    piece of which a stretch is sewn here has thin full outlines."""
    here = [piece for piece in pieces if piece.here]
    others = [piece for piece in pieces if not piece.here]
    tints = [Path(_closed(piece.curves), _tint(piece.colour)) for piece in here]
    faint = [
        Path(piece.curves, "", FAINT, SEWN_MM, () if piece.before else LATER_DASH_MM)
        for piece in others
    ]
    thin = [Path(piece.curves, "", INK, SEWN_MM) for piece in here if piece.strong != piece.curves]
    strong = [Path(piece.strong, "", INK, HERE_MM) for piece in here if piece.strong]
    return [*tints, *faint, *thin, *strong]


def _closed(curves: Sequence[Curve]) -> tuple[Curve, ...]:
    return tuple(curve for curve in curves if curve.closed)


def numbers(
    pieces: Sequence[InHoop], lines: BaseGeometry, taken: Sequence[BoxMm], box_mm: BoxMm
) -> tuple[list[Item], tuple[str, ...]]:
    """The labels of the pieces, small where they are not sewn here, clear of the boxes `taken` by
    marks and, within their pieces, of `lines`; and the labels of pieces sewn here for which there
    is no room."""
    shown = [_off(shape, lines) for shape in _in_sight(pieces)]
    first = sorted(range(len(pieces)), key=lambda k: not pieces[k].here)
    boxes = [part for box in taken for part in _squares(box)]
    subjects = [_mark(box, f"mark {k}") for k, box in enumerate(boxes)]
    words: dict[str, Words] = {}
    colours: dict[str, str] = {}
    for k in first:
        piece = pieces[k]
        if not piece.here and shown[k].area < _LEAST_SEEN_MM2:
            continue
        # Keys are positions: nothing keeps a piece from bearing a mark's name.
        key = str(k)
        size = _NUMBER_MM if piece.here else _SMALL_NUMBER_MM
        words[key] = ((piece.label, size, piece.here),)
        colours[key] = _tint(piece.colour) if piece.here else _PAPER
        subjects.append(Subject(key, shown[k], words_size(words[key])))
    places = place_numbers(subjects, box_mm, _INSIDE)
    placed = tuple(place for place in places.placed if place.key in words)
    missing = [pieces[int(key)] for key in places.missing if key in words]
    labels = tuple(piece.label for piece in missing if piece.here)
    return drawn_numbers(placed, words, colours, backed=True), labels


def _squares(box_mm: BoxMm) -> list[BoxMm]:
    """A box divided along its longer side into parts that are not longer than wide: a number finds
    the middle of a part without doubt."""
    left, top, right, bottom = box_mm
    width, height = right - left, bottom - top
    count = math.ceil(max(width, height) / min(width, height) - 1e-9)
    across = np.linspace(left, right, count + 1 if width > height else 2).tolist()
    down = np.linspace(top, bottom, 2 if width > height else count + 1).tolist()
    return [(a, c, b, d) for a, b in pairwise(across) for c, d in pairwise(down)]


def _mark(box_mm: BoxMm, key: str) -> Subject:
    """A box as something with a number of its own size in it, which then keeps others off."""
    left, top, right, bottom = box_mm
    size = (right - left, bottom - top)
    wide, high = (max(side / 6, 1.2 * PAD_MM) for side in size)
    room = shapely.box(left - wide, top - high, right + wide, bottom + high)
    return Subject(key, room, size)


def _in_sight(pieces: Sequence[InHoop]) -> list[BaseGeometry]:
    """What shows of every piece once all are laid; all of it where nothing does."""
    above: BaseGeometry = Polygon()
    shown: list[BaseGeometry] = []
    for piece in reversed(pieces):
        seen = piece.shape.difference(above)
        above = above.union(piece.shape)
        shown.append(piece.shape if seen.is_empty else seen)
    return shown[::-1]


def _off(shape: BaseGeometry, lines: BaseGeometry) -> BaseGeometry:
    """What of a shape is clear of lines; all of it where nothing is."""
    clear = shape.difference(lines.buffer(PAD_MM / 2))
    return shape if clear.is_empty else clear


def _tint(colour: str) -> str:
    parts = [int(colour[k : k + 2], 16) for k in (1, 3, 5)]
    return "#" + "".join(f"{round(255 + _TINT * (part - 255)):02x}" for part in parts)
