"""A block's card: what is read at the table, and the laying pages."""

from __future__ import annotations

import io
from dataclasses import dataclass

from applique.building.task import Given, Made
from applique.carding import card_of
from applique.files import parse_svg
from applique.paper.card import card_printout
from applique.paper.pdf import pdf_bytes


@dataclass(frozen=True)
class CardAsked:
    """A layered block whose card is made: the file it is read from, that which is written, and the
    paper."""

    layers: str
    card: str
    paper_mm: tuple[float, float]


def make(asked: CardAsked, given: Given) -> Made:
    """The card as PDF."""
    root = parse_svg(io.BytesIO(given.files[asked.layers]), asked.layers).getroot()
    card, _ = card_of(root)
    printout, _ = card_printout(card, asked.paper_mm)
    return Made({asked.card: pdf_bytes(printout)})
