"""The card of a block: what a quilter reads at the table, as pages.

First the picture and the laying order, then the table of pieces by fabric, then the laying pages at
true size.
"""

from __future__ import annotations

from applique.paper.content import Card
from applique.paper.drawing import Page, Printout
from applique.paper.front import front_pages
from applique.paper.laying import laying_drawing
from applique.paper.sizes import SizeMm
from applique.paper.table import table_pages
from applique.paper.tiles import tiles


def card_printout(card: Card, paper_mm: SizeMm) -> tuple[Printout, tuple[str, ...]]:
    """All pages of a card on paper of a size, and the labels for which a picture had no room."""
    front, missing = front_pages(card, paper_mm)
    drawing, also_missing = laying_drawing(card)
    pages: list[Page] = [*front, *table_pages(card, paper_mm), *tiles(drawing, paper_mm)]
    title = f"{card.name or 'Block'}, block card"
    return Printout(title, tuple(pages)), tuple(dict.fromkeys([*missing, *also_missing]))
