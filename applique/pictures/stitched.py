"""The block as it will look: fabrics in the order of laying, thread at its true width."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from PIL import Image

from applique.pictures.canvas import LONG_SIDE_PX, Area, Canvas
from applique.pictures.colours import BLACK, mixed, rgb, thread_shades
from applique.pictures.scene import FabricShape, Layer, Scene, Stitches, label_places
from applique.pictures.words import write_over

THREAD_MM = 0.4
"""Width of a drawn thread. By as much a pass of 40 wt thread is counted to cover where coverage is
measured, so a gap in the picture is a gap in the figures. Runs and satin are of one thread, so they
are drawn alike; the round thread itself is about 0.2 mm, and lies flat on the cloth."""

_BODY = 0.72
_MIDDLE = 0.26
"""Widths of a thread's body and of the light on its middle, as shares of the thread."""

_RAW_EDGE_PX = 2.0
_HOLES_FROM_PX_PER_MM = 60.0
"""From this close on the needle points are marked."""

_HOLE_MM = 0.05
LABEL_PX = 26.0


def stitched(layers: Sequence[Layer], background: str, area: Area) -> Image.Image:
    """Draw layers (`scene.layers_of`) on a background, #rrggbb, as seen from above, and label the
    pieces."""
    canvas = Canvas(area, rgb(background))
    _draw_layers(canvas, layers)
    label_pieces(canvas, layers)
    return canvas.finished()


def drawn(scene: Scene, area: Area, long_side_px: int = LONG_SIDE_PX) -> Canvas:
    """A canvas with what lies in an area of a scene, as seen from above, without words."""
    canvas = Canvas(area, rgb(scene.background), long_side_px)
    if scene.background_print is not None:
        canvas.print_over(scene.background_print)
    _draw_layers(canvas, scene.layers)
    return canvas


def label_pieces(canvas: Canvas, layers: Sequence[Layer]) -> None:
    """Write each piece's label where the piece shows."""
    for label, place in label_places(layers, canvas.area):
        write_over(canvas, label, place, LABEL_PX)


def _draw_layers(canvas: Canvas, layers: Sequence[Layer]) -> None:
    for layer in layers:
        if isinstance(layer, FabricShape):
            _lay(canvas, layer)
        else:
            _sew(canvas, layer)


def _lay(canvas: Canvas, fabric: FabricShape) -> None:
    colour = rgb(fabric.colour)
    if fabric.fabric_print is None:
        canvas.polygon(fabric.shape, colour)
    else:
        canvas.printed(fabric.shape, fabric.fabric_print)
    canvas.outline(fabric.shape, _RAW_EDGE_PX, mixed(colour, BLACK, 0.25))


def _sew(canvas: Canvas, stitches: Stitches) -> None:
    sides, body, middle = thread_shades(rgb(stitches.colour))
    passes = [
        (THREAD_MM, sides),
        (THREAD_MM * _BODY, body),
        (THREAD_MM * _MIDDLE, middle),
    ]
    canvas.strokes(stitches.starts, stitches.ends, passes)
    if canvas.px_per_mm >= _HOLES_FROM_PX_PER_MM and len(stitches.ends):
        points = np.vstack([stitches.starts, stitches.ends])
        canvas.dots(points, _HOLE_MM, [mixed(sides, BLACK, 0.6)] * len(points))
