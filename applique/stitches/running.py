"""Running stitch: the plain line from which placement, tack-down, trim lines and straight edges
are sewn."""

from __future__ import annotations

import itertools
import math

import numpy as np

from applique.geometry.corners import CORNER_TO_THE_EYE_DEGREES, find_corners
from applique.geometry.lines import without_jitter
from applique.geometry.walk import Walk, step_lengths

SHORTEST_RUN_MM = 1.0
"""No stitch of a run is shorter; the trade's lower bound for running stitch (docs/sources.md)."""

CHORD_ERROR_MM = 0.1
"""A stitch is a chord: on a bend it is shortened until it strays from the line by no more than one
step of the frame (as far as the shortest stitch allows)."""


def running(points: np.ndarray, closed: bool, length_mm: float) -> np.ndarray:
    """Penetrations (n, 2) along a line of mm: one at every corner, evenly spaced between.

    A closed line ends where it began. A line shorter than one stitch becomes one stitch.
    """
    walk = Walk(without_jitter(points, closed), closed)
    stops = _stops(walk, find_corners(walk, CORNER_TO_THE_EYE_DEGREES).arc_mm)
    places = [np.array([stops[0]])]
    for start, stop in itertools.pairwise(stops):
        places.append(_between(walk, float(start), float(stop), length_mm))
    return _without_short(walk.at(np.concatenate(places)))


def _without_short(points: np.ndarray) -> np.ndarray:
    """Penetrations (n, 2) without those that a stitch much under the shortest leads to: on a bend a
    chord is shorter than the way along the line."""
    if len(points) <= 3 or (step_lengths(points) >= SHORTEST_RUN_MM).all():
        return points
    kept = [points[0]]
    for point in points[1:-1]:
        if math.dist(point, kept[-1]) >= SHORTEST_RUN_MM:
            kept.append(point)
    while len(kept) > 2 and math.dist(points[-1], kept[-1]) < SHORTEST_RUN_MM:
        kept.pop()
    if len(kept) == 1 and math.dist(points[0], points[-1]) < SHORTEST_RUN_MM:
        # So small a loop is sewn there and back.
        return points[[0, len(points) // 2, -1]]
    return np.array([*kept, points[-1]])


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
    steps = step_lengths(section)
    arc = np.concatenate([[0.0], np.cumsum(steps)])
    demand = np.concatenate([[0.0], np.cumsum(steps * _stitches_per_mm(section, steps, length_mm))])
    fewest = 2 if walk.closed and stop - start >= walk.length else 1
    most = max(fewest, math.floor(arc[-1] / SHORTEST_RUN_MM))
    count = min(max(fewest, math.ceil(demand[-1] - 1e-6)), most)
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
