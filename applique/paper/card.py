"""The card of a block: what a quilter reads at the table, as pages.

First the picture and the laying order, then the table of pieces by fabric, then the laying pages at
true size.
"""

from __future__ import annotations

from dataclasses import dataclass

from applique.paper.content import Card
from applique.paper.drawing import Page, Printout
from applique.paper.front import front_pages
from applique.paper.laying import laying_drawing
from applique.paper.sizes import SizeMm
from applique.paper.table import table_pages
from applique.paper.tiles import tiles


@dataclass(frozen=True)
class NoRoom:
    """The labels of pieces whose numbers stand on the laying pages alone, and of those whose
    numbers do not stand there."""

    picture: tuple[str, ...] = ()
    laying: tuple[str, ...] = ()


def card_printout(card: Card, paper_mm: SizeMm) -> tuple[Printout, NoRoom]:
    """All pages of a card on paper of a size, and the numbers for which there was no room."""
    drawing, not_laid = laying_drawing(card)
    front, missing = front_pages(card, paper_mm, frozenset(not_laid))
    pages: list[Page] = [*front, *table_pages(card, paper_mm), *tiles(drawing, paper_mm)]
    title = f"{card.name or 'Block'}, block card"
    laid = tuple(label for label in missing if label not in set(not_laid))
    return Printout(title, tuple(pages)), NoRoom(laid, not_laid)
