"""Details put in their places among the pieces: what of them will show, and a little more.

Where a piece above covers a detail it is not sewn; it ends a little under that piece's outline, as
edges do. A detail covers nothing itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.offset import grown, shrunk
from applique.geometry.rings import as_multipolygon, polygons_of
from applique.geometry.walk import Walk
from applique.layering.edges import covered_depth
from applique.layering.stack import lay
from applique.model import EMPTY, Block, Detail, EdgeRun, Frame, Laid, LaidDetail, Piece
from applique.report import Finding, warning

SAMPLE_MM = 0.1
"""Step of the embroidery frame: how finely the end of a line is placed."""

SHORTEST_LINE_MM = 0.5
"""A stretch of which less is in sight is left out."""

SMALLEST_SPOT_MM2 = 0.1
"""A part of a spot of which less is in sight is left out."""


def lay_all(block: Block) -> tuple[tuple[Laid, ...], tuple[Finding, ...]]:
    """Put the pieces and the details of a block in their places, in stacking order, the lowest
    first; see `lay`."""
    pieces, findings = lay(block)
    details = lay_details(block)
    told = [*findings, *(_hidden(laid) for laid in details if laid.hidden)]
    stack: list[Laid] = []
    waiting = list(details)
    for piece in pieces:
        while waiting and piece.part.label in waiting[0].detail.under:
            stack.append(waiting.pop(0))
        stack.append(piece)
    return (*stack, *waiting), tuple(told)


def lay_details(block: Block) -> tuple[LaidDetail, ...]:
    """Put the details of a block in their places, in stacking order, the lowest first."""
    if not block.details:
        return ()
    shapes = np.array([piece.outline.shape for piece in block.pieces], dtype=object)
    tree = shapely.STRtree(shapes)
    laid = []
    for detail in block.details:
        near = tree.query(drawn_shape(detail), predicate="intersects")
        above = [block.pieces[k] for k in sorted(near.tolist())]
        above = [piece for piece in above if piece.label in detail.under]
        laid.append(_laid(detail, above, block))
    return tuple(laid)


def drawn_shape(detail: Detail) -> BaseGeometry:
    """What a detail draws, as one geometry."""
    return detail.shape if detail.style == "spot" else _union(detail.lines)


def sewn_shape(laid: LaidDetail) -> MultiPolygon:
    """The area that a detail's thread may take."""
    settings = laid.detail.settings
    if laid.detail.style == "spot":
        return grown(laid.shape, settings.pull_compensation_mm)
    width = settings.detail_width_mm if laid.detail.style == "line" else settings.detail_spacing_mm
    reach = width / 2 + settings.pull_compensation_mm
    return grown(_union(laid.lines), reach)


def _union(lines: Sequence[EdgeRun]) -> BaseGeometry:
    return shapely.union_all(
        [
            shapely.linearrings(line.points) if line.closed else shapely.linestrings(line.points)
            for line in lines
        ]
    )


def _laid(detail: Detail, above: Sequence[Piece], block: Block) -> LaidDetail:
    """The detail without what of it is out of sight."""
    edges_last = block.settings.edges == "last"
    unseen, beyond = _out_of_sight(detail, above, block.frame, edges_last)
    if unseen.is_empty:
        return LaidDetail(detail, detail.lines, detail.shape, hidden=False)
    if detail.style == "spot":
        shape = _seen_parts(detail.shape, unseen, beyond)
        return LaidDetail(detail, (), shape, hidden=shape.is_empty)
    lines = tuple(part for line in detail.lines for part in _stretches(line, unseen, beyond))
    return LaidDetail(detail, lines, detail.shape, hidden=not lines)


def _out_of_sight(
    detail: Detail, above: Sequence[Piece], frame: Frame | None, edges_last: bool
) -> tuple[BaseGeometry, BaseGeometry]:
    """What is out of sight of a detail, and how much of that is too deep in to be sewn. Where edges
    are sewn last a detail lies on top of the fabric above, so that only a satin hides its end."""
    cover = shapely.union_all([piece.outline.shape for piece in above]) if above else EMPTY
    run_on = detail.settings.run_on_mm
    depth = min((covered_depth(piece) for piece in above), default=run_on)
    deep = shrunk(cover, min(depth, run_on)) if edges_last else shrunk(cover, run_on)
    if frame is None:
        return cover, deep
    reach = drawn_shape(detail).buffer(run_on)
    finished = shapely.box(frame.left, frame.top, frame.right, frame.bottom)
    outside = reach.difference(finished)
    too_far = reach.difference(finished.buffer(run_on, join_style="mitre"))
    return cover.union(outside), deep.union(too_far)


def _seen_parts(shape: MultiPolygon, unseen: BaseGeometry, beyond: BaseGeometry) -> MultiPolygon:
    """The parts of a spot of which something is in sight."""
    parts = polygons_of(shape.difference(beyond))
    seen = [part for part in parts if part.difference(unseen).area >= SMALLEST_SPOT_MM2]
    return as_multipolygon(MultiPolygon(seen))


def _stretches(line: EdgeRun, unseen: BaseGeometry, beyond: BaseGeometry) -> Iterator[EdgeRun]:
    """The stretches of a line that are not too far out of sight, if anything of them is seen."""
    walk = Walk(line.points, line.closed)
    count = max(int(np.ceil(walk.length / SAMPLE_MM)), 1)
    arc = walk.length * np.arange(count + 1) / count
    places = walk.at(np.minimum(arc, walk.length))
    sewn = ~shapely.contains_xy(beyond, places[:, 0], places[:, 1])
    seen = ~shapely.contains_xy(unseen, places[:, 0], places[:, 1])
    if sewn.all():
        if seen.any():
            yield line
        return
    start = 0
    if line.closed:
        # Begun at a place that is not sewn, a round has no stretch that goes on past its end.
        start = int(np.argmin(sewn))
        sewn, seen = np.roll(sewn[:-1], -start), np.roll(seen[:-1], -start)
    step = walk.length / count
    bounds = np.flatnonzero(np.diff(np.concatenate([[False], sewn, [False]]).astype(int)))
    for first, after in bounds.reshape(-1, 2).tolist():
        if seen[first:after].sum() * step < SHORTEST_LINE_MM:
            continue
        begin, end = (start + first) * step, (start + after - 1) * step
        yield replace(line, points=walk.section(begin, end), closed=False)


def _hidden(laid: LaidDetail) -> Finding:
    text = (
        "is entirely hidden by the pieces above it, or outside the finished block; it is not sewn"
    )
    return warning("hidden", laid.detail.label, text)
