"""The lines to cut for each piece. They come from the piece's outline, never from stitches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.fit import fit_ring
from applique.geometry.offset import grown
from applique.geometry.rings import as_multipolygon, rings_of
from applique.layering.fabric import patch_of
from applique.model import Curve, CutLine, Fabric, LaidPiece
from applique.stitches.line import lines_of

SHORTEST_FLAT_MM = 2.0
"""No finger can leave less than this flat."""

_BESIDE_MM = 0.1

Lines = tuple[np.ndarray, ...]


def cut_lines(laid: Iterable[LaidPiece], fabrics: Mapping[str, Fabric]) -> tuple[CutLine, ...]:
    """The cut lines of every piece that shows, in stacking order.

    cut-first: the outline, with its underlap where it is hidden. cut-in-hoop: a patch, larger all
    round. turned: the template at finished size, and the fabric larger by what is turned under.
    """
    lines: list[CutLine] = []
    for piece in laid:
        if not piece.hidden:
            fabric = fabrics.get(piece.piece.fabric, Fabric(piece.piece.fabric))
            lines.extend(_lines(piece, fabric))
    return tuple(lines)


def _lines(laid: LaidPiece, fabric: Fabric) -> list[CutLine]:
    piece = laid.piece
    settings = piece.settings

    def line(kind: str, curves: tuple[Curve, ...], flat: Lines = ()) -> CutLine:
        grain, turn = fabric.grain_degrees, fabric.turn
        return CutLine(piece.label, piece.fabric, kind, curves, grain, turn, flat)

    match settings.method:
        case "cut-in-hoop":
            return [line("patch", fitted(patch_of(laid)))]
        case "turned":
            larger = grown(laid.whole, settings.turn_allowance_mm)
            if not laid.raw_edge.is_empty:
                larger = larger.intersection(laid.raw_edge)
            return [
                line("template", _curves(laid.whole, laid), _left_flat(laid)),
                line("allowance", fitted(as_multipolygon(laid.cut.union(larger)))),
            ]
    return [line("outline", _curves(laid.cut, laid))]


def _left_flat(laid: LaidPiece) -> Lines:
    """The stretches of a turned piece's outline that get no edge, because they are hidden or go
    into a seam: turned, they would only make a ridge."""
    sewn = shapely.union(lines_of(laid.edges), laid.raw_edge.boundary)
    flat = laid.whole.boundary.difference(sewn.buffer(_BESIDE_MM))
    parts = shapely.get_parts(shapely.line_merge(flat))
    return tuple(shapely.get_coordinates(part) for part in parts if part.length >= SHORTEST_FLAT_MM)


def _curves(shape: MultiPolygon, laid: LaidPiece) -> tuple[Curve, ...]:
    """A shape as the outline was drawn, if it is the outline; else fitted."""
    outline = laid.piece.outline
    if outline.curves and shape.equals(outline.shape):
        return outline.curves
    return fitted(shape)


def fitted(shape: BaseGeometry) -> tuple[Curve, ...]:
    """Bezier curves within 0.05 mm of a shape's rings, corners and straight sides kept."""
    return tuple(fit_ring(ring) for ring in rings_of(shape))
