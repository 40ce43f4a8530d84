"""What about the cut lines deserves a second look before a blade or scissors follow them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from applique.cutting.pieces import CutPiece
from applique.geometry.curves import flatten_closed
from applique.geometry.rings import polygons_of, resolve
from applique.geometry.width import narrower_than, widest_mm
from applique.report import Finding, error, warning

NARROWEST_BRIDGE_MM = 3.0
"""Fabric that joins two larger parts by less frays and tears when it is lifted (common practice,
from memory)."""

NARROWEST_PIECE_MM = 6.0
SMALLEST_PIECE_MM2 = 100.0
"""Pieces of a narrower side, or of less than a square centimetre, are hard to cut and to handle
(common practice)."""

WIDER = 1.5
"""A part is larger than a bridge if it is so many times as wide somewhere; what is not is a tip
that wavers."""

_FLATNESS_MM = 0.001
_HALVINGS = 9
"""A bridge is measured within a hundredth of a millimetre."""


def doubts_of(pieces: Sequence[CutPiece]) -> list[Finding]:
    """Cut lines that cross themselves, as errors; thin bridges and small pieces, as warnings.

    Copies of a piece are told of once. Places are told by where they lie in the unturned piece.
    """
    once = {(piece.block, piece.label, piece.kind): piece for piece in pieces}
    return [finding for piece in once.values() for finding in _doubts(piece)]


def _doubts(piece: CutPiece) -> Iterator[Finding]:
    whose = "its template" if piece.kind == "template" else "it"
    crossing = resolve(flatten_closed(piece.curves, _FLATNESS_MM), "evenodd").crossing
    if crossing is not None:
        where = _whereabouts(np.array(crossing), piece.shape)
        text = f"{whose} has a cut line that crosses or touches itself {where}; draw it apart there"
        yield error("cut-crossing", piece.mark, text)
        return
    for part in polygons_of(piece.shape):
        yield from _size_doubts(piece, part, whose)
        for width_mm, place in _bridges(part):
            where = _whereabouts(place, piece.shape)
            text = (
                f"{whose} hangs together by only {width_mm:.1f} mm {where}, which may tear; "
                "make it wider there, or two pieces of it"
            )
            yield warning("thin-bridge", piece.mark, text)


def _size_doubts(piece: CutPiece, part: Polygon, whose: str) -> Iterator[Finding]:
    across_mm = _narrow_side_mm(part)
    if narrower_than(part, NARROWEST_BRIDGE_MM):
        text = f"{whose} is nowhere wider than {widest_mm(part):.1f} mm, hard to cut and handle"
    elif across_mm < NARROWEST_PIECE_MM:
        text = f"{whose} is only {across_mm:.1f} mm across, hard to cut and handle"
    elif part.area < SMALLEST_PIECE_MM2:
        text = f"{whose} has only {part.area / 100:.1f} cm2, hard to cut and handle"
    else:
        return
    yield warning("small-cut", piece.mark, f"{text}; make it larger, or embroider it")


def _narrow_side_mm(part: Polygon) -> float:
    """The narrow side of the smallest rectangle round a shape, however it is turned."""
    corners = shapely.get_coordinates(shapely.oriented_envelope(part))
    return float(np.hypot(*np.diff(corners[:3], axis=0).T).min())


def _bridges(part: Polygon) -> Iterator[tuple[float, np.ndarray]]:
    """The widths in mm and the places (2,) of the thin bridges of a polygon: between its rings, and
    between parts that fall apart when it is shrunk by half the limit."""
    rings = [part.exterior, *part.interiors]
    for k, ring in enumerate(rings):
        for other in rings[:k]:
            across = shapely.shortest_line(ring, other)
            if across.length < NARROWEST_BRIDGE_MM:
                yield across.length, shapely.get_coordinates(across).mean(axis=0)
    solid = Polygon(part.exterior)
    cores = polygons_of(_shrunk(solid, NARROWEST_BRIDGE_MM / 2))
    cores.sort(key=lambda core: -core.area)
    for k in range(1, len(cores)):
        width_mm, place = _neck(solid, cores[k], shapely.union_all(cores[:k]))
        if NARROWEST_BRIDGE_MM + widest_mm(cores[k]) >= WIDER * width_mm:
            yield width_mm, place


def _neck(solid: Polygon, core: Polygon, others: BaseGeometry) -> tuple[float, np.ndarray]:
    """Where a shape, shrunk step by step, first comes apart between a core and larger ones: how
    wide it is there in mm, and the place (2,)."""
    joined_mm, apart_mm = 0.0, NARROWEST_BRIDGE_MM / 2
    sides: tuple[BaseGeometry, BaseGeometry] = (core, others)
    for _ in range(_HALVINGS):
        middle = (joined_mm + apart_mm) / 2
        parts = np.array(polygons_of(_shrunk(solid, middle)), object)
        with_core, with_others = shapely.intersects(parts, core), shapely.intersects(parts, others)
        if (with_core & with_others).any():
            joined_mm = middle
        else:
            apart_mm = middle
            sides = shapely.union_all(parts[with_core]), shapely.union_all(parts[with_others])
    across = shapely.get_coordinates(shapely.shortest_line(*sides))
    return joined_mm + apart_mm, across.mean(axis=0)


def _shrunk(solid: Polygon, by_mm: float) -> BaseGeometry:
    return shapely.buffer(solid, -by_mm, quad_segs=4)


def _whereabouts(place: np.ndarray, shape: BaseGeometry) -> str:
    """A place by thirds of the piece: `at its upper left`, `in its middle`."""
    left, top, right, bottom = shape.bounds
    size = np.maximum([right - left, bottom - top], 1e-9)
    third = np.clip((place - [left, top]) / size * 3, 0, 2).astype(int)
    words = (("upper", "", "lower")[third[1]], ("left", "", "right")[third[0]])
    named = " ".join(word for word in words if word)
    if not named:
        return "in its middle"
    return f"at its {named if words[1] else named + ' edge'}"
