"""Straight edge: one line of running stitch inside the outline."""

from __future__ import annotations

from applique.model import EdgeRun, LaidPiece
from applique.stitches.line import SewnLine, from_lowest, plain_line, set_in
from applique.stitches.running import running


def straight(run: EdgeRun, laid: LaidPiece) -> list[SewnLine]:
    """Running stitch set in from an edge run; nothing where the piece is too narrow for it."""
    settings = laid.piece.settings
    lines = [from_lowest(line) for line in set_in(run, settings.edge_inset_mm)]
    return [
        plain_line(running(line.points, line.closed, settings.edge_spacing_mm)) for line in lines
    ]
