"""The placement line: where the fabric goes, sewn on what lies beneath it."""

from __future__ import annotations

from applique.geometry.rings import rings_of
from applique.model import EdgeRun, LaidPiece
from applique.stitches.inset import set_in
from applique.stitches.line import SewnLine, from_lowest, plain_line
from applique.stitches.running import running


def placement(laid: LaidPiece) -> list[SewnLine]:
    """A run round the shape that is cut, its hidden part included.

    Under a satin it lies on the outline; an edge that covers nothing gets it a little inside, where
    the fabric hides it.
    """
    settings = laid.piece.settings
    return runs_round(laid, settings.placement_inset_mm, settings.placement_length_mm)


def runs_round(laid: LaidPiece, inset_mm: float, length_mm: float) -> list[SewnLine]:
    """Running stitches round the cut shape, set in by `inset_mm`. Where a narrow shape leaves no
    line so far inside, half the inset is tried, then the outline itself."""
    outline = [EdgeRun(ring, True, k) for k, ring in enumerate(rings_of(laid.cut))]
    insets = (inset_mm, inset_mm / 2)
    moved = next((lines for lines in (set_in(laid.cut, outline, d) for d in insets) if lines), None)
    runs = [from_lowest(run) for run in moved or outline]
    return [plain_line(running(run.points, True, length_mm)) for run in runs]
