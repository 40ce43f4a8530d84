"""Pieces put in their places among the others.

Document order is stacking order. Pieces that only touch count as overlapping.
"""

from __future__ import annotations

import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.offset import shrunk
from applique.geometry.rings import SPECK_MM2
from applique.layering.cover import SEAM_TOLERANCE_MM, Cover, Neighbours, cover_of, neighbours
from applique.layering.edges import covered_depth, edge_runs
from applique.layering.fabric import cut_shape, raw_edge, whole_shape
from applique.model import EMPTY, Block, Frame, LaidPiece, Piece
from applique.report import Finding, error, warning


def lay(block: Block) -> tuple[tuple[LaidPiece, ...], tuple[Finding, ...]]:
    """Put the pieces of a block in their places, in stacking order, the lowest first."""
    findings: list[Finding] = []
    if not block.pieces:
        return (), ()
    around = neighbours(block.pieces)
    laid = tuple(
        _laid(piece, found, block, findings)
        for piece, found in zip(block.pieces, around, strict=True)
    )
    return laid, tuple(findings)


def _laid(piece: Piece, found: Neighbours, block: Block, findings: list[Finding]) -> LaidPiece:
    hiding = [block.pieces[k] for k in found.hiding]
    cover = cover_of(piece, hiding, [block.pieces[k] for k in found.close])
    shape = piece.outline.shape
    frame = block.frame if _reaches_seam(shape, block.frame) else None
    unseen = _why_unseen(shape, cover, frame)
    if unseen is not None:
        findings.append(warning("hidden", piece.label, f"{unseen}; it is neither sewn nor cut"))
    edges_last = block.settings.edges == "last"
    barred = _barred(cover) if edges_last else EMPTY
    edges = () if unseen else edge_runs(piece, cover, frame, edges_last)
    if edges_last and not unseen:
        findings.extend(_uncovered(piece, cover, edges_open=any(not run.closed for run in edges)))
    return LaidPiece(
        piece=piece,
        whole=whole_shape(shape, frame),
        raw_edge=raw_edge(frame),
        cut=cut_shape(piece, cover, frame),
        above=cover.near,
        barred=barred,
        edges=edges,
        hidden=unseen is not None,
    )


def _why_unseen(shape: MultiPolygon, cover: Cover, frame: Frame | None) -> str | None:
    """Why nothing of a piece will show in the finished block; None if something will."""
    if cover.pieces and shape.difference(cover.touching).area < SPECK_MM2:
        return "is entirely hidden by the pieces above it"
    if frame is None:
        return None
    finished = shapely.box(frame.left, frame.top, frame.right, frame.bottom)
    if shape.intersection(finished).area < SPECK_MM2:
        return "lies wholly outside the finished block"
    return None


def _reaches_seam(shape: MultiPolygon, frame: Frame | None) -> bool:
    if frame is None:
        return False
    left, top, right, bottom = shape.bounds
    near = SEAM_TOLERANCE_MM
    return bool(
        left <= frame.left + near
        or top <= frame.top + near
        or right >= frame.right - near
        or bottom >= frame.bottom - near
    )


def _barred(cover: Cover) -> BaseGeometry:
    """Where a lower edge, sewn after everything is laid, would lie in sight on the pieces above."""
    uppers = cover.pieces + cover.close
    if not uppers:
        return EMPTY
    reach = min(covered_depth(upper) for upper in uppers)
    return shrunk(cover.near, reach) if reach > 0 else cover.near


def _uncovered(piece: Piece, cover: Cover, edges_open: bool) -> list[Finding]:
    if not edges_open:
        return []
    return [
        error(
            "edges-last",
            piece.label,
            f"its edge ends under piece {upper.label}, whose {upper.settings.edge} edge would not "
            "cover it; use --edges with-piece, or give that piece a satin",
        )
        for upper in cover.pieces
        if not upper.settings.edge_covers
        and shapely.intersects(upper.outline.shape, piece.outline.shape.boundary)
    ]
