"""Needles, sizes to cut, the user's own guidance and cautions of a run sheet on paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from applique.paper.drawing import INK, Item, Text, line, rectangle
from applique.paper.flow import FlowBlock, Section
from applique.paper.letters import shortened, wrapped
from applique.paper.run_content import FabricCuts, NeedleTable, RunSheet, RunThread
from applique.paper.run_stops import LEADING_MM, QUIET, WORDS_MM
from applique.paper.run_words import (
    CAUTIONS,
    HAND_STOPS_TOLD,
    cut_words,
    guidance_lines,
    hand_stops,
)
from applique.paper.sizes import MARGIN_MM, SizeMm

_HEADING_MM = 4.6
_PIECE_MM = 50.0
_SIZE_MM = 86.0
_METHOD_MM = 150.0


def guidance_section(sheet: RunSheet, paper_mm: SizeMm) -> Section:
    """The user's own words on needle, stabiliser and whatever else."""
    lines = [f"{what}: {words}" for what, words in guidance_lines(sheet)]
    return _texts("Needle, stabiliser, notes", lines, paper_mm)


def caution_section(paper_mm: SizeMm) -> Section:
    """How not to get hurt."""
    return _texts("Take care", CAUTIONS, paper_mm)


def needle_sections(needles: NeedleTable, sittings: int, paper_mm: SizeMm) -> list[Section]:
    """What each needle holds, which are threaded anew, and where stops are set."""
    rows = [
        _swatch_row(f"needle {k}", thread, paper_mm)
        for k, thread in enumerate(needles.threads, start=1)
    ]
    sections = [Section(_heading("Needles at the start"), tuple(rows))]
    if needles.rethreadings:
        changed = []
        for change in needles.rethreadings:
            where = f"hooping {change.sitting}, " if sittings > 1 else ""
            what = f"{where}after {change.after}: needle {change.needle}"
            changed.append(_swatch_row(what, change.into, paper_mm))
        sections.append(Section(_heading("Needles threaded anew"), tuple(changed)))
    lines = [HAND_STOPS_TOLD, *hand_stops(needles, sittings)]
    return [*sections, _texts("Stops to set by hand", lines, paper_mm)]


def cuts_section(sheet: RunSheet, paper_mm: SizeMm) -> Section:
    """What is cut of each fabric."""
    right = paper_mm[0] - MARGIN_MM
    blocks = []
    if sheet.background:
        name = f"background: {sheet.card.background or 'not named'}"
        beside = wrapped(sheet.background, WORDS_MM, right - MARGIN_MM - _PIECE_MM)
        items = _fabric(name, sheet.card.background_colour)
        for k, words in enumerate(beside):
            items.append(Text((MARGIN_MM + _PIECE_MM, 4.0 + LEADING_MM * k), words, WORDS_MM))
        blocks.append(_ruled(items, LEADING_MM * len(beside), right))
    for cuts in sheet.cuts:
        blocks += _rows(cuts, right)
    return Section(_heading("Fabric: cut sizes of the pieces"), tuple(blocks))


def _heading(title: str) -> Callable[[bool], FlowBlock]:
    def heading(again: bool) -> FlowBlock:
        words = f"{title}, continued" if again else title
        place = (MARGIN_MM, 9.0)
        return FlowBlock((Text(place, words, _HEADING_MM, bold=True),), 11.0, keeps_next=True)

    return heading


def _texts(title: str, texts: Sequence[str], paper_mm: SizeMm) -> Section:
    """Paragraphs under a heading."""
    room = paper_mm[0] - 2 * MARGIN_MM
    blocks = []
    for text in texts:
        lines = wrapped(text, WORDS_MM, room)
        for k, words in enumerate(lines):
            last = k == len(lines) - 1
            item = Text((MARGIN_MM, 3.6), words, WORDS_MM)
            blocks.append(FlowBlock((item,), LEADING_MM + 0.8 * last, keeps_next=not last))
    return Section(_heading(title), tuple(blocks))


def _swatch_row(what: str, thread: RunThread, paper_mm: SizeMm) -> FlowBlock:
    left = MARGIN_MM + 58.0
    room = paper_mm[0] - MARGIN_MM - left - 6.0
    return FlowBlock(
        (
            Text((MARGIN_MM, 4.0), what, WORDS_MM, bold=True),
            rectangle((left, 1.2, left + 4.0, 4.6), thread.colour, INK, 0.15),
            Text((left + 6.0, 4.0), shortened(thread.words, WORDS_MM, room), WORDS_MM),
        ),
        5.4,
    )


def _rows(cuts: FabricCuts, right: float) -> list[FlowBlock]:
    """The pieces of a fabric, its name beside the first."""
    rows = []
    last = len(cuts.sizes) - 1
    for k, size in enumerate(cuts.sizes):
        items = _fabric(cuts.fabric or "no name", cuts.colour) if k == 0 else []
        label = shortened(size.piece, WORDS_MM, _SIZE_MM - _PIECE_MM - 2.0, bold=True)
        items += [
            Text((MARGIN_MM + _PIECE_MM, 4.0), label, WORDS_MM, bold=True),
            Text((MARGIN_MM + _SIZE_MM, 4.0), cut_words(size.size_mm), WORDS_MM),
            Text((MARGIN_MM + _METHOD_MM, 4.0), size.method, WORDS_MM, colour=QUIET),
        ]
        plain = FlowBlock(tuple(items), LEADING_MM + 0.6)
        rows.append(_ruled(items, LEADING_MM, right) if k == last else plain)
    return rows


def _fabric(name: str, colour: str) -> list[Item]:
    told = shortened(name, WORDS_MM, _PIECE_MM - 8.0, bold=True)
    return [
        rectangle((MARGIN_MM, 1.2, MARGIN_MM + 4.0, 4.6), colour, INK, 0.15),
        Text((MARGIN_MM + 6.0, 4.0), told, WORDS_MM, bold=True),
    ]


def _ruled(items: Sequence[Item], height: float, right: float) -> FlowBlock:
    """A row with a line beneath it."""
    rule = line([(MARGIN_MM, height + 1.4), (right, height + 1.4)], "#c8c8c8", 0.15)
    return FlowBlock((*items, rule), height + 1.8)
