"""The table of pieces by fabric, in laying order, on as many pages as it takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from applique.paper.content import Card, CardDetail, CardPiece
from applique.paper.drawing import (
    FAINT,
    INK,
    Anchor,
    Item,
    Page,
    Text,
    line,
    moved,
    rectangle,
)
from applique.paper.letters import shortened, titled, wrapped
from applique.paper.sizes import MARGIN_MM, SizeMm
from applique.paper.words import inches, method_words, template_words
from applique.report import counted
from applique.units import compact

_TITLE_MM = 5.5
_WORDS_MM = 2.9
_LEADING_MM = 3.9
_ROW_MM = 5.6
_FABRIC_MM = 9.0
_HEAD_MM = 16.0
_HEADINGS_MM = 6.0
_NOTES = (
    "Sizes are those of the fabric as it lies in the block: with what runs under other pieces and "
    "into the seam. Where the method says + 12.7, say, the fabric is cut that many mm larger all "
    "round: as a patch, or to be turned under. The pause is the one at which a piece is laid."
)
_OVERSIZE = "cut it 1 to 2 in (25 to 50 mm) oversize and trim it after sewing"


@dataclass(frozen=True)
class _Column:
    """A column: its heading, where it begins or, for figures, ends (mm from the left margin), and
    its width in mm; None for the width goes to the right margin."""

    heading: str
    at_mm: float
    width_mm: float | None
    anchor: Anchor = "start"


_COLUMNS = (
    _Column("piece", 2.0, 29.0),
    _Column("pause", 42.0, 10.0, "end"),
    _Column("size, mm", 65.0, 22.0, "end"),
    _Column("size, in", 97.0, 31.0, "end"),
    _Column("edge", 101.0, 14.0),
    _Column("method, mm", 116.0, 27.0),
    _Column("template, remarks", 144.0, None),
)


@dataclass(frozen=True, eq=False)
class _Block:
    """Something of the table that is not divided: its items with their top at 0, and its height in
    mm. `keeps_next` says that what follows must stand on the same page."""

    items: tuple[Item, ...]
    height_mm: float
    keeps_next: bool = False


def table_pages(card: Card, paper_mm: SizeMm) -> list[Page]:
    """The pages of the table."""
    width, height = paper_mm
    bottom = height - MARGIN_MM
    filled: list[list[Item]] = []
    y = bottom + 1.0
    blocks = _blocks(card, width)
    for k, block in enumerate(blocks):
        if y + _kept_together(blocks[k:]) > bottom:
            filled.append(_head(card, width, again=bool(filled)))
            y = MARGIN_MM + _HEAD_MM
        filled[-1].extend(moved(block.items, (0.0, y)))
        y += block.height_mm
    return [
        Page(width, height, tuple(items), f"{card.name or 'Block'}, pieces by fabric")
        for items in filled
    ]


def _kept_together(blocks: Sequence[_Block]) -> float:
    """The height in mm of the first of some blocks, with those that must stand on its page."""
    height = blocks[0].height_mm
    for block, following in pairwise(blocks):
        if not block.keeps_next:
            break
        height += following.height_mm
    return height


def _blocks(card: Card, width: float) -> list[_Block]:
    blocks = [_background(card, width)]
    for fabric, pieces in card.by_fabric.items():
        blocks.append(_fabric(fabric, pieces, width))
        blocks += [_row(piece, width) for piece in pieces]
    # The notes never stand alone on a page: the last rows come along.
    last = [replace(block, keeps_next=True) for block in blocks[-_WITH_NOTES:]]
    return [*blocks[:-_WITH_NOTES], *last, _notes(card, width)]


_WITH_NOTES = 3


def _head(card: Card, width: float, again: bool) -> list[Item]:
    rest = f": pieces by fabric{', continued' if again else ''}"
    right = width - MARGIN_MM
    y = MARGIN_MM + _HEAD_MM - 2.5
    name = titled(card.name or "Block", rest, _TITLE_MM, right - MARGIN_MM)
    items: list[Item] = [Text((MARGIN_MM, MARGIN_MM + 5.0), name, _TITLE_MM, bold=True)]
    items += [
        Text((MARGIN_MM + column.at_mm, y), column.heading, 2.5, column.anchor, colour="#5c5c5c")
        for column in _COLUMNS
    ]
    items.append(line([(MARGIN_MM, y + 1.6), (right, y + 1.6)], INK, 0.3))
    return items


def _background(card: Card, width: float) -> _Block:
    name = card.background or "not named"
    told = f"Background: {name}"
    words = _OVERSIZE if card.frame is not None else ""
    return _fabric_block(card.background_colour, told, words, width, keeps_next=False)


def _fabric(fabric: str, pieces: Sequence[CardPiece], width: float) -> _Block:
    count = counted(len(pieces), "piece", "pieces")
    return _fabric_block(pieces[0].colour, fabric, count, width, keeps_next=True)


def _fabric_block(colour: str, name: str, told: str, width: float, keeps_next: bool) -> _Block:
    """A swatch, the fabric's name, and words at the right."""
    right = width - MARGIN_MM
    swatch = (MARGIN_MM + 0.5, 2.2, MARGIN_MM + 10.5, 7.6)
    title = shortened(name, 3.5, right - MARGIN_MM - 105.0, bold=True)
    return _Block(
        (
            rectangle(swatch, colour, INK, 0.15),
            Text((MARGIN_MM + 13.0, 6.1), title, 3.5, bold=True),
            Text((right, 6.1), told, _WORDS_MM, "end"),
            line([(MARGIN_MM, _FABRIC_MM), (right, _FABRIC_MM)], FAINT, 0.15),
        ),
        _FABRIC_MM,
        keeps_next,
    )


def _row(piece: CardPiece, width: float) -> _Block:
    right = width - 2 * MARGIN_MM
    room = right - _COLUMNS[-1].at_mm
    last = wrapped(template_words(piece), _WORDS_MM, room) or [""]
    height = _ROW_MM + _LEADING_MM * (len(last) - 1)
    items: list[Item] = []
    for column, text in zip(_COLUMNS[:-1], _cells(piece), strict=True):
        bold = column is _COLUMNS[0]
        assert column.width_mm is not None
        words = shortened(text, _WORDS_MM, column.width_mm, bold)
        place = (MARGIN_MM + column.at_mm, _LEADING_MM)
        items.append(Text(place, words, _WORDS_MM, column.anchor, bold))
    for k, text in enumerate(last if last != [""] else []):
        place = (MARGIN_MM + _COLUMNS[-1].at_mm, _LEADING_MM * (k + 1))
        items.append(Text(place, text, _WORDS_MM))
    items.append(line([(MARGIN_MM, height), (MARGIN_MM + right, height)], "#d5d5d5", 0.1))
    return _Block(tuple(items), height)


def _cells(piece: CardPiece) -> tuple[str, ...]:
    """What stands in all columns but the last."""
    width, height = piece.size_mm
    return (
        piece.label,
        str(piece.pause or "–"),
        f"{compact(width, 0)} × {compact(height, 0)}",
        f"{inches(width)} × {inches(height)}",
        piece.edge,
        method_words(piece),
    )


def _notes(card: Card, width: float) -> _Block:
    """The counts, what is sewn in thread alone, and how the table is to be read."""
    pieces = counted(len(card.pieces), "piece", "pieces")
    fabrics = counted(len(card.by_fabric), "fabric", "fabrics")
    texts = [f"Together {pieces} of {fabrics}."]
    details = [item.label for item in card.stack if isinstance(item, CardDetail)]
    if details:
        texts.append(f"In thread alone, without fabric: {', '.join(details)}.")
    lines = [part for text in (*texts, _NOTES) for part in wrapped(text, _WORDS_MM, width - 20.0)]
    items = tuple(
        Text((MARGIN_MM, 7.0 + _LEADING_MM * k), text, _WORDS_MM) for k, text in enumerate(lines)
    )
    return _Block(items, 7.0 + _LEADING_MM * len(lines))
