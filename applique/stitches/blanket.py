"""Blanket stitch: a run in the background just outside the edge, with bites into the fabric.

The needle pivots outside, in the background (`bites.py` tells where the bites stand).
"""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry.base import BaseGeometry

from applique.geometry.lines import without_jitter
from applique.geometry.walk import Walk, without_repeats
from applique.model import EdgeRun, LaidPiece
from applique.settings import Settings
from applique.stitches.bites import Bites, bites_along, run_at
from applique.stitches.line import SewnLine, from_lowest, lines_of, sewing_order

SHORTEST_RUN_MM = 1.0
"""On a bend the run between two bites gets a stitch between them, but none shorter than this."""

LONGEST_RUN = 1.6
"""Pitches that one stitch of the run may take: a side shorter than this has no bite between."""

SAGITTA_MM = 0.1
"""How far the run may stray from its line between two bites: one step of the frame."""


def blanket(laid: LaidPiece) -> list[SewnLine]:
    """Blanket stitch along a piece's edges."""
    edges = lines_of(laid.edges)
    return [_along(from_lowest(run), edges, laid) for run in sewing_order(laid.edges)]


def _along(run: EdgeRun, edges: BaseGeometry, laid: LaidPiece) -> SewnLine:
    """Bites and runs as one line: to each bite along the outside, in, out again, and on."""
    settings = laid.piece.settings
    walk = Walk(without_jitter(run.points, run.closed), run.closed)
    bites = bites_along(walk, settings, edges, laid.cut)
    outer, inner = bites.outer, bites.inner
    parts = [] if walk.closed else [run_at(walk, np.array([0.0]), settings, edges)]
    for k, (start, stop) in enumerate(_gaps(walk, bites)):
        parts.append(np.stack([outer[k], inner[k], outer[k]]))
        parts.append(_between_bites(walk, start, stop, settings, edges))
    parts.append(
        outer[:1] if walk.closed else run_at(walk, np.array([walk.length]), settings, edges)
    )
    points = without_repeats(np.vstack(parts))
    rail = without_repeats(np.vstack([parts[0][:1], outer, parts[-1]]))
    return SewnLine(points, rail, rail[::-1])


def _gaps(walk: Walk, bites: Bites) -> list[tuple[float, float]]:
    """From where to where the run goes on after each bite, in mm along the walk."""
    last = walk.length + bites.arc[0] if walk.closed and len(bites.arc) else walk.length
    stops = np.append(bites.arc[1:], last)
    return list(zip(bites.arc.tolist(), stops.tolist(), strict=True))


def _between_bites(
    walk: Walk, start: float, stop: float, settings: Settings, edges: BaseGeometry
) -> np.ndarray:
    """Stitches along a run that would else cut the corner of a bend, or be too long where bites
    were left out."""
    length = stop - start
    parts = math.ceil(length / (LONGEST_RUN * settings.edge_spacing_mm))
    if parts == 1 and length >= 2 * SHORTEST_RUN_MM:
        stray = walk.at((start + stop) / 2) - walk.at(np.array([start, stop])).mean(axis=0)
        parts = 2 if np.hypot(*stray) > SAGITTA_MM else 1
    if parts <= 1:
        return np.zeros((0, 2))
    places = start + length * np.arange(1, parts) / parts
    return run_at(walk, places, settings, edges)
