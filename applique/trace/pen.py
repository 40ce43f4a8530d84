"""The width of a pen, measured across its line from edge to edge."""

from __future__ import annotations

import numpy as np

from applique.trace.edge import Edge
from applique.trace.light import Light

_EVERY = 12
"""Across every so manieth point of an edge a width is taken: thousands would tell no more."""

_STEP_PX = 0.25
_FURTHEST_PENS = 1.8
"""Ink that goes on further than this is more than the line."""

_CORE = (0.35, 0.65)
"""The ink's darkness is taken from between these shares of the expected width."""

_FEWEST = 8


def pen_width_px(light: Light, edge: Edge, expected_px: float) -> float:
    """The usual width of the line behind an edge, in pixels: the median over places where the ink
    ends on its other side; `expected_px` if there are too few."""
    points, across = edge.points[edge.found][::_EVERY], edge.towards_ink[edge.found][::_EVERY]
    if len(points) < _FEWEST:
        return expected_px
    reach = np.arange(0, _FURTHEST_PENS * expected_px, _STEP_PX)
    places = points[:, None, :] + reach[None, :, None] * across[:, None, :]
    paper = light.of_paper(points)[:, None]
    inked = 1 - light.at(places) / paper
    core = (reach > _CORE[0] * expected_px) & (reach < _CORE[1] * expected_px)
    half = np.median(inked[:, core], axis=1)[:, None] / 2
    bare = (inked < half) & (reach > expected_px / 2)
    ends = bare.any(axis=1)
    if ends.sum() < _FEWEST:
        return expected_px
    rows, first = np.flatnonzero(ends), np.argmax(bare[ends], axis=1)
    before, after = inked[rows, first - 1], inked[rows, first]
    share = np.clip((before - half[rows, 0]) / np.maximum(before - after, 1e-6), 0, 1)
    return float(np.median(reach[first - 1] + share * _STEP_PX))
