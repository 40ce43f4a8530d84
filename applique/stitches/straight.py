"""Straight edge: one line of running stitch inside the outline."""

from __future__ import annotations

from applique.model import LaidPiece
from applique.stitches.inset import set_in
from applique.stitches.line import SewnLine, from_lowest, plain_line, sewing_order
from applique.stitches.running import running


def straight(laid: LaidPiece) -> list[SewnLine]:
    """Running stitch set in from a piece's edges; nothing where it is too narrow for it."""
    settings = laid.piece.settings
    lines = set_in(laid.piece.outline.shape, laid.edges, settings.edge_inset_mm)
    return [
        plain_line(running(line.points, line.closed, settings.edge_spacing_mm))
        for line in map(from_lowest, sewing_order(lines))
    ]
