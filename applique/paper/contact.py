"""Sheets of templates for the binder: every outline at true size, or all of them reduced alike.

The items keep their order and stand in rows; a row is as high as its highest item (a shelf packing,
as simple as it gets). What is larger than the page is reduced by itself, and says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from applique.geometry.curves import flatten, transformed
from applique.model import Curve
from applique.paper.bars import STRIP_MM, check_strip
from applique.paper.drawing import FAINT, INK, Item, Page, Path, Text, line, moved
from applique.paper.letters import shortened, text_width_mm
from applique.paper.sizes import MARGIN_MM, SizeMm
from applique.paper.words import size_words
from applique.report import Finding, warning
from applique.units import compact

HEAD_MM = 9.0
GAP_MM = 6.0
_NAME_MM = 3.4
_WORDS_MM = 2.6
_CAPTION_MM = 3.0 + _NAME_MM + 2 * 3.6
_LEAST_CELL_MM = 34.0
_STROKE_MM = 0.3
_FILL = "#f4f1ea"


@dataclass(frozen=True, eq=False)
class ContactItem:
    """A template: its number or name, a second line, and its closed curves in mm, the upper left
    corner of their box at the origin. Raises ValueError if it has no curves."""

    name: str
    second_line: str
    curves: tuple[Curve, ...]

    def __post_init__(self) -> None:
        if not self.curves:
            raise ValueError(f"the template '{self.name}' has no outline to draw")


@dataclass(frozen=True, eq=False)
class _Cell:
    """An item as it is drawn, its upper left corner at the origin, with its words beneath."""

    items: tuple[Item, ...]
    width_mm: float
    height_mm: float


def contact_sheet(
    items: Sequence[ContactItem], paper_mm: SizeMm, scale: float = 1.0, title: str = "Templates"
) -> tuple[tuple[Page, ...], tuple[Finding, ...]]:
    """Pages with all items, drawn `scale` times their size, and a finding for each that is too
    large for a page at that scale and so is reduced further.

    Raises ValueError if the scale is not above 0.
    """
    if scale <= 0:
        raise ValueError(f"the scale of a contact sheet must be above 0, not {scale:g}")
    room = _room(paper_mm)
    cells, findings = [], []
    for item in items:
        fits = _fitting(item, room, scale)
        if fits < scale:
            findings.append(_too_large(item, fits, scale))
        cells.append(_cell(item, room, fits, scale))
    pages = list(_packed(cells, room))
    made = tuple(
        Page(*paper_mm, tuple(_dressed(page, paper_mm, scale, title, k + 1, len(pages))), title)
        for k, page in enumerate(pages)
    )
    return made, tuple(findings)


def _room(paper_mm: SizeMm) -> SizeMm:
    """Width and height of what the items share."""
    width, height = paper_mm
    return width - 2 * MARGIN_MM, height - 2 * MARGIN_MM - HEAD_MM - STRIP_MM


def _size(item: ContactItem) -> SizeMm:
    """Width and height of an item at true size."""
    points = np.vstack([flatten(curve) for curve in item.curves])
    width, height = points.max(axis=0).tolist()
    return width, height


def _fitting(item: ContactItem, room: SizeMm, scale: float) -> float:
    """The scale, or what of it makes the item fit on a page, in whole hundredths."""
    width, height = _size(item)
    most = min(room[0] / max(width, 1e-9), (room[1] - _CAPTION_MM) / max(height, 1e-9))
    return scale if scale <= most else max(np.floor(most * 100) / 100, 0.01)


def _too_large(item: ContactItem, fits: float, scale: float) -> Finding:
    width, height = _size(item)
    at = "" if scale == 1 else f" even at {_percent(scale)}"
    text = (
        f"its {compact(width, 0)} x {compact(height, 0)} mm are too large for the page{at}; it is "
        f"drawn at {_percent(fits)} and marked; its true size is written beneath it"
    )
    return warning("too-large", item.name, text)


def _percent(scale: float) -> str:
    return f"{compact(100 * scale, 1)} %"


def _cell(item: ContactItem, room: SizeMm, fits: float, scale: float) -> _Cell:
    width, height = (side * fits for side in _size(item))
    matrix = np.array([[fits, 0.0, 0.0], [0.0, fits, 0.0]])
    curves = tuple(transformed(curve, matrix) for curve in item.curves)
    size = size_words(_size(item))
    widest = max(text_width_mm(text, _WORDS_MM) for text in (item.second_line, size))
    words = min(max(width, _LEAST_CELL_MM, widest), room[0])
    y = height + 2.5 + _NAME_MM
    drawn: list[Item] = [
        Path(curves, _FILL, INK, _STROKE_MM),
        Text((0.0, y), shortened(item.name, _NAME_MM, words, True), _NAME_MM, bold=True),
    ]
    if fits < scale:
        x = text_width_mm(item.name, _NAME_MM, True) + 3.0
        mark = f"NOT TRUE TO SCALE: {_percent(fits)}"
        drawn.append(Text((x, y), mark, _WORDS_MM, bold=True, colour="#b00020"))
        words = min(max(words, x + text_width_mm(mark, _WORDS_MM, True)), room[0])
    lines = [text for text in (item.second_line, size) if text]
    for k, text in enumerate(lines):
        place = (0.0, y + 3.6 * (k + 1))
        drawn.append(Text(place, shortened(text, _WORDS_MM, words), _WORDS_MM))
    return _Cell(tuple(drawn), words, height + _CAPTION_MM)


def _packed(cells: Sequence[_Cell], room: SizeMm) -> Iterator[list[Item]]:
    """Cells in rows, rows on pages; the room's upper left corner is the origin."""
    page: list[Item] = []
    x = y = row = 0.0
    for cell in cells:
        if x > 0 and x + cell.width_mm > room[0]:
            x, y, row = 0.0, y + row + GAP_MM, 0.0
        if page and y + cell.height_mm > room[1]:
            yield page
            page, x, y, row = [], 0.0, 0.0, 0.0
        page += moved(cell.items, (x, y))
        x += cell.width_mm + GAP_MM
        row = max(row, cell.height_mm)
    if page:
        yield page


def _dressed(
    items: list[Item], paper_mm: SizeMm, scale: float, title: str, number: int, count: int
) -> list[Item]:
    """A page's items in their place, with its head and the check bars."""
    width, height = paper_mm
    right, foot = width - MARGIN_MM, height - MARGIN_MM - STRIP_MM
    at = "true size" if scale == 1 else f"drawn at {_percent(scale)} of true size"
    head = shortened(f"{title}, {at}", 4.2, right - MARGIN_MM - 30.0, bold=True)
    return [
        Text((MARGIN_MM, MARGIN_MM + 3.6), head, 4.2, bold=True),
        Text((right, MARGIN_MM + 3.6), f"page {number} of {count}", _WORDS_MM, "end"),
        *moved(items, (MARGIN_MM, MARGIN_MM + HEAD_MM)),
        line([(MARGIN_MM, foot + 1.5), (right, foot + 1.5)], FAINT, 0.1),
        *check_strip(MARGIN_MM, foot, right),
    ]
