"""The stops of a run sheet on paper: a row for each colour block, with what is done at its end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from applique.paper.drawing import INK, Anchor, Item, Text, line, rectangle
from applique.paper.flow import FlowBlock, Section
from applique.paper.letters import titled, wrapped
from applique.paper.run_content import RunStop, Sitting
from applique.paper.run_words import STOP_BY_HAND, minutes, sitting_facts, thousands
from applique.paper.sizes import MARGIN_MM, SizeMm

WORDS_MM = 3.2
LEADING_MM = 4.3
QUIET = "#5c5c5c"
_HEADING_MM = 5.0
_MOST_LINES = 24
"""So many lines of one thing stay together; a longer list may go on overleaf."""

_TICK_MM = 3.4
_AFTER_ROW_MM = 1.6


@dataclass(frozen=True)
class _Column:
    """A column: its heading, and where it begins or, for figures, ends, in mm from the left
    margin."""

    heading: str
    at_mm: float
    anchor: Anchor = "start"


_NUMBER = _Column("no.", 13.5, "end")
_SEWN = _Column("sewn", 17.0)
_THREAD = _Column("thread", 93.0)
_FIGURES = (
    _Column("stitches", 160.0, "end"),
    _Column("machine, min", 176.0, "end"),
    _Column("hands, min", 190.0, "end"),
)
_SEWN_MM = 72.0
_SWATCH_MM = 5.5
_THREAD_MM = 55.0


def stops_section(sitting: Sitting, paper_mm: SizeMm) -> Section:
    """A sitting: how it begins, then its stops."""
    right = paper_mm[0] - MARGIN_MM
    begin = [
        *_paragraph(list(sitting.lining), right),
        *_paragraph([task.words for task in sitting.begin], right, ticked=True),
    ]
    rows = [block for stop in sitting.stops for block in _row(stop, right)]
    return Section(lambda again: _heading(sitting, right, again), (*begin, *rows))


def _heading(sitting: Sitting, right: float, again: bool) -> FlowBlock:
    room = right - MARGIN_MM
    rest = f": {sitting.file_name}{', continued' if again else ''}"
    y = 9.0
    items: list[Item] = [
        Text((MARGIN_MM, y), titled(sitting.title, rest, _HEADING_MM, room), _HEADING_MM, bold=True)
    ]
    if not again:
        for text in wrapped(" · ".join(sitting_facts(sitting)), WORDS_MM, room):
            y += LEADING_MM + 0.6
            items.append(Text((MARGIN_MM, y), text, WORDS_MM))
    y += 6.0
    for column in (_NUMBER, _SEWN, _THREAD, *_FIGURES):
        place = (MARGIN_MM + column.at_mm, y)
        items.append(Text(place, column.heading, 2.5, column.anchor, colour=QUIET))
    items.append(line([(MARGIN_MM, y + 1.4), (right, y + 1.4)], INK, 0.3))
    return FlowBlock(tuple(items), y + 2.0)


def _paragraph(texts: Sequence[str], right: float, ticked: bool = False) -> list[FlowBlock]:
    """Sentences one below the other in the column of what is sewn."""
    left = MARGIN_MM + _SEWN.at_mm
    blocks = []
    for text in texts:
        lines = wrapped(text, WORDS_MM, right - left, bold=ticked)
        items: list[Item] = [
            Text((left, 4.0 + LEADING_MM * k), words, WORDS_MM, bold=ticked)
            for k, words in enumerate(lines)
        ]
        if ticked:
            items.append(_tick(MARGIN_MM + 1.0))
        blocks.append(FlowBlock(tuple(items), 0.8 + LEADING_MM * len(lines), keeps_next=True))
    return blocks


def _tick(left: float) -> Item:
    """A box to be ticked off."""
    return rectangle((left, 1.2, left + _TICK_MM, 1.2 + _TICK_MM), stroke=INK, stroke_mm=0.2)


def _row(stop: RunStop, right: float) -> list[FlowBlock]:
    """A stop: its figures beside what is sewn, then what is done."""
    sewn = wrapped(stop.sewn, WORDS_MM, _SEWN_MM)
    thread = wrapped(_thread_words(stop), WORDS_MM, _THREAD_MM - _SWATCH_MM)
    lines = max(len(sewn), len(thread))
    blocks = []
    for first in range(0, lines, _MOST_LINES):
        items = _cells(stop) if first == 0 else []
        part = slice(first, first + _MOST_LINES)
        items += _lines(sewn[part], MARGIN_MM + _SEWN.at_mm)
        items += _lines(thread[part], MARGIN_MM + _THREAD.at_mm + _SWATCH_MM)
        height = 1.2 + LEADING_MM * min(lines - first, _MOST_LINES)
        blocks.append(FlowBlock(tuple(items), height, keeps_next=True))
    if stop.set_by_hand:
        blocks += _sentence(STOP_BY_HAND, right, bold=False)
    for task in stop.tasks:
        blocks += _sentence(task.words, right, bold=task.kind in ("lay", "trim", "own"))
    end = line([(MARGIN_MM, 0.8), (right, 0.8)], "#c8c8c8", 0.15)
    return [*blocks, FlowBlock((end,), _AFTER_ROW_MM)]


def _thread_words(stop: RunStop) -> str:
    return f"needle {stop.needle}: {stop.thread.words}" if stop.needle else stop.thread.words


def _cells(stop: RunStop) -> list[Item]:
    """The box to tick, the number, the thread's colour and the figures of a stop."""
    left = MARGIN_MM + _THREAD.at_mm
    items: list[Item] = [
        _tick(MARGIN_MM + 1.0),
        Text((MARGIN_MM + _NUMBER.at_mm, 4.0), str(stop.number), WORDS_MM, "end", bold=True),
        rectangle((left, 1.2, left + 4.0, 1.2 + _TICK_MM), stop.thread.colour, INK, 0.15),
    ]
    figures = (
        thousands(stop.stitches),
        minutes(stop.machine_minutes),
        minutes(stop.hand_minutes) if stop.hand_minutes else "–",
    )
    for column, text in zip(_FIGURES, figures, strict=True):
        items.append(Text((MARGIN_MM + column.at_mm, 4.0), text, WORDS_MM, column.anchor))
    return items


def _lines(texts: Sequence[str], left: float) -> list[Item]:
    return [Text((left, 4.0 + LEADING_MM * k), text, WORDS_MM) for k, text in enumerate(texts)]


def _sentence(words: str, right: float, bold: bool) -> list[FlowBlock]:
    """Something to be done, marked with a dot."""
    left = MARGIN_MM + _SEWN.at_mm + 3.5
    lines = wrapped(words, WORDS_MM, right - left, bold)
    blocks = []
    for first in range(0, len(lines), _MOST_LINES):
        part = lines[first : first + _MOST_LINES]
        items: list[Item] = [
            Text((left, 3.6 + LEADING_MM * k), text, WORDS_MM, bold=bold)
            for k, text in enumerate(part)
        ]
        if first == 0:
            items.append(Text((left - 3.5, 3.6), "•", WORDS_MM))
        blocks.append(FlowBlock(tuple(items), LEADING_MM * len(part) + 0.2, keeps_next=True))
    return blocks
