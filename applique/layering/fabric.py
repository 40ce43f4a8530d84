"""The fabric of a piece as it is cut: run on beneath its covers and into the seam."""

from __future__ import annotations

import shapely
import shapely.affinity
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.offset import arc_segments, grown
from applique.geometry.rings import SPECK_MM2, as_multipolygon, polygons_of
from applique.layering.cover import SEAM_TOLERANCE_MM, Cover, within_seams
from applique.model import EMPTY, Frame, LaidPiece, Piece
from applique.settings import Settings

SHORTEST_GAP_MM = 2.0
"""Outlines that cross run beside each other for less than this; traced neighbours for longer."""


CLEAR_OF_EDGE_MM = 1.0
"""An underlap stays this far inside the edge of the piece above it, more than layers shift."""

SLIT_MM = 1.0
"""Slits and holes beneath a cover that are narrower than this are not cut."""

TONGUE_MM = 0.5
"""An underlap has no tongues narrower than this."""

_APART_MM = 0.02
"""Outlines that are not to differ are kept this far apart: where they ran along each other, joining
them would take many times as long."""

_BESIDE_MM = 0.05
_NARROWEST_STRIP_MM = 1.0
"""A slanted outline leaves narrower strips at the seam line, which nobody could cut."""


def cut_shape(piece: Piece, cover: Cover, frame: Frame | None) -> MultiPolygon:
    """The fabric as it is cut: the outline, run on beneath its covers and into the seam."""
    outline = piece.outline.shape
    whole = whole_shape(outline, frame)
    if cover.pieces:
        underlapped = whole_shape(_with_underlap(outline, cover, piece.settings, frame), frame)
        whole = underlapped if frame is None else as_multipolygon(whole.union(underlapped))
    return _attached(whole, outline)


def _with_underlap(
    outline: MultiPolygon, cover: Cover, settings: Settings, frame: Frame | None
) -> MultiPolygon:
    """The outline joined with what runs on beneath its covers.

    The underlap keeps clear of where a cover's own edge shows, so that it never peeps out there;
    and it makes no tongues, slits or small holes that scissors could not follow.
    """
    beneath = _closed_gaps(outline, cover, settings.touch_mm)
    reach = grown(outline, settings.underlap_mm)
    underlap = reach.intersection(beneath)
    elsewhere = cover.union.boundary.difference(outline.buffer(settings.touch_mm + _BESIDE_MM))
    if frame is not None:
        elsewhere = elsewhere.intersection(within_seams(frame))
    underlap = underlap.difference(elsewhere.buffer(CLEAR_OF_EDGE_MM, quad_segs=4))
    half, slit = TONGUE_MM / 2, SLIT_MM / 2
    without_tongues = _buffered(outline.union(underlap), -half, half + _APART_MM)
    whole = outline.union(underlap.intersection(without_tongues))
    without_slits = _buffered(whole, slit, -slit - _APART_MM)
    beneath = without_slits.intersection(cover.union.intersection(reach))
    return as_multipolygon(whole.union(beneath))


def whole_shape(shape: MultiPolygon, frame: Frame | None) -> MultiPolygon:
    """A shape carried on through the seam allowance where it reaches the seam line, and cut off at
    the raw edge. `frame` is None unless it does."""
    return shape if frame is None else _into_seam(shape, frame)


def patch_of(laid: LaidPiece) -> MultiPolygon:
    """The patch that is laid for a piece cut in the hoop: larger all round, without its holes."""
    whole = MultiPolygon([Polygon(part.exterior) for part in laid.cut.geoms])
    return grown(whole, laid.piece.settings.patch_margin_mm)


def raw_edge(frame: Frame | None) -> BaseGeometry:
    """The block with its seam allowance; empty without a frame."""
    if frame is None:
        return EMPTY
    out = frame.seam_allowance
    return shapely.box(frame.left - out, frame.top - out, frame.right + out, frame.bottom + out)


def _closed_gaps(shape: MultiPolygon, cover: Cover, touch_mm: float) -> BaseGeometry:
    """The covers, with the narrow gaps between them and the piece filled in."""
    if touch_mm == 0 or not _gap_between(shape, cover):
        return cover.union
    arcs = arc_segments(touch_mm)
    both = shape.union(cover.union)
    half = touch_mm / 2
    closed = both.buffer(half, quad_segs=arcs).buffer(-half, quad_segs=arcs)
    # Closing also rounds the piece's own notches: only what lies at a cover is a gap.
    return cover.union.union(closed.intersection(cover.touching))


def _gap_between(shape: MultiPolygon, cover: Cover) -> bool:
    """Whether the outline somewhere runs beside a cover without going under it."""
    outline = shape.boundary
    touching = outline.intersection(cover.touching).length
    if touching - outline.intersection(cover.union).length < SHORTEST_GAP_MM:
        return False
    beside = outline.intersection(cover.touching).difference(cover.union)
    return any(
        part.length > SHORTEST_GAP_MM for part in shapely.get_parts(shapely.line_merge(beside))
    )


def _attached(whole: BaseGeometry, shape: MultiPolygon) -> MultiPolygon:
    """The parts of `whole` that hang together with the piece."""
    parts = as_multipolygon(whole)
    if len(parts.geoms) <= 1:
        return parts
    return MultiPolygon([part for part in parts.geoms if part.intersection(shape).area > SPECK_MM2])


def _into_seam(shape: MultiPolygon, frame: Frame) -> MultiPolygon:
    """Where the piece ends at the seam line it is cut through the allowance; where it goes beyond,
    no further than the allowance."""
    near, out = SEAM_TOLERANCE_MM, frame.seam_allowance
    x0, y0, x1, y1 = frame.left, frame.top, frame.right, frame.bottom
    # Just inside and just outside each seam line, and the way out from there.
    sides = [
        (shapely.box(x0, y0 - out, x0 + near, y1 + out), (-near, 0.0), (-out, 0.0)),
        (shapely.box(x1 - near, y0 - out, x1, y1 + out), (near, 0.0), (out, 0.0)),
        (shapely.box(x0 - out, y0, x1 + out, y0 + near), (0.0, -near), (0.0, -out)),
        (shapely.box(x0 - out, y1 - near, x1 + out, y1), (0.0, near), (0.0, out)),
    ]
    whole: BaseGeometry = shape
    for inside, step, way in sides:
        outside = shapely.affinity.translate(inside, *step)
        ends = _swept(whole.intersection(inside), step, way)
        goes_on = _swept(whole.intersection(outside), step, way)
        beside = ends.difference(goes_on.buffer(2 * near, join_style="mitre"))
        whole = whole.union(_without_slivers(beside))
    return as_multipolygon(whole.intersection(raw_edge(frame)))


def _buffered(shape: BaseGeometry, first_mm: float, second_mm: float) -> BaseGeometry:
    """The shape grown and shrunk again, which fills what is narrower than twice the first radius;
    or shrunk first, which takes away what is narrower."""
    return shape.buffer(first_mm, quad_segs=4).buffer(second_mm, quad_segs=4)


def _without_slivers(strips: BaseGeometry) -> BaseGeometry:
    """Strips without their parts that are too narrow to cut; the others keep their corners."""
    half = _NARROWEST_STRIP_MM / 2
    kept = strips.buffer(-half, join_style="mitre").buffer(half, join_style="mitre")
    # Mitred buffers of slivers may touch themselves.
    return shapely.make_valid(kept, method="structure")


def _swept(part: BaseGeometry, step: tuple[float, float], way: tuple[float, float]) -> BaseGeometry:
    """What a thin strip passes over when it is moved straight out across the seam line."""
    dx, dy = step[0] + way[0], step[1] + way[1]
    boxes = [
        shapely.box(left + min(dx, 0), top + min(dy, 0), right + max(dx, 0), bottom + max(dy, 0))
        for left, top, right, bottom in (polygon.bounds for polygon in polygons_of(part))
    ]
    return shapely.union_all(boxes)
