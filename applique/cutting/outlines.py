"""The lines to cut for each piece. They come from the piece's outline, never from stitches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np
import shapely
from shapely import MultiLineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.cutting.away import cut_away
from applique.cutting.clips import clips_of
from applique.geometry.fit import fit_ring
from applique.geometry.offset import arc_segments, grown
from applique.geometry.rings import as_multipolygon, rings_of
from applique.layering.edges import LONGEST_FLICKER_MM
from applique.layering.fabric import CLEAR_OF_EDGE_MM, patch_of
from applique.model import Curve, CutLine, Fabric, LaidPiece
from applique.stitches.line import lines_of

SHORTEST_FLAT_MM = 2.0
"""No finger can leave less than this flat."""

_BESIDE_MM = 0.1

_HOOK_MM = 0.2
"""Segments are looked at for hooks up to so long a chord: four times what fitting may stray."""

Lines = tuple[np.ndarray, ...]


def cut_lines(laid: Iterable[LaidPiece], fabrics: Mapping[str, Fabric]) -> tuple[CutLine, ...]:
    """The cut lines of every piece that shows, in stacking order.

    cut-first: the outline, with its underlap where it is hidden, and if asked for without what is
    hidden beyond that. cut-in-hoop: a patch, larger all round. turned: the template at finished
    size, and the fabric larger by what is turned under, with its clips.
    """
    lines: list[CutLine] = []
    for piece in cut_away(tuple(laid)):
        if not piece.hidden:
            fabric = fabrics.get(piece.piece.fabric, Fabric(piece.piece.fabric))
            lines.extend(_lines(piece, fabric))
    return tuple(lines)


def _lines(laid: LaidPiece, fabric: Fabric) -> list[CutLine]:
    piece = laid.piece
    settings = piece.settings

    def line(kind: str, curves: tuple[Curve, ...], flat: Lines = (), clips: Lines = ()) -> CutLine:
        grain, turn = fabric.grain_degrees, fabric.turn
        return CutLine(piece.label, piece.fabric, kind, curves, grain, turn, flat, clips)

    match settings.method:
        case "cut-in-hoop":
            return [line("patch", fitted(patch_of(laid)))]
        case "turned":
            allowance = _with_allowance(laid)
            return [
                line("template", _curves(laid.whole, laid), _left_flat(laid)),
                line("allowance", fitted(allowance), clips=clips_of(laid, allowance)),
            ]
    return [line("outline", _curves(laid.cut, laid))]


def _with_allowance(laid: LaidPiece) -> MultiPolygon:
    """The fabric of a turned piece: larger by what is turned under. A side that stays flat beneath
    a piece above is larger no further than that piece hides it, so that it never peeps out."""
    allowance_mm = laid.piece.settings.turn_allowance_mm
    larger: BaseGeometry = grown(laid.whole, allowance_mm)
    if not laid.above.is_empty:
        arcs = arc_segments(allowance_mm)
        beside = shapely.buffer(_in_sight(laid), allowance_mm, quad_segs=arcs, cap_style="flat")
        wanted = beside.union(laid.above.buffer(-CLEAR_OF_EDGE_MM))
        # No slit between the two, where a turned edge ends just beneath the piece above.
        without_slits = wanted.buffer(CLEAR_OF_EDGE_MM).buffer(-CLEAR_OF_EDGE_MM)
        larger = larger.intersection(wanted.union(without_slits))
    if not laid.raw_edge.is_empty:
        larger = larger.intersection(laid.raw_edge)
    return as_multipolygon(laid.cut.union(larger))


def _in_sight(laid: LaidPiece) -> MultiLineString:
    """The sides of a piece that no piece above hides: those sewn, and on into the seam."""
    covered = laid.above.buffer(laid.piece.settings.touch_mm + _BESIDE_MM)
    free = shapely.get_parts(shapely.line_merge(laid.whole.boundary.difference(covered)))
    # Neighbours that run beside each other leave a touch's distance now and then.
    free = free[shapely.length(free) > LONGEST_FLICKER_MM]
    return MultiLineString([*lines_of(laid.edges).geoms, *free])


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
    return tuple(_without_hooks(fit_ring(ring)) for ring in rings_of(shape))


def _without_hooks(curve: Curve) -> Curve:
    """A curve with those very short segments straight that reach back behind their ends: such a
    hook beside a corner crosses the next side."""
    segments = curve.segments
    chords = segments[:, 3] - segments[:, 0]
    squares = (chords**2).sum(axis=1)
    along = ((segments[:, 1:3] - segments[:, :1]) * chords[:, None]).sum(axis=2)
    back = ((along < 0) | (along > squares[:, None])).any(axis=1)
    hooked = back & (squares < _HOOK_MM**2) & ~curve.straight
    if not hooked.any():
        return curve
    thirds = segments[:, :1] + np.array([0.0, 1 / 3, 2 / 3, 1.0])[:, None] * chords[:, None]
    thirds[:, 3] = segments[:, 3]  # Free of rounding, so that the next begins where it ends.
    straightened = np.where(hooked[:, None, None], thirds, segments)
    return Curve(straightened, curve.straight | hooked, curve.closed)
