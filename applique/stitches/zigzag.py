"""Zigzag edge: open rungs across the outline."""

from __future__ import annotations

from applique.model import EdgeRun, LaidPiece
from applique.stitches.ladder import Band
from applique.stitches.line import SewnLine, from_lowest, plain_line
from applique.stitches.rungs import rungs
from applique.stitches.under import kept_clear


def zigzag(run: EdgeRun, laid: LaidPiece) -> list[SewnLine]:
    """A zigzag along an edge run."""
    settings = laid.piece.settings
    band = Band(settings.edge_outside_mm, settings.edge_inside_mm, settings.edge_spacing_mm)
    ladder = rungs(from_lowest(run), band, laid.piece.outline.shape.boundary)
    return [plain_line(kept_clear(ladder, laid).points)]
