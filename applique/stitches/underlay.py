"""Underlay: a few stitches beneath a satin that lift it and keep it from sinking in.

Every underlay ends where it began, so that the satin can follow without a trim.
"""

from __future__ import annotations

import numpy as np

from applique.model import EdgeRun, LaidPiece
from applique.settings import Settings
from applique.stitches.ladder import Band
from applique.stitches.line import SewnLine, from_lowest, plain_line, set_in
from applique.stitches.rungs import rungs
from applique.stitches.running import running
from applique.stitches.tackdown import tack_style

INSET_MM = 0.5
"""How far an edge underlay stays inside the satin (common practice: 0.4 to 0.6 mm)."""

RUN_MM = 2.5
"""Stitch length of running underlay (docs/sources.md: 2 to 3 mm)."""

ZIGZAG_SPACING_MM = 2.5
"""Pitch of a zigzag underlay (docs/sources.md: rows 2 to 4 mm apart)."""

NARROW_MM, WIDE_MM = 2.0, 4.0
"""Satins below get a centre run, above edge run and zigzag, between an edge run (common
practice)."""


def underlay_styles(settings: Settings) -> tuple[str, ...]:
    """The kinds of underlay a satin gets, in sewing order. A zigzag tack-down counts as one."""
    if settings.edge != "satin" or settings.underlay == "none":
        return ()
    if settings.underlay != "auto":
        return (settings.underlay,)
    if tack_style(settings) == "zigzag" and settings.edge_width_mm <= WIDE_MM:
        return ()
    if settings.edge_width_mm < NARROW_MM:
        return ("centre",)
    if settings.edge_width_mm <= WIDE_MM:
        return ("edge",)
    return ("edge",) if tack_style(settings) == "zigzag" else ("edge", "zigzag")


def underlay(run: EdgeRun, laid: LaidPiece) -> list[SewnLine]:
    """The underlay of a satin along an edge run; empty if it gets none."""
    run = from_lowest(run)
    lines: list[SewnLine] = []
    for style in underlay_styles(laid.piece.settings):
        lines.extend(_STYLES[style](run, laid))
    return lines


def _centre(run: EdgeRun, laid: LaidPiece) -> list[SewnLine]:
    settings = laid.piece.settings
    inset = (settings.edge_inside_mm - settings.edge_outside_mm) / 2
    return [_there_and_back(from_lowest(line)) for line in set_in(run, inset)]


def _edge(run: EdgeRun, laid: LaidPiece) -> list[SewnLine]:
    """Out along the inner side, back along the outer one."""
    settings = laid.piece.settings
    inner = set_in(run, max(settings.edge_inside_mm - INSET_MM, 0.0))
    outer = set_in(run, -max(settings.edge_outside_mm - INSET_MM, 0.0))
    lines = [_run(line) for line in inner] + [_run(line)[::-1] for line in outer]
    return [plain_line(line) for line in lines]


def _zigzag(run: EdgeRun, laid: LaidPiece) -> list[SewnLine]:
    settings = laid.piece.settings
    outside = max(settings.edge_outside_mm - INSET_MM / 2, 0.1)
    inside = max(settings.edge_inside_mm - INSET_MM / 2, 0.1)
    boundary = laid.piece.outline.shape.boundary
    points = rungs(run, Band(outside, inside, ZIGZAG_SPACING_MM), boundary).points
    if not run.closed:
        back = rungs(run, Band(outside, inside, 2 * ZIGZAG_SPACING_MM), boundary).points[::-1]
        points = np.vstack([points, back])
    return [plain_line(points)]


def _run(line: EdgeRun) -> np.ndarray:
    line = from_lowest(line)
    return running(line.points, line.closed, RUN_MM)


def _there_and_back(line: EdgeRun) -> SewnLine:
    points = running(line.points, line.closed, RUN_MM)
    return plain_line(points if line.closed else np.vstack([points, points[-2::-1]]))


_STYLES = {"centre": _centre, "edge": _edge, "zigzag": _zigzag}
