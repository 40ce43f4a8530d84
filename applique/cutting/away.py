"""Fabric cut away beneath the pieces above, so that layers stay thin and soft.

What lies deeper beneath the pieces above than an underlap is not needed: quilters cut windows into
it. Only pieces that are cut to their outline before sewing get them: a patch is not laid so exactly
that a window in it would come to lie in its place, and an edge is turned on whole fabric.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.offset import arc_segments
from applique.geometry.rings import SPECK_MM2, as_multipolygon, polygons_of
from applique.geometry.width import narrower_than
from applique.layering.fabric import CLEAR_OF_EDGE_MM
from applique.model import LaidPiece

LEAST_ACROSS_MM = 10.0
"""Windows into which no circle of this size fits are not worth cutting (from memory)."""

ROUNDED_MM = 3.0
"""Radius of a window's corners: fabric tears from sharp ones when it is lifted."""

NARROWEST_MM = 3.0
"""Strips of unseen fabric that are narrower are cut away too: they would only fray."""

_BEYOND_MM = 50.0


def cut_away(laid: Sequence[LaidPiece]) -> tuple[LaidPiece, ...]:
    """The pieces of a block in stacking order, each with its `cut` less what is not needed of it,
    where its settings ask for that.

    What is kept reaches beneath the pieces above by the underlap, or 1 mm further than their edges
    and the run-on of its own edge do. A piece stays in as many parts as it was.
    """
    shapes = np.array([piece.cut for piece in laid], object)
    lower, upper = shapely.STRtree(shapes).query(shapes, predicate="intersects")
    above: list[list[LaidPiece]] = [[] for _ in laid]
    for a, b in sorted(zip(lower.tolist(), upper.tolist(), strict=True)):
        if a < b and not laid[b].hidden:
            above[a].append(laid[b])
    return tuple(
        replace(piece, cut=_without_unneeded(piece, uppers))
        if uppers and _is_asked_for(piece)
        else piece
        for piece, uppers in zip(laid, above, strict=True)
    )


def _is_asked_for(laid: LaidPiece) -> bool:
    settings = laid.piece.settings
    return settings.hidden_fabric == "cut-away" and settings.method == "cut-first"


def _without_unneeded(laid: LaidPiece, uppers: Sequence[LaidPiece]) -> MultiPolygon:
    """The fabric of a piece less its windows, and less the strips that these leave."""
    deep = _deep_beneath(laid, uppers)
    kept: BaseGeometry = laid.cut
    for window in _windows(laid.cut, deep):
        smaller = _seen_parts(kept.difference(window), deep)
        if len(smaller.geoms) <= len(laid.cut.geoms):
            kept = smaller
    if kept is laid.cut:
        return laid.cut
    half = NARROWEST_MM / 2
    opened = kept.buffer(-half, quad_segs=4).buffer(half, quad_segs=4)
    trimmed = _seen_parts(kept.difference(kept.difference(opened).intersection(deep)), deep)
    return trimmed if len(trimmed.geoms) <= len(laid.cut.geoms) else as_multipolygon(kept)


def _deep_beneath(laid: LaidPiece, uppers: Sequence[LaidPiece]) -> BaseGeometry:
    """Where the pieces above hide a piece so far from their edges that nothing of it is needed.
    What lies beyond the raw edge of the block needs nothing either."""
    settings = laid.piece.settings
    edges_mm = max(upper.piece.settings.edge_inside_mm for upper in uppers) + settings.run_on_mm
    keep_mm = max(settings.underlap_mm, edges_mm + CLEAR_OF_EDGE_MM)
    covers = shapely.union_all([upper.cut for upper in uppers])
    if not laid.raw_edge.is_empty:
        around = shapely.box(*laid.raw_edge.buffer(_BEYOND_MM).bounds)
        covers = covers.union(around.difference(laid.raw_edge))
    return shapely.buffer(covers, -keep_mm, quad_segs=arc_segments(keep_mm))


def _windows(cut: MultiPolygon, deep: BaseGeometry) -> Iterator[BaseGeometry]:
    """What may be cut away, one place at a time, the largest first."""
    arcs = arc_segments(ROUNDED_MM)
    rounded = deep.buffer(-ROUNDED_MM, quad_segs=arcs).buffer(ROUNDED_MM, quad_segs=arcs)
    places = polygons_of(rounded.intersection(cut))
    for place in sorted(places, key=lambda place: -place.area):
        if not narrower_than(place, LEAST_ACROSS_MM):
            yield place


def _seen_parts(shape: BaseGeometry, deep: BaseGeometry) -> MultiPolygon:
    """A shape without the parts of which nothing is needed."""
    parts = as_multipolygon(shape)
    return MultiPolygon([part for part in parts.geoms if part.difference(deep).area > SPECK_MM2])
