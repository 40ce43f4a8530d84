"""The first page of a card: what block it is, its picture, and the order in which it is laid."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from applique.paper.content import Card
from applique.paper.drawing import Item, Page, Text
from applique.paper.letters import shortened, wrapped
from applique.paper.picture import block_picture, picture_height_mm
from applique.paper.sizes import MARGIN_MM, SizeMm
from applique.paper.words import CAUTION, TRIM, length_words, pause_words, size_words
from applique.report import counted

TITLE_MM = 8.0
_FACTS_MM = 3.2
_HEAD_MM = 17.0
_HEADING_MM = 4.0
_WORDS_MM = 2.8
_LEADING_MM = 3.9
_NUMBER_MM = 7.0
_COLUMNS = 3
_MOST_LINES = 8
"""A pause that has more to say may be divided between columns."""

_GAP_MM = 5.0
_CAUTION_MM = 9.0
_LEAST_PICTURE_MM = 165.0


@dataclass(frozen=True)
class _Entry:
    """A pause in the list: its number and the lines beside it; or more lines, without number."""

    number: str
    lines: tuple[str, ...]


def front_pages(
    card: Card, paper_mm: SizeMm, not_laid: frozenset[str] = frozenset()
) -> tuple[list[Page], tuple[str, ...]]:
    """The page with the picture, and others if the laying order goes on; the labels of pieces for
    whose numbers there was no room in the picture. `not_laid` are those of pieces without a number
    on the laying pages."""
    width, height = paper_mm
    left, right = MARGIN_MM, width - MARGIN_MM
    entries = _entries(card, _column_mm(width))
    top = MARGIN_MM + _HEAD_MM
    bottom = height - MARGIN_MM - _CAUTION_MM
    lines = math.ceil(sum(len(entry.lines) for entry in entries) / _COLUMNS) + 1
    listed = _HEADING_MM + 3.0 + lines * _LEADING_MM if entries else 0.0
    room = max(bottom - top - listed, _LEAST_PICTURE_MM)
    high = min(room, right - left, picture_height_mm(card, right - left))
    picture, missing = block_picture(card, (left, top, right, top + high))
    trims = any(pause.trimmed for pause in card.pauses)
    items: list[Item] = [*_title(card, width), *picture, *_caution(trims, width, height)]
    y = top + high + 2.0
    elsewhere = len(set(missing) - not_laid)
    if elsewhere:
        text = _elsewhere(len(missing), elsewhere)
        items.append(Text((left, y + 2.4), text, _WORDS_MM))
        y += _LEADING_MM + 1.0
    rest = entries
    if entries:
        found, rest = _list(rest, (y, bottom), width, "Laying order")
        items += found
    pages = [Page(width, height, tuple(items), f"{card.name or 'Block'}, card")]
    while rest:
        found, rest = _list(rest, (MARGIN_MM, bottom), width, "Laying order, continued")
        pages.append(Page(width, height, tuple(found), "Laying order, continued"))
    return pages, missing


def _elsewhere(missing: int, laid: int) -> str:
    """Where to look for numbers that the picture lacks, of which the laying pages have `laid`."""
    if missing == 1:
        return "One piece has no number here; it stands on the laying pages."
    some = "they" if laid == missing else f"those of {laid}"
    return f"{missing} pieces have no number here; {some} stand on the laying pages."


def _title(card: Card, width: float) -> list[Item]:
    room = width - 2 * MARGIN_MM
    title = shortened(card.name or "Block", TITLE_MM, room, bold=True)
    items: list[Item] = [Text((MARGIN_MM, MARGIN_MM + 6.5), title, TITLE_MM, bold=True)]
    facts = " · ".join(_facts(card))
    for k, text in enumerate(wrapped(facts, _FACTS_MM, room)[:2]):
        items.append(Text((MARGIN_MM, MARGIN_MM + 11.5 + 4.0 * k), text, _FACTS_MM))
    return items


def _facts(card: Card) -> list[str]:
    facts = []
    if card.frame is not None:
        facts.append(f"finished {size_words((card.frame.width, card.frame.height))}")
        facts.append(f"seam allowance {length_words(card.frame.seam_allowance)}")
    pieces = counted(len(card.pieces), "piece", "pieces")
    facts.append(f"{pieces} of {counted(len(card.by_fabric), 'fabric', 'fabrics')}")
    return facts


def _column_mm(width: float) -> float:
    return (width - 2 * MARGIN_MM - (_COLUMNS - 1) * _GAP_MM) / _COLUMNS


def _entries(card: Card, column: float) -> list[_Entry]:
    pieces = {piece.label: piece for piece in card.pieces}
    entries = []
    for pause in card.pauses:
        lines = wrapped(pause_words(pause, pieces), _WORDS_MM, column - _NUMBER_MM)
        for k in range(0, len(lines), _MOST_LINES):
            number = str(pause.number) if k == 0 else ""
            entries.append(_Entry(number, tuple(lines[k : k + _MOST_LINES])))
    return entries


def _list(
    entries: Sequence[_Entry], room: tuple[float, float], width: float, heading: str
) -> tuple[list[Item], list[_Entry]]:
    """As many entries as there is room for from one y to another, in columns, and the rest. At
    least one is taken."""
    top, bottom = room
    items: list[Item] = [Text((MARGIN_MM, top + 3.4), heading, _HEADING_MM, bold=True)]
    first = top + _HEADING_MM + 4.0
    most = max(int((bottom - first) / _LEADING_MM), 1)
    wanted = math.ceil(sum(len(entry.lines) for entry in entries) / _COLUMNS)
    longest = max(len(entry.lines) for entry in entries)
    deep = min(most, wanted + longest - 1)
    rest = list(entries)
    for column in range(_COLUMNS):
        x = MARGIN_MM + column * (_column_mm(width) + _GAP_MM)
        used = 0
        while rest and (used == 0 or used + len(rest[0].lines) <= deep):
            items += _drawn(rest[0], x, first + used * _LEADING_MM)
            used += len(rest.pop(0).lines)
    return items, rest


def _drawn(entry: _Entry, x: float, y: float) -> list[Item]:
    items: list[Item] = []
    if entry.number:
        items.append(Text((x + _NUMBER_MM - 2.0, y), entry.number, _WORDS_MM, "end", True))
    for k, text in enumerate(entry.lines):
        items.append(Text((x + _NUMBER_MM, y + k * _LEADING_MM), text, _WORDS_MM))
    return items


def _caution(trims: bool, width: float, height: float) -> list[Item]:
    """How to trim, and how not to get hurt, at the foot of the page."""
    room = width - 2 * MARGIN_MM
    texts = wrapped(f"{TRIM} {CAUTION}" if trims else CAUTION, 2.6, room)
    bottom = height - MARGIN_MM
    return [
        Text((MARGIN_MM, bottom - 3.4 * (len(texts) - 1 - k)), text, 2.6)
        for k, text in enumerate(texts)
    ]
