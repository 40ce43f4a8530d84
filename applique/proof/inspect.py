"""Every figure of a piece and of a block, from the stitches that its document holds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from applique.defaults import SATIN_SPACING_MM
from applique.geometry.walk import step_lengths
from applique.model import Frame, Laid, LaidDetail, LaidPiece, Plan, ThreadBlock
from applique.proof.band import edge_band
from applique.proof.blanket import BlanketProof, inspect_blanket
from applique.proof.cover import Cover, cover
from applique.proof.crowding import crowding
from applique.proof.figures import BlockProof, PieceProof, SpoolUse, StepFigures, ThreadRatio
from applique.proof.layers import thread_layers
from applique.proof.lengths import lengths
from applique.proof.sewn import SewnPath, of_kinds
from applique.proof.thread import Kind, ThreadUse, plausible, tails_use, thread_by_spool, thread_use
from applique.proof.time import sewing_time
from applique.proof.unseen import Unseen, unseen_of


def inspect_block(
    plan: Plan, paths: Sequence[SewnPath], laid: Mapping[str, Laid], frame: Frame | None
) -> BlockProof:
    """Inspect a block: `plan` is what the machine sews, `paths` the same, piece by piece, `laid`
    every piece and detail of the drawing by its label, in stacking order."""
    by_piece: dict[str, list[SewnPath]] = {}
    for path in paths:
        if path.piece and path.kind != "travel":
            by_piece.setdefault(path.piece, []).append(path)
    # In the order of the drawing; what is no longer in it comes last.
    labels = [label for label in laid if label in by_piece]
    labels += [label for label in by_piece if label not in laid]
    hidden = unseen_of(laid, frame)
    pieces = tuple(
        inspect_piece(by_piece[label], laid.get(label), hidden.get(label, Unseen()))
        for label in labels
    )
    spools = thread_by_spool(plan.blocks)
    return BlockProof(
        name=plan.name,
        pieces=pieces,
        stitches=plan.stitch_count,
        lengths=lengths([path.plain for path in paths]),
        layers=thread_layers([path.whole for path in paths], [path.piece for path in paths]),
        spools=tuple(SpoolUse(thread, used) for thread, used in spools.items()),
        tails=tails_use(plan.blocks),
        ratio=_ratio(plan, sum(spools.values(), ThreadUse()), pieces),
        time=sewing_time(plan.blocks),
    )


def inspect_piece(paths: Sequence[SewnPath], laid: Laid | None, hidden: Unseen) -> PieceProof:
    """Inspect what is sewn of one piece or detail, at least one path. `laid` is None if the
    drawing has it no more: then only what needs no outline is told. `hidden` is what is
    not seen of it."""
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
        cover=None if piece is None else _satin_cover(piece, paths, hidden),
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


def _ratio(plan: Plan, use: ThreadUse, pieces: Sequence[PieceProof]) -> ThreadRatio:
    """The thread of a block beside the published figure: where there is satin, that of embroidery
    for each stitch, else that of a run for each mm sewn."""
    kind: Kind = "embroidery"
    measure = float(plan.stitch_count)
    if all(piece.cover is None for piece in pieces):
        kind = "run"
        measure = sum(float(step_lengths(run).sum()) for b in plan.blocks for run in b.runs)
    value = use.total_mm / measure if measure else 0.0
    return ThreadRatio(kind, value, plausible(kind, use, measure))


def _style(laid: Laid | None) -> str:
    if laid is None:
        return ""
    if isinstance(laid, LaidDetail):
        return f"detail, {laid.detail.style}"
    return laid.piece.settings.edge


def _satin_cover(laid: LaidPiece, paths: Sequence[SewnPath], hidden: Unseen) -> Cover | None:
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
        hidden.bare,
        settings.edge_outside_mm + pull,
        settings.edge_inside_mm + pull,
    )
    band = replace(band, allowed=band.allowed.union(hidden.strewn))
    pass_mm = SATIN_SPACING_MM[settings.thread_weight]
    return cover([path.plain for path in edge], band, pass_mm)


def _blanket(laid: LaidPiece, paths: Sequence[SewnPath]) -> BlanketProof | None:
    edge = of_kinds(paths, "edge")
    if laid.piece.settings.edge != "blanket" or not edge or not laid.edges:
        return None
    shape = laid.piece.outline.shape
    return inspect_blanket([path.points for path in edge], shape, laid.edges, laid.piece.settings)
