"""Both pictures side by side, with a title and a legend."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from PIL import Image

from applique.geometry.lettering import lettering_width
from applique.pictures.canvas import LONG_SIDE_PX, Area, Canvas
from applique.pictures.colours import HEAT, INK, PAPER, heat_words
from applique.pictures.heat import NeedleMap, heat
from applique.pictures.png import png_bytes
from applique.pictures.scene import Scene
from applique.pictures.stitched import drawn, label_pieces
from applique.pictures.words import write

_GAP_PX = 40
_TITLE_PX = 150
_LEGEND_PX = 130
_LETTERS_PX = 30.0
_NARROWEST_PX = 1500
"""A narrow block's picture is made as wide as its title and legend need."""


BLOCK_PX = 720
"""Longer side of a block's picture: sharp on a page a third of a desktop wide, or a phone's whole
width at twice its resolution."""


def proof_picture(
    name: str,
    figures: Sequence[str],
    scene: Scene,
    needles: NeedleMap,
    area: Area | None = None,
    long_side_px: int = LONG_SIDE_PX,
) -> bytes:
    """A PNG of the block as it will look and, beside it, of how close the needle goes in.

    `figures` stand beside the name on top. `area` is what is shown, None for everything;
    `long_side_px` is the longer side of each of the two pictures.
    """
    shown = scene.area if area is None else area
    canvas = drawn(scene, shown, long_side_px)
    heat_map = heat(needles, scene.layers, shown, long_side_px)
    return _beside_map(name, figures, canvas, scene, heat_map)


def proof_and_block(
    name: str,
    figures: Sequence[str],
    scene: Scene,
    needles: NeedleMap,
    block: Area,
    long_side_px: int,
) -> tuple[bytes, bytes]:
    """Two PNGs from one drawing: the proof's picture and, without words, what lies within an area
    `block` of the page. The former shows that area too."""
    shown = _around(scene.area, block)
    canvas = drawn(scene, shown, long_side_px)
    heat_map = heat(needles, scene.layers, shown, long_side_px)
    plain = png_bytes(canvas.part(block, BLOCK_PX))
    return _beside_map(name, figures, canvas, scene, heat_map), plain


def _around(one: Area, other: Area) -> Area:
    """The area that takes in both."""
    left, top = min(one.left, other.left), min(one.top, other.top)
    right = max(one.left + one.width, other.left + other.width)
    bottom = max(one.top + one.height, other.top + other.height)
    return Area(left, top, right - left, bottom - top)


def _beside_map(
    name: str, figures: Sequence[str], canvas: Canvas, scene: Scene, map_: Image.Image
) -> bytes:
    """A PNG of a drawn block with its labels, beside its needle map."""
    label_pieces(canvas, scene.layers)
    look = canvas.finished()
    column = max(look.width, _NARROWEST_PX)
    width = 2 * column + 3 * _GAP_PX
    height = _TITLE_PX + look.height + _LEGEND_PX
    sheet = Image.new("RGB", (width, height), PAPER)
    sheet.paste(_title(name, figures, width), (0, 0))
    inset = (column - look.width) // 2
    sheet.paste(look, (_GAP_PX + inset, _TITLE_PX))
    sheet.paste(map_, (2 * _GAP_PX + column + inset, _TITLE_PX))
    below = _TITLE_PX + look.height
    sheet.paste(_scale_bar(canvas.area, look.width, column), (_GAP_PX, below))
    sheet.paste(_legend(column), (2 * _GAP_PX + column, below))
    return png_bytes(sheet)


def _strip(width_px: int, height_px: int) -> Canvas:
    """A canvas on which a millimetre is a pixel."""
    return Canvas(Area(0, 0, width_px, height_px), PAPER, long_side_px=max(width_px, height_px))


def _title(name: str, figures: Sequence[str], width_px: int) -> Image.Image:
    canvas = _strip(width_px, _TITLE_PX)
    room = width_px - 2 * _GAP_PX
    _fitted(canvas, name, 28, 48.0, room)
    _fitted(canvas, "   ".join(figures), 96, _LETTERS_PX, room)
    return canvas.finished()


def _fitted(canvas: Canvas, text: str, top: float, height_px: float, room: float) -> None:
    """A line of text, smaller where it would not fit."""
    width = lettering_width(text, height_px)
    height = height_px if width <= room else height_px * room / width
    write(canvas, text, (_GAP_PX, top), height)


def _scale_bar(area: Area, picture_px: int, width_px: int) -> Image.Image:
    canvas = _strip(width_px, _LEGEND_PX)
    px_per_mm = picture_px / area.width
    length = _round_number(picture_px / px_per_mm / 4)
    ends = np.array([[4.0, 50.0], [4.0 + length * px_per_mm, 50.0]])
    canvas.line(ends, 4.0, INK)
    for end in ends:
        canvas.line(end + np.array([[0.0, -14.0], [0.0, 14.0]]), 4.0, INK)
    write(canvas, f"{length:g} MM", (ends[1, 0] + 30, 35), _LETTERS_PX)
    return canvas.finished()


def _round_number(most: float) -> float:
    """The largest of 1, 2, 5, 10, 20 and so on that is not more."""
    power = 10.0 ** math.floor(math.log10(most))
    return max((step * power for step in (1, 2, 5) if step * power <= most), default=power)


def _legend(width_px: int) -> Image.Image:
    canvas = _strip(width_px, _LEGEND_PX)
    write(canvas, "NEEDLE POINTS IN A CIRCLE OF 1 MM", (0, 90), 24.0)
    pitch = width_px / len(HEAT)
    for k, ((_, colour), words) in enumerate(zip(HEAT, heat_words(), strict=True)):
        left = k * pitch
        swatch = shapely.box(left, 20, left + 50, 70)
        canvas.polygon(swatch, colour)
        write(canvas, words, (left + 62, 32), 26.0)
    return canvas.finished()
