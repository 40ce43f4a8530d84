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
from applique.stitches.apart import apart
from applique.stitches.bites import LONGEST_RUN, Bites, bites_along, run_at
from applique.stitches.line import SewnLine, from_lowest, lines_of, sewing_order

SHORTEST_RUN_MM = 1.0
"""On a bend the run between two bites gets a stitch between them, but none shorter than this."""

SAGITTA_MM = 0.1
"""How far the run may stray from its line between two bites: one step of the frame."""


def blanket(laid: LaidPiece) -> list[SewnLine]:
    """Blanket stitch along a piece's edges."""
    edges, settings = lines_of(laid.edges), laid.piece.settings
    walks = [_walk(from_lowest(run)) for run in sewing_order(laid.edges)]
    if not walks:
        return []
    fabric = laid.piece.outline.shape.difference(laid.barred)
    bites = apart([bites_along(walk, settings, edges, fabric) for walk in walks])
    return [_sewn(walk, own, settings, edges) for walk, own in zip(walks, bites, strict=True)]


def _walk(run: EdgeRun) -> Walk:
    return Walk(without_jitter(run.points, run.closed), run.closed)


def _sewn(walk: Walk, bites: Bites, settings: Settings, edges: BaseGeometry) -> SewnLine:
    """Bites and runs as one line: to each bite along the outside, in, out again, and on."""
    stops = _stops(walk, bites)
    ends = run_at(walk, stops[[0, -1]], settings, edges)
    outer, inner = bites.outer, bites.inner
    visits = [
        np.stack([outer[k], inner[k], outer[k]]) if bites.depth[k] > 0 else outer[k : k + 1]
        for k in range(len(outer))
    ]
    if walk.closed:
        visits.append(outer[:1])
    else:
        visits = [ends[:1], *visits, ends[1:]]
    parts = [visits[0]]
    for start, stop, visit in zip(stops[:-1], stops[1:], visits[1:], strict=True):
        parts.extend([_between_bites(walk, start, stop, settings, edges), visit])
    points = np.vstack(parts)
    rail = without_repeats(np.vstack([visit[:1] for visit in visits]))
    if settings.blanket_strokes == "double":
        return SewnLine(_twice(points, walk.closed), rail, rail[::-1] if walk.closed else rail)
    return SewnLine(without_repeats(points), rail, rail[::-1])


def _twice(points: np.ndarray, closed: bool) -> np.ndarray:
    """Every stitch sewn twice: a second time round a ring, there and back along an open edge.

    So every bite and every part of the run has two threads. Sewn twice on the spot the run would
    need a third one to get on, and a bite's two stitches would fall on a thread still slack.
    """
    return without_repeats(np.vstack([points, points if closed else points[::-1]]))


def _stops(walk: Walk, bites: Bites) -> np.ndarray:
    """Where the run goes past a bite's pivot, in mm along the walk, from its start to its end.
    Round a ring it goes from the first bite to the first again."""
    if walk.closed:
        return np.append(bites.arc, bites.arc[0] + walk.length)
    return np.concatenate([[0.0], bites.arc, [walk.length]])


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
