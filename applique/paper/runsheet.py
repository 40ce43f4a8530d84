"""The run sheet of a block as pages: the picture, then every stop, needles, sizes and cautions."""

from __future__ import annotations

from collections.abc import Sequence

from applique.paper.drawing import FAINT, Item, Page, Printout, Text
from applique.paper.flow import Section, flowed, height_mm
from applique.paper.front import TITLE_MM
from applique.paper.letters import shortened, wrapped
from applique.paper.picture import block_picture, picture_height_mm
from applique.paper.run_content import RunSheet
from applique.paper.run_stops import stops_section
from applique.paper.run_tables import (
    caution_section,
    cuts_section,
    guidance_section,
    needle_sections,
)
from applique.paper.run_words import MINUTES_TOLD, facts, title_of, totals
from applique.paper.sizes import MARGIN_MM, SizeMm

NARROWEST_MM = 210.0
"""The width of A4 (ISO 216)."""

_FACTS_MM = 3.2
_FACTS_LEADING_MM = 4.4
_TITLE_BASE_MM = 6.5
_TOLD_WORDS_MM = 2.8
_TOLD_MM = 11.0
"""Kept for how the sheet is to be read."""

_LEAST_PICTURE_MM = 120.0
"""However much there is to say beneath it, the picture is so high, where the block is."""


def run_sheet_printout(sheet: RunSheet, paper_mm: SizeMm) -> Printout:
    """All pages of a run sheet on paper of a size in mm. Raises ValueError for a paper narrower
    than A4, on which the figures of a stop would be cut off."""
    if paper_mm[0] < NARROWEST_MM:
        raise ValueError(
            f"a run sheet needs a paper {NARROWEST_MM:g} mm wide, as A4 is, not {paper_mm[0]:g} mm"
        )
    width, height = paper_mm
    beneath = [guidance_section(sheet, paper_mm), caution_section(paper_mm)]
    front, y = _front(sheet, paper_mm, sum(map(height_mm, beneath)))
    pages = flowed([*beneath, *_sections(sheet, paper_mm)], paper_mm, y)
    pages[0] = [*front, *pages[0]]
    title = title_of(sheet)
    numbered = []
    for number, items in enumerate(pages, start=1):
        foot = _foot(title, number, len(pages), paper_mm)
        numbered.append(Page(width, height, (*items, *foot), f"{title}, page {number}"))
    return Printout(title, tuple(numbered))


def _sections(sheet: RunSheet, paper_mm: SizeMm) -> list[Section]:
    sections = []
    if sheet.needles is not None:
        sections += needle_sections(sheet.needles, len(sheet.sittings), paper_mm)
    stops = [stops_section(sitting, paper_mm) for sitting in sheet.sittings]
    return [*sections, *stops, cuts_section(sheet, paper_mm)]


def _front(sheet: RunSheet, paper_mm: SizeMm, beneath_mm: float) -> tuple[list[Item], float]:
    """What stands above all sections on the first page, and where it ends; so high that there is
    room beneath it, if there can be."""
    width, height = paper_mm
    left, right = MARGIN_MM, width - MARGIN_MM
    room = right - left
    name = shortened(sheet.card.name or "Block", TITLE_MM, room, bold=True)
    y = MARGIN_MM + _TITLE_BASE_MM
    items: list[Item] = [Text((left, y), name, TITLE_MM, bold=True)]
    for text in (" · ".join(facts(sheet)), " · ".join(totals(sheet))):
        for words in wrapped(text, _FACTS_MM, room):
            y += _FACTS_LEADING_MM + 0.4
            items.append(Text((left, y), words, _FACTS_MM))
    top = y + 2.5
    free = height - MARGIN_MM - beneath_mm - _TOLD_MM - top
    high = min(max(free, _LEAST_PICTURE_MM), picture_height_mm(sheet.card, room))
    picture, missing = block_picture(sheet.card, (left, top, right, top + high))
    told, y = _told(missing, top + high + 1.0, paper_mm)
    return [*items, *picture, *told], y


def _told(missing: Sequence[str], y: float, paper_mm: SizeMm) -> tuple[list[Item], float]:
    """How the sheet is to be read, in lines from a y on, and where they end."""
    texts = [MINUTES_TOLD]
    if missing:
        texts.insert(0, f"No room in the picture for the numbers of {', '.join(missing)}.")
    items: list[Item] = []
    for text in texts:
        for words in wrapped(text, _TOLD_WORDS_MM, paper_mm[0] - 2 * MARGIN_MM):
            y += 3.7
            items.append(Text((MARGIN_MM, y), words, _TOLD_WORDS_MM))
    return items, y


def _foot(title: str, number: int, count: int, paper_mm: SizeMm) -> list[Item]:
    """Which page of what, in the margin."""
    width, height = paper_mm
    y = height - MARGIN_MM / 2
    name = shortened(title, 2.6, width - 2 * MARGIN_MM - 30.0)
    return [
        Text((MARGIN_MM, y), name, 2.6, colour=FAINT),
        Text((width - MARGIN_MM, y), f"page {number} of {count}", 2.6, "end", colour=FAINT),
    ]
