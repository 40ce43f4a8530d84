"""The map of a cut sheet: every piece in its place with its number, and below it what to know."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import shapely
from PIL import Image
from shapely.geometry.base import BaseGeometry

from applique.cutting.marks import grain_arrow, side_marks
from applique.cutting.sheet import PlacedCut, Sheet
from applique.cutting.space import box_within, free_space
from applique.geometry.lettering import lettering_width
from applique.geometry.rings import rings_of
from applique.geometry.walk import Walk
from applique.pictures.canvas import Area, Canvas, area_round
from applique.pictures.colours import (
    INK,
    PALE,
    PAPER,
    QUIET,
    UNKNOWN,
    WHITE,
    Colour,
    letters_on,
    rgb,
)
from applique.pictures.png import png_bytes
from applique.pictures.sheet_numbers import Number, place_sheet_numbers
from applique.pictures.words import write, write_boxed, write_over
from applique.report import counted
from applique.units import MM_PER_INCH, compact

CAUTION = "Blades are sharp. Follow your machine's own safety instructions."

_AROUND_MM = 12.0
"""Paper round the sheet in which numbers may stand."""

_BESIDE_MM = 1.5
"""Arrows keep so far from numbers."""

LONG_SIDE_PX = 1200
"""A map is looked at, not measured; a finer one takes twice as long to make."""

_BORDER_PX = 2.7
_REGION_PX = 2.0
_PIECE_PX = 1.6
_MARGIN_PX = 1.3
_ARROW_PX = 2.7
_CASING_PX = 5.7
_LEADER_PX = 1.6
_NAME_PX = 16.0
_DASH_PX = (12.0, 8.0)
_TITLE_PX = 23.0
_TEXT_PX = 16.0
_EDGE_PX = 22
_SIMPLER_PX = 0.1
"""Outlines are drawn so much simpler, which nobody sees: every chord takes its time."""


def sheet_picture(sheet: Sheet, colours: Mapping[str, str]) -> bytes:
    """A PNG of a sheet: its border, margin and used places, its pieces in their fabrics' colours
    (#rrggbb by name), all their numbers, whichever side lies up, and their grain."""
    area = area_round(sheet.stock.shape.bounds, _AROUND_MM)
    canvas = Canvas(area, PAPER, LONG_SIDE_PX)
    _draw_sheet(canvas, sheet)
    for cut in sheet.cuts:
        shape = shapely.simplify(cut.shape, _SIMPLER_PX / canvas.px_per_mm)
        canvas.polygon(shape, _colour(cut, colours))
        canvas.outline(shape, _PIECE_PX, INK)
    numbers = place_sheet_numbers(sheet.cuts, canvas.area, canvas.px_per_mm)
    for cut, number in zip(sheet.cuts, numbers, strict=True):
        _draw_marks(canvas, cut, number)
    _draw_regions(canvas, sheet)
    for number in numbers:
        _draw_leader(canvas, number)
    for cut, number in zip(sheet.cuts, numbers, strict=True):
        _draw_number(canvas, number, letters_on(_colour(cut, colours)))
    look = canvas.finished()
    told = _told(sheet, look.width)
    picture = Image.new("RGB", (look.width, told.height + look.height), PAPER)
    picture.paste(told, (0, 0))
    picture.paste(look, (0, told.height))
    return png_bytes(picture)


def _draw_sheet(canvas: Canvas, sheet: Sheet) -> None:
    """The sheet on the paper, pale where pieces were cut from it before, its margin dashed."""
    whole = shapely.union_all([shapely.Polygon(ring) for ring in rings_of(sheet.stock.shape)])
    canvas.polygon(whole, PALE)
    canvas.polygon(sheet.stock.shape, WHITE)
    within = sheet.stock.shape.buffer(-sheet.margin_mm, join_style="mitre")
    for ring in rings_of(within) if sheet.margin_mm > 0 else []:
        _draw_dashed(canvas, ring)
    canvas.outline(sheet.stock.shape, _BORDER_PX, INK)


def _draw_dashed(canvas: Canvas, ring: np.ndarray) -> None:
    """A closed line in dashes that come out even."""
    walk = Walk(ring, closed=True)
    dash, gap = (px / canvas.px_per_mm for px in _DASH_PX)
    count = max(1, round(walk.length / (dash + gap)))
    starts = np.arange(count) * walk.length / count
    dashes = [walk.section(start, start + dash) for start in starts.tolist()]
    canvas.strokes(
        np.concatenate([points[:-1] for points in dashes]),
        np.concatenate([points[1:] for points in dashes]),
        [(_MARGIN_PX / canvas.px_per_mm, QUIET)],
    )


def _draw_marks(canvas: Canvas, cut: PlacedCut, number: Number) -> None:
    """The grain of a piece, clear of its number and of the end of a line, and the marks along its
    sides."""
    taken = [number.box] if number.end_mm is None else [number.box, shapely.Point(number.end_mm)]
    lines = grain_arrow(cut.piece, cut.placement, shapely.union_all(taken).buffer(_BESIDE_MM))
    lines = (*lines, *side_marks(cut.piece, cut.placement))
    for width, colour in ((_CASING_PX, WHITE), (_ARROW_PX, INK)):
        for line in lines:
            canvas.line(line, width / canvas.px_per_mm, colour)


def _draw_regions(canvas: Canvas, sheet: Sheet) -> None:
    """The places of the fabrics on a shared sheet, and their names where nothing lies."""
    space: BaseGeometry = shapely.Polygon()
    if sheet.regions:
        space = free_space(sheet.stock, 0.0, [cut.shape for cut in sheet.cuts], 1.0)
    height = _NAME_PX / canvas.px_per_mm
    for region in sheet.regions:
        box = shapely.box(*region.box_mm)
        canvas.outline(box, _REGION_PX, INK)
        size = np.array([lettering_width(region.fabric, height), height])
        corner = box_within(space.intersection(box.buffer(-height / 2)), *size.tolist())
        if corner is None:
            corner = np.array(region.box_mm[:2]) + height / 2
        x, y = (corner + size / 2).tolist()
        write_over(canvas, region.fabric, (x, y), _NAME_PX)


def _draw_leader(canvas: Canvas, number: Number) -> None:
    """The line that leads from a number beside its piece."""
    if number.end_mm is None:
        return
    leader = np.array([number.middle_mm, number.end_mm])
    for width, ink in ((3.0, WHITE), (1.0, INK)):
        canvas.line(leader, width * _LEADER_PX / canvas.px_per_mm, ink)
    canvas.dots(leader[1:], 2.5 * _LEADER_PX / canvas.px_per_mm, [INK])


def _draw_number(canvas: Canvas, number: Number, colour: Colour) -> None:
    """A number in its piece, or in a dark box beside it."""
    if number.end_mm is None:
        left, top, *_ = number.box.bounds
        write(canvas, number.text, (left, top), number.height_px, colour)
    else:
        write_boxed(canvas, number.text, number.middle_mm, number.height_px)


def _colour(cut: PlacedCut, colours: Mapping[str, str]) -> Colour:
    return rgb(colours.get(cut.piece.fabric, UNKNOWN))


def _told(sheet: Sheet, width: int) -> Image.Image:
    """A strip with what the sheet is, and which pieces bear no number of their own."""
    room = width - 2 * _EDGE_PX
    title = (sheet.title, _TITLE_PX * min(1.0, room / lettering_width(sheet.title, _TITLE_PX)))
    lines = [(line, _TEXT_PX) for text in _sentences(sheet) for line in _wrapped(text, room)]
    rows = [title, *lines]
    height = round(sum(1.8 * size for _, size in rows)) + _EDGE_PX // 2
    canvas = Canvas(Area(0, 0, width, height), PAPER, long_side_px=max(width, height))
    y = float(_EDGE_PX // 2)
    for text, size in rows:
        write(canvas, text, (_EDGE_PX, y), size)
        y += 1.8 * size
    return canvas.finished()


def _sentences(sheet: Sheet) -> list[str]:
    across, down = sheet.stock.size_mm
    size = f"{compact(across, 1)} x {compact(down, 1)} mm"
    size += f" ({compact(across / MM_PER_INCH, 2)} x {compact(down / MM_PER_INCH, 2)} in)"
    count = counted(len(sheet.cuts), "piece", "pieces")
    used = f"{count}, {100 * sheet.used_share:.0f} % of the sheet used"
    sentences = [size, sheet.face_words, used]
    if sheet.unlabelled and len(sheet.unlabelled) == len(sheet.cuts):
        sentences.append("No piece bears a number: keep this map with them.")
    elif sheet.unlabelled:
        sentences.append(f"No room for a number on {', '.join(sorted(sheet.unlabelled))}.")
    return [*sentences, CAUTION]


def _wrapped(text: str, room: float) -> list[str]:
    """A text in lines no wider than the room, as far as its words allow."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and lettering_width(longer, _TEXT_PX) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return lines
