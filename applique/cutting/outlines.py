"""The lines to cut for each piece. They come from the piece's outline, never from stitches."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.fit import fit_ring
from applique.geometry.offset import grown
from applique.geometry.rings import as_multipolygon, rings_of
from applique.model import Curve, CutLine, Fabric, LaidPiece


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

    def line(kind: str, curves: tuple[Curve, ...]) -> CutLine:
        return CutLine(piece.label, piece.fabric, kind, curves, fabric.grain_degrees, fabric.turn)

    match settings.method:
        case "cut-in-hoop":
            patch = grown(_without_holes(laid.cut), settings.patch_margin_mm)
            return [line("patch", fitted(patch))]
        case "turned":
            whole = laid.cut.union(grown(piece.outline.shape, settings.turn_allowance_mm))
            return [
                line("template", _own_curves(laid)),
                line("allowance", fitted(as_multipolygon(whole))),
            ]
    if laid.cut.equals(piece.outline.shape):
        return [line("outline", _own_curves(laid))]
    return [line("outline", fitted(laid.cut))]


def _own_curves(laid: LaidPiece) -> tuple[Curve, ...]:
    """The outline as it was drawn, or fitted where it had to be remade."""
    outline = laid.piece.outline
    return outline.curves or fitted(outline.shape)


def fitted(shape: BaseGeometry) -> tuple[Curve, ...]:
    """Bezier curves within 0.05 mm of a shape's rings, corners and straight sides kept."""
    return tuple(fit_ring(ring) for ring in rings_of(shape))


def _without_holes(shape: MultiPolygon) -> MultiPolygon:
    return MultiPolygon([Polygon(part.exterior) for part in shape.geoms])
