"""Every figure of a piece and of a block, from the stitches that its document holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.defaults import SATIN_SPACING_MM
from applique.model import Frame, Laid, LaidDetail, LaidPiece, Plan, ThreadBlock
from applique.proof.band import edge_band
from applique.proof.blanket import BlanketProof, inspect_blanket
from applique.proof.cover import Cover, cover
from applique.proof.crowding import crowding
from applique.proof.figures import BlockProof, PieceProof, SpoolUse, StepFigures
from applique.proof.layers import thread_layers
from applique.proof.lengths import lengths
from applique.proof.sewn import SewnPath, of_kinds
from applique.proof.thread import ThreadUse, plausible, tails_use, thread_by_spool, thread_use
from applique.proof.time import sewing_time

_BEYOND_MM = 20.0
"""How far beyond a piece's outline what does not show is of interest: more than any edge reaches
(a setting may put 4 mm outside)."""


def inspect_block(
    plan: Plan, paths: Sequence[SewnPath], laid: Mapping[str, Laid], frame: Frame | None
) -> BlockProof:
    """Inspect a block: `plan` is what the machine sews, `paths` the same, piece by piece, `laid`
    every piece and detail of the drawing by its label."""
    by_piece: dict[str, list[SewnPath]] = {}
    for path in paths:
        if path.piece and path.kind != "travel":
            by_piece.setdefault(path.piece, []).append(path)
    # In the order of the drawing; what is no longer in it comes last.
    labels = [label for label in laid if label in by_piece]
    labels += [label for label in by_piece if label not in laid]
    spools = thread_by_spool(plan.blocks)
    use = sum(spools.values(), ThreadUse())
    return BlockProof(
        name=plan.name,
        pieces=tuple(inspect_piece(by_piece[label], laid.get(label), frame) for label in labels),
        stitches=plan.stitch_count,
        lengths=lengths([path.plain for path in paths]),
        layers=thread_layers([path.whole for path in paths], [path.piece for path in paths]),
        spools=tuple(SpoolUse(thread, used) for thread, used in spools.items()),
        tails=tails_use(plan.blocks),
        thread_per_stitch_mm=use.total_mm / max(plan.stitch_count, 1),
        thread_likely=plausible("embroidery", use, plan.stitch_count),
        time=sewing_time(plan.blocks),
    )


def inspect_piece(paths: Sequence[SewnPath], laid: Laid | None, frame: Frame | None) -> PieceProof:
    """Inspect what is sewn of one piece or detail, at least one path. `laid` is None if the
    drawing has it no more: then only what needs no outline is told."""
    kinds = dict.fromkeys(path.kind for path in paths)
    sewn = ThreadBlock(paths[0].thread, tuple(path.points for path in paths))
    piece = laid if isinstance(laid, LaidPiece) else None
    counted = needle_points(paths)
    return PieceProof(
        label=paths[0].piece,
        edge=_style(laid),
        steps=tuple(
            StepFigures(kind, lengths([path.plain for path in of_kinds(paths, kind)]))
            for kind in kinds
        ),
        crowding=crowding(counted) if len(counted) else None,
        cover=None if piece is None else _satin_cover(piece, paths, frame),
        blanket=None if piece is None else _blanket(piece, paths),
        threads=sum(path.starts for path in paths),
        loose_ends=tuple(place for path in paths for place in path.loose_ends),
        thread=thread_use([path.whole for path in paths]),
        minutes=sewing_time([sewn]).sewing_minutes,
    )


def needle_points(paths: Sequence[SewnPath]) -> np.ndarray:
    """The penetrations (n, 2) of one piece among which crowding is counted: those of its edge and
    underlay, ties aside."""
    counted = [path.plain for path in of_kinds(paths, "underlay", "edge")]
    return np.vstack(counted) if counted else np.zeros((0, 2))


def _style(laid: Laid | None) -> str:
    if laid is None:
        return ""
    if isinstance(laid, LaidDetail):
        return f"detail, {laid.detail.style}"
    return laid.piece.settings.edge


def _satin_cover(laid: LaidPiece, paths: Sequence[SewnPath], frame: Frame | None) -> Cover | None:
    """How a satin covers its band: as wide as it was set, with the pull compensation of both
    sides. A pass covers what its thread's weight is meant to: the spacing of that weight."""
    settings = laid.piece.settings
    edge = of_kinds(paths, "edge")
    if settings.edge != "satin" or not edge or not laid.edges:
        return None
    pull = settings.pull_compensation_mm
    band = edge_band(
        laid.piece.outline.shape,
        laid.edges,
        _unseen(laid, frame),
        settings.edge_outside_mm + pull,
        settings.edge_inside_mm + pull,
    )
    pass_mm = SATIN_SPACING_MM[settings.thread_weight]
    return cover([path.plain for path in edge], band, pass_mm)


def _unseen(laid: LaidPiece, frame: Frame | None) -> BaseGeometry:
    """Where nothing of a piece's edge will show: under the pieces above it, where none may be sewn,
    and beyond the seam lines."""
    hidden = [laid.above, laid.barred]
    if frame is not None:
        block = shapely.box(frame.left, frame.top, frame.right, frame.bottom)
        around = shapely.box(*shapely.buffer(laid.piece.outline.shape, _BEYOND_MM).bounds)
        hidden.append(around.difference(block))
    return shapely.union_all(hidden)


def _blanket(laid: LaidPiece, paths: Sequence[SewnPath]) -> BlanketProof | None:
    edge = of_kinds(paths, "edge")
    if laid.piece.settings.edge != "blanket" or not edge or not laid.edges:
        return None
    shape = laid.piece.outline.shape
    return inspect_blanket([path.points for path in edge], shape, laid.edges, laid.piece.settings)
