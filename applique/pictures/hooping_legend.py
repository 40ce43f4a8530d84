"""The colours of hoopings, their numbers, and the legend below the overview of a plan."""

from __future__ import annotations

import math

import shapely
from PIL import Image

from applique.geometry.lettering import lettering_width
from applique.hoops.plan import Hooping, HoopingPlan
from applique.hoops.problem import BoxMm
from applique.pictures.canvas import Area, Canvas
from applique.pictures.colours import (
    BLACK,
    PAPER,
    hooping_colour,
    letters_on,
    mixed,
)
from applique.pictures.hooping_tags import Tag
from applique.pictures.words import write
from applique.report import counted

_TITLE_PX = 110
_ROW_PX = 84
_TAG_PX = 62
_NUMBER_PX = 34.0
_LETTERS_PX = 28.0
_GAP_PX = 40
_NARROWEST_PX = 1500


def draw_tag(canvas: Canvas, tag: Tag, height_px: float) -> None:
    """A hooping's number in a box of its colour, smaller where it has many figures."""
    colour = hooping_colour(tag.number)
    box = shapely.box(*tag.box)
    canvas.polygon(box, colour)
    canvas.outline(box, 3.0, mixed(colour, BLACK, 0.55))
    text = str(tag.number)
    room = 0.8 * (tag.box[2] - tag.box[0])
    height = height_px / canvas.px_per_mm
    height *= min(1.0, room / lettering_width(text, height))
    x, y = tag.middle
    corner = (x - lettering_width(text, height) / 2, y - height / 2)
    write(canvas, text, corner, height * canvas.px_per_mm, letters_on(colour))


def hoopings_legend(
    plan: HoopingPlan, pieces: frozenset[str], needed: BoxMm, width_px: int
) -> Image.Image:
    """A strip with the block's name, how much background is needed, and a line for each hooping.
    `pieces` are the labels that are fabric, all others details."""
    width = max(width_px, _NARROWEST_PX)
    told = [_words(hooping, pieces) for hooping in plan.hoopings]
    widest = max(lettering_width(words, _LETTERS_PX) for words in told)
    column = widest + _TAG_PX + 2 * _GAP_PX
    columns = max(1, int((width - _GAP_PX) // column))
    rows = -(-len(told) // columns)
    height = _TITLE_PX + rows * _ROW_PX + _GAP_PX // 2
    canvas = Canvas(Area(0, 0, width, height), PAPER, long_side_px=max(width, height))
    _title(canvas, plan, needed, width - 2 * _GAP_PX)
    for k, (hooping, words) in enumerate(zip(plan.hoopings, told, strict=True)):
        left, top = _GAP_PX + column * (k // rows), _TITLE_PX + _ROW_PX * (k % rows)
        draw_tag(
            canvas, Tag(hooping.number, (left, top, left + _TAG_PX, top + _TAG_PX)), _NUMBER_PX
        )
        at = (left + _TAG_PX + _GAP_PX / 2, top + (_TAG_PX - _LETTERS_PX) / 2)
        write(canvas, words, at, _LETTERS_PX)
    return canvas.finished()


def _title(canvas: Canvas, plan: HoopingPlan, needed: BoxMm, room: float) -> None:
    """A line of text, smaller where it would not fit."""
    across, down = math.ceil(needed[2] - needed[0]), math.ceil(needed[3] - needed[1])
    count = counted(len(plan.hoopings), "hooping", "hoopings")
    text = f"{plan.name or 'Block'}: {count}, background at least {across} x {down} mm"
    height = 40.0 * min(1.0, room / lettering_width(text, 40.0))
    write(canvas, text, (_GAP_PX, 30), height)


def _words(hooping: Hooping, pieces: frozenset[str]) -> str:
    """`130x180 mm, turned, 12 pieces, 1 detail`."""
    fabric = sum(label in pieces for label in hooping.labels)
    words = [f"{hooping.field.name} mm", *(["turned"] if hooping.turned else [])]
    words.append(counted(fabric, "piece", "pieces"))
    if len(hooping.labels) > fabric:
        words.append(counted(len(hooping.labels) - fabric, "detail", "details"))
    return ", ".join(words)
