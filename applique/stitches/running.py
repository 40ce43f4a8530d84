"""Running stitch: the plain line from which placement, tack-down, trim lines and straight edges
are sewn."""

from __future__ import annotations

import itertools
import math

import numpy as np

from applique.geometry.corners import find_corners
from applique.geometry.walk import Walk

SHORTEST_RUN_MM = 1.0
"""No stitch of a run is shorter; the trade's lower bound for running stitch (docs/sources.md)."""

CHORD_ERROR_MM = 0.1
"""A stitch is a chord: on a bend it is shortened until it strays from the line by no more than one
step of the frame (as far as the shortest stitch allows)."""


def running(points: np.ndarray, closed: bool, length_mm: float) -> np.ndarray:
    """Penetrations (n, 2) along a line of mm: one at every corner, evenly spaced between.

    A closed line ends where it began. A line shorter than one stitch becomes one stitch.
    """
    walk = Walk(points, closed)
    stops = _stops(walk, find_corners(walk).arc_mm)
    places = [np.array([stops[0]])]
    for start, stop in itertools.pairwise(stops):
        places.append(_between(walk, float(start), float(stop), length_mm))
    arc = np.concatenate(places)
    return walk.at(np.where(arc == walk.length, 0.0, arc) if closed else arc)


def _stops(walk: Walk, corners: np.ndarray) -> np.ndarray:
    """Arc lengths that must get a penetration, none nearer to the next than a shortest stitch."""
    if walk.closed:
        first = corners[0] if len(corners) else 0.0
        last = first + walk.length
    else:
        first, last = 0.0, walk.length
    stops = [first]
    for corner in corners:
        if corner - stops[-1] >= SHORTEST_RUN_MM and last - corner >= SHORTEST_RUN_MM:
            stops.append(corner)
    return np.array([*stops, last])


def _between(walk: Walk, start: float, stop: float, length_mm: float) -> np.ndarray:
    """Arc lengths after `start` up to `stop`, closer together where the line bends."""
    section = walk.section(start, stop)
    steps = np.hypot(*np.diff(section, axis=0).T)
    arc = np.concatenate([[0.0], np.cumsum(steps)])
    demand = np.concatenate([[0.0], np.cumsum(steps * _stitches_per_mm(section, steps, length_mm))])
    most = max(1, math.floor(arc[-1] / SHORTEST_RUN_MM))
    count = min(max(1, math.ceil(demand[-1] - 1e-6)), most)
    return start + np.interp(demand[-1] * np.arange(1, count + 1) / count, demand, arc)


def _stitches_per_mm(section: np.ndarray, steps: np.ndarray, length_mm: float) -> np.ndarray:
    """Wanted stitches per mm on each chord: a chord of length L on radius r strays by L^2 / 8r."""
    rate = np.full(len(steps), 1.0 / length_mm)
    if len(steps) > 1:
        headings = np.unwrap(np.arctan2(*np.diff(section, axis=0).T[::-1]))
        turns = np.abs(np.diff(headings)) / ((steps[:-1] + steps[1:]) / 2)
        bend = np.zeros(len(steps))
        bend[:-1] = turns
        bend[1:] = np.maximum(bend[1:], turns)
        rate = np.maximum(rate, np.sqrt(bend / (8 * CHORD_ERROR_MM)))
    return np.minimum(rate, 1.0 / SHORTEST_RUN_MM)
