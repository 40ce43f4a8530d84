"""Zigzag edge: open rungs across the outline."""

from __future__ import annotations

from applique.model import LaidPiece
from applique.stitches.ladder import Band
from applique.stitches.line import SewnLine, from_lowest, lines_of, plain_line, sewn_runs
from applique.stitches.rungs import rungs
from applique.stitches.under import kept_clear


def zigzag(laid: LaidPiece) -> list[SewnLine]:
    """A zigzag along a piece's edges."""
    settings = laid.piece.settings
    band = Band(settings.edge_outside_mm, settings.edge_inside_mm, settings.edge_spacing_mm)
    runs = sewn_runs(laid.edges)
    edges = lines_of(runs)
    ladders = (rungs(from_lowest(run), band, edges, laid.cut) for run in runs)
    return [plain_line(kept_clear(ladder, laid).points) for ladder in ladders]
