"""Underlay: a few stitches beneath a satin that lift it and keep it from sinking in.

Every underlay ends where it began, so that the satin can follow without a trim.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.model import EdgeRun, LaidPiece
from applique.settings import Settings
from applique.stitches.inset import set_in
from applique.stitches.ladder import Band
from applique.stitches.line import (
    SewnLine,
    from_lowest,
    lines_of,
    plain_line,
    sewing_order,
    sewn_runs,
)
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


def underlay(laid: LaidPiece) -> list[SewnLine]:
    """The underlay of a satin, that of the edge sewn first coming last; empty if it gets none."""
    lines: list[SewnLine] = []
    for style in underlay_styles(laid.piece.settings):
        lines.extend(_STYLES[style](laid))
    return lines


def _centre(laid: LaidPiece) -> list[SewnLine]:
    settings = laid.piece.settings
    inset = (settings.edge_inside_mm - settings.edge_outside_mm) / 2
    lines = set_in(laid.piece.outline.shape, laid.edges, inset)
    return [_there_and_back(line) for line in _last_first(lines)]


def _edge(laid: LaidPiece) -> list[SewnLine]:
    """Out along the inner side of each edge, back along the outer one."""
    settings = laid.piece.settings
    shape = laid.piece.outline.shape
    inner = set_in(shape, laid.edges, max(settings.edge_inside_mm - INSET_MM, 0.0))
    outer = set_in(shape, laid.edges, -max(settings.edge_outside_mm - INSET_MM, 0.0))
    sewn: list[np.ndarray] = []
    for ring in sorted({run.ring for run in laid.edges}):
        sewn += [_run(line) for line in inner if line.ring == ring]
        sewn += [_run(line)[::-1] for line in outer if line.ring == ring]
    return [plain_line(points) for points in sewn]


def _zigzag(laid: LaidPiece) -> list[SewnLine]:
    settings = laid.piece.settings
    outside = max(settings.edge_outside_mm - INSET_MM / 2, 0.1)
    inside = max(settings.edge_inside_mm - INSET_MM / 2, 0.1)
    runs = sewn_runs(laid.edges)
    edges = lines_of(runs)
    lines = []
    for run in _last_first(runs):
        band = Band(outside, inside, ZIGZAG_SPACING_MM)
        points = rungs(run, band, edges, laid.cut).points
        if not run.closed:
            wider = Band(outside, inside, 2 * ZIGZAG_SPACING_MM)
            points = np.vstack([points, rungs(run, wider, edges, laid.cut).points[::-1]])
        lines.append(plain_line(points))
    return lines


def _last_first(runs: Sequence[EdgeRun]) -> list[EdgeRun]:
    """Edge runs in the order that leaves the one whose edge is sewn first for the end."""
    return [from_lowest(run) for run in reversed(sewing_order(runs))]


def _run(line: EdgeRun) -> np.ndarray:
    line = from_lowest(line)
    return running(line.points, line.closed, RUN_MM)


def _there_and_back(line: EdgeRun) -> SewnLine:
    points = running(line.points, line.closed, RUN_MM)
    return plain_line(points if line.closed else np.vstack([points, points[-2::-1]]))


_STYLES = {"centre": _centre, "edge": _edge, "zigzag": _zigzag}
