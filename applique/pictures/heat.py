"""The needle map: how close together the needle goes in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image

from applique.pictures.canvas import LONG_SIDE_PX, Area, Canvas
from applique.pictures.colours import INK, PALE, QUIET, WHITE, heat_colour
from applique.pictures.scene import FabricShape, Layer, label_places
from applique.pictures.stitched import LABEL_PX
from applique.pictures.words import write_boxed, write_over
from applique.proof.crowding import CIRCLE_MM
from applique.report import counted

RADIUS_MM = CIRCLE_MM / 2
"""Needle points are counted within a circle about each, that point included."""

_DOT_MM = 0.32
"""Radius of a drawn needle point: neighbours on a satin's rail, 0.4 mm apart, just flow together,
and the rails stay apart."""

CROWDED_FROM = 7
"""So many needle points in a circle are more than an edge should have."""

_CROWDED_PX = 5.0
"""Radius of a crowded place at the least, so that it can be found in the picture of a quilt."""

_RING_PX = 30.0
_NUMBER_PX = 30.0
_POINTS_FROM_PX_PER_MM = 60.0
"""From this close on every single needle point is marked."""

_POINT_MM = 0.04


@dataclass(frozen=True, eq=False)
class NeedleMap:
    """Needle points, an (n, 2) array of mm, and how many lie within reach of each, itself
    included: an (n,) array of whole numbers."""

    points: np.ndarray
    counts: np.ndarray

    def worst(self, area: Area) -> int | None:
        """The index of the most crowded point within an area, the first of several; None if there
        is none."""
        inside = area.meets(self.points, self.points, 0.0)
        if not inside.any():
            return None
        return int(np.argmax(np.where(inside, self.counts, 0)))


def heat(
    needles: NeedleMap, layers: Sequence[Layer], area: Area, long_side_px: int = LONG_SIDE_PX
) -> Image.Image:
    """Draw needle points in the colours of the scale over pale outlines, the most crowded on top;
    the worst place is ringed and has its number beside it."""
    canvas = Canvas(area, WHITE, long_side_px)
    for layer in layers:
        if isinstance(layer, FabricShape):
            canvas.outline(layer.shape, 2.0, PALE)
    order = np.argsort(needles.counts, kind="stable")
    colours = [heat_colour(count) for count in needles.counts[order].tolist()]
    px = 1 / canvas.px_per_mm
    usual = int((needles.counts < CROWDED_FROM).sum())
    places = needles.points[order]
    canvas.dots(places[:usual], max(_DOT_MM, px), colours[:usual])
    canvas.dots(places[usual:], max(_DOT_MM, _CROWDED_PX * px), colours[usual:])
    if canvas.px_per_mm >= _POINTS_FROM_PX_PER_MM:
        canvas.dots(needles.points, _POINT_MM, [INK] * len(needles.points))
    for label, place in label_places(layers, area):
        write_over(canvas, label, place, LABEL_PX, QUIET)
    _ring_worst(canvas, needles)
    return canvas.finished()


def _ring_worst(canvas: Canvas, needles: NeedleMap) -> None:
    worst = needles.worst(canvas.area)
    if worst is None:
        return
    px = 1 / canvas.px_per_mm
    x, y = needles.points[worst].tolist()
    radius = max(RADIUS_MM, _RING_PX * px)
    turn = np.linspace(0, 2 * np.pi, 73)
    ring = np.stack([x + radius * np.cos(turn), y + radius * np.sin(turn)], axis=1)
    canvas.line(ring, 9 * px, WHITE)
    canvas.line(ring, 4 * px, INK)
    away = radius + 1.5 * _NUMBER_PX * px
    beside = -away if y - 2 * away > canvas.area.top else away
    words = counted(int(needles.counts[worst]), "POINT", "POINTS")
    write_boxed(canvas, words, (x, y + beside), _NUMBER_PX)
