"""Blanket stitch: a run in the background just outside the edge, with bites into the fabric.

Between corners the bites stand at equal pitch, a whole number of pitches a side; at every corner a
bite lies on its bisector. The needle pivots outside, in the background.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.corners import Corners, find_corners
from applique.geometry.medial import medial_reach
from applique.geometry.walk import Walk, turned_left, unit, vertex_directions, without_repeats
from applique.model import EdgeRun, LaidPiece
from applique.settings import Settings
from applique.stitches.line import SewnLine, from_lowest

CLEAR_OF_MIDDLE = 0.85
"""Share of the way to the medial axis that a bite may take: bites from two sides never meet."""

SHORTEST_RUN_MM = 1.0
"""On a bend the run between two bites gets a stitch between them, but none shorter than this."""

LONGEST_CORNER = 1.5
"""Outside a sharp corner the run turns at most so many times its own distance from the tip."""

SAGITTA_MM = 0.1
"""How far the run may stray from its line between two bites: one step of the frame."""


@dataclass(frozen=True, eq=False)
class _Bites:
    """Bites in order: `outer` and `inner` ends (n, 2), and where on the walk they stand, mm."""

    outer: np.ndarray
    inner: np.ndarray
    arc: np.ndarray


def blanket(run: EdgeRun, laid: LaidPiece) -> list[SewnLine]:
    """Blanket stitch along an edge run."""
    run = from_lowest(run)
    walk = Walk(run.points, run.closed)
    settings = laid.piece.settings
    bites = _bites(walk, settings, laid.piece.outline.shape)
    return [_sewn(walk, bites, settings)]


def _bites(walk: Walk, settings: Settings, shape: BaseGeometry) -> _Bites:
    corners = find_corners(walk)
    at_corners = _corner_bites(walk, corners, settings, shape)
    if walk.closed and len(corners.arc_mm) == 0:
        count = max(3, round(walk.length / settings.edge_spacing_mm))
        arc = walk.length * np.arange(count) / count
        return _side_bites(walk, arc, settings, shape.boundary)
    arcs = [_arc_between(start, stop, settings) for start, stop in _sides(walk, corners)]
    between = _side_bites(walk, np.concatenate(arcs), settings, shape.boundary)
    arc = np.concatenate([at_corners.arc, between.arc])
    order = np.argsort(arc, kind="stable")
    return _Bites(
        np.vstack([at_corners.outer, between.outer])[order],
        np.vstack([at_corners.inner, between.inner])[order],
        arc[order],
    )


def _sides(walk: Walk, corners: Corners) -> list[tuple[float, float]]:
    arc = corners.arc_mm.tolist()
    stops = [*arc, arc[0] + walk.length] if walk.closed else [0.0, *arc, walk.length]
    return list(itertools.pairwise(stops))


def _arc_between(start: float, stop: float, settings: Settings) -> np.ndarray:
    """Places between two corners, a whole number of pitches apart; the ends themselves left out."""
    pitches = max(1, round((stop - start) / settings.edge_spacing_mm))
    return start + (stop - start) * np.arange(1, pitches) / pitches


def _side_bites(walk: Walk, arc: np.ndarray, settings: Settings, outline: BaseGeometry) -> _Bites:
    """Bites square to the outline."""
    base = walk.at(arc)
    step = 0.25  # mm; long enough to smooth flattening, short against a bite
    inward = turned_left(unit(walk.at(arc + step) - walk.at(arc - step)))
    depth = np.full(len(arc), settings.edge_inside_mm)
    if len(arc):
        middle = medial_reach(base, inward, depth / CLEAR_OF_MIDDLE, outline)
        depth = np.minimum(depth, CLEAR_OF_MIDDLE * middle)
    outer = base - inward * settings.edge_outside_mm
    return _Bites(outer, base + inward * depth[:, None], np.mod(arc, walk.length))


def _corner_bites(walk: Walk, corners: Corners, settings: Settings, shape: BaseGeometry) -> _Bites:
    """Bites on the bisectors of the corners."""
    outer, inner = [], []
    for arc, turn in zip(corners.arc_mm, corners.turn, strict=True):
        vertex = walk.at(np.array([arc]))[0]
        before = vertex_directions(walk.section(arc - 1.0, arc), closed=False)[-1]
        after = vertex_directions(walk.section(arc, arc + 1.0), closed=False)[0]
        inward = unit(turned_left(before) + turned_left(after))
        half = abs(turn) / 2
        out = min(1 / max(math.cos(half), 1e-6), LONGEST_CORNER) * settings.edge_outside_mm
        outer.append(vertex - inward * out)
        inner.append(vertex + inward * _corner_depth(vertex, inward, half, settings, shape))
    empty = np.zeros((0, 2))
    return _Bites(
        np.array(outer) if outer else empty, np.array(inner) if inner else empty, corners.arc_mm
    )


def _corner_depth(
    vertex: np.ndarray, inward: np.ndarray, half: float, settings: Settings, shape: BaseGeometry
) -> float:
    """How deep a bite on a bisector goes before the fabric beyond it gets narrow."""
    depths = settings.edge_inside_mm * np.linspace(1.0, 0.2, 9)
    tips = shapely.points(vertex + inward * depths[:, None])
    room = np.where(shapely.contains(shape, tips), shapely.distance(shape.boundary, tips), 0.0)
    wanted = CLEAR_OF_MIDDLE * depths * math.cos(half)
    roomy = room >= wanted
    return float(depths[np.argmax(roomy)]) if roomy.any() else float(depths[-1])


def _sewn(walk: Walk, bites: _Bites, settings: Settings) -> SewnLine:
    """Bites and runs as one line: to each bite along the outside, in, out again, and on."""
    count = len(bites.arc)
    parts = []
    if not walk.closed:
        parts.append(_outside(walk, np.array([0.0]), settings))
    for k in range(count):
        parts.append(np.stack([bites.outer[k], bites.inner[k], bites.outer[k]]))
        stop = bites.arc[k + 1] if k + 1 < count else walk.length + bites.arc[0] * walk.closed
        parts.append(_bend(walk, bites.arc[k], stop, settings))
    end = bites.outer[:1] if walk.closed else _outside(walk, np.array([walk.length]), settings)
    parts.append(end)
    points = without_repeats(np.vstack(parts))
    rail = [bites.outer] if walk.closed else [parts[0], bites.outer, end]
    start_line = without_repeats(np.vstack(rail))
    end_line = np.vstack([end, start_line[::-1]]) if walk.closed else start_line[::-1]
    return SewnLine(points, start_line, without_repeats(end_line))


def _bend(walk: Walk, start: float, stop: float, settings: Settings) -> np.ndarray:
    """A stitch halfway along a run that would else cut the corner of a bend."""
    middle = (start + stop) / 2
    if stop - start < 2 * SHORTEST_RUN_MM:
        return np.zeros((0, 2))
    ends = walk.at(np.array([start, stop]))
    stray = np.hypot(*(walk.at(np.array([middle]))[0] - ends.mean(axis=0)))
    if stray <= SAGITTA_MM:
        return np.zeros((0, 2))
    return _outside(walk, np.array([middle]), settings)


def _outside(walk: Walk, arc: np.ndarray, settings: Settings) -> np.ndarray:
    """Points on the run's own line, in the background."""
    step = 0.25
    outward = -turned_left(unit(walk.at(arc + step) - walk.at(arc - step)))
    return walk.at(arc) + outward * settings.edge_outside_mm
