"""Satin along the strokes of a shape that single bars can't fill, as of a letter, a star, a ring.

The thread runs out along every stroke and comes back over it in satin, so that all the strokes of a
shape are sewn without a trim.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.centreline import Stroke, strokes_of
from applique.geometry.offset import grown
from applique.geometry.walk import Walk
from applique.geometry.width import widest_mm
from applique.model import EdgeRun
from applique.settings import Settings
from applique.stitches.line import SewnLine, from_lowest, without_short
from applique.stitches.satinline import SHORTEST_MM, satin_along

NARROWEST_MM = 1.0
"""A stroke narrower than the least width of a satin is sewn as wide as that (docs/sources.md)."""

REACH = 1.42
"""A satin may reach so many times half the width of the widest stroke from its middle, into
corners of right angles; the outline ends it before."""

FURTHEST_MM = 4.0
"""No satin reaches further from a middle."""

UNDERLAY_MM = 1.2
"""The run beneath has short stitches, so that it stays within the bends of narrow strokes."""


def sew_strokes(shape: Polygon, settings: Settings) -> SewnLine | None:
    """Satin along all strokes of a shape, as one line; None where it has none."""
    strokes, order = _round_trip(strokes_of(shape))
    if not strokes:
        return None
    width = widest_mm(shape)
    # The satin comes back, against the direction of the run that went out.
    runs = [EdgeRun(stroke.points[::-1], stroke.closed) for stroke in strokes]
    half = min(max(REACH * width / 2, NARROWEST_MM / 2), FURTHEST_MM)
    satins = satin_along(runs, half, settings, _around(shape, width, settings))
    parts: list[np.ndarray] = []
    end_line = None
    for number, goes_out in order:
        back = satins[number]
        if goes_out:
            parts.append(_out(strokes[number]))
        elif back is not None:
            parts.append(back.points)
            end_line = back.end_line
    if end_line is None:
        return None
    points = without_short(np.vstack(parts), SHORTEST_MM)
    # The last stroke may be too short for a tie along its middle.
    return SewnLine(points, points, np.vstack([points[-1:], end_line[1:], points[::-1]]))


def _out(stroke: Stroke) -> np.ndarray:
    """The run out along a stroke; round a ring it begins where the satin, which comes back the
    other way, does."""
    points = stroke.points
    if stroke.closed:
        back = from_lowest(EdgeRun(points[::-1], closed=True)).points
        points = np.roll(back[::-1], 1, axis=0)
    walk = Walk(points, stroke.closed)
    count = max(math.ceil(walk.length / UNDERLAY_MM), 1)
    return walk.at(np.minimum(walk.length * np.arange(count + 1) / count, walk.length))


def _around(shape: Polygon, width_mm: float, settings: Settings) -> BaseGeometry:
    """Where no stitch of a shape goes: all but the shape and the compensation for the pull."""
    widened = max(settings.pull_compensation_mm, (NARROWEST_MM - width_mm) / 2)
    around = shapely.box(*shape.bounds).buffer(2 * FURTHEST_MM)
    return around.difference(grown(shape, widened))


def _round_trip(strokes: Sequence[Stroke]) -> tuple[list[Stroke], list[tuple[int, bool]]]:
    """The strokes, each in the direction in which one goes out along it, and the order in which
    they are gone out along (True) and come back along (False): from where most of them meet, never
    lifting the needle."""
    meeting: dict[int, list[int]] = {}
    for k, stroke in enumerate(strokes):
        for place in {stroke.first, stroke.last}:
            meeting.setdefault(place, []).append(k)
    directed = list(strokes)
    order: list[tuple[int, bool]] = []
    left = set(range(len(strokes)))
    while left:
        start = max(sorted(meeting), key=lambda place: len(left.intersection(meeting[place])))
        # Where one stands, and the stroke that led there.
        path: list[tuple[int, int | None]] = [(start, None)]
        while path:
            place, came_by = path[-1]
            onward = next((k for k in meeting[place] if k in left), None)
            if onward is None:
                path.pop()
                if came_by is not None:
                    order.append((came_by, False))
                continue
            left.remove(onward)
            if strokes[onward].first != place:
                directed[onward] = _turned(strokes[onward])
            order.append((onward, True))
            path.append((directed[onward].last, onward))
    return directed, order


def _turned(stroke: Stroke) -> Stroke:
    return replace(stroke, points=stroke.points[::-1], first=stroke.last, last=stroke.first)
