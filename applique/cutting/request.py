"""What a user asks of cut sheets."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from applique.cutting.needed import USABLE_WIDTH_MM
from applique.cutting.nested import Stock, Turn, rectangle
from applique.cutting.pieces import Face
from applique.units import MM_PER_INCH

Tool = Literal["cutter", "scissors"]

MARGIN_MM = 6.0
"""Kept free along a sheet's border (common practice): a mat's grip and a crooked edge of fabric."""

GAP_MM: Mapping[Tool, float] = {"cutter": 3.0, "scissors": 0.5 * MM_PER_INCH}
"""Between pieces: what a blade needs (common practice), and the half inch between rough cuts of
fusible layouts (Quiltmaker; see docs/sources.md)."""

WEB_WIDTH_MM = 17.0 * MM_PER_INCH
"""Of fusible web on the roll (common practice: 17 to 20 in)."""

USUAL_SHEET = rectangle("305x305", 305.0, 305.0)
"""The usual cutting mat of 12 x 12 in."""

MOST_COPIES = 1000
_WIDEST_GAP_MM = 100.0


@dataclass(frozen=True, eq=False)
class Scrap:
    """A piece of fabric that is left of something, and which; of any fabric if that is ""."""

    fabric: str
    stock: Stock


@dataclass(frozen=True, eq=False)
class CutRequest:
    """The sheets and scraps there are, and how they may be used.

    `only` are labels, or marks, of the pieces to be cut, all if it is empty; `turns` overrides
    fabrics' own rules; `usable_width_mm` is of fabric from the bolt, `web_width_mm` of fusible web;
    `mixed` lets several fabrics share a sheet.
    Raises ValueError where a margin leaves nothing of a sheet, or a number is out of range.
    """

    sheets: tuple[Stock, ...] = (USUAL_SHEET,)
    scraps: tuple[Scrap, ...] = ()
    tool: Tool = "cutter"
    margin_mm: float = MARGIN_MM
    gap_mm: float = GAP_MM["cutter"]
    face: Face = "wrong"
    copies: int = 1
    only: frozenset[str] = frozenset()
    turns: Mapping[str, Turn] = field(default_factory=dict)
    usable_width_mm: float = USABLE_WIDTH_MM
    web_width_mm: float = WEB_WIDTH_MM
    mixed: bool = False

    def __post_init__(self) -> None:
        if not 1 <= self.copies <= MOST_COPIES:
            raise ValueError(f"copies lie between 1 and {MOST_COPIES}, not {self.copies}")
        for name, value in (("margin", self.margin_mm), ("gap", self.gap_mm)):
            if not (math.isfinite(value) and 0 <= value <= _WIDEST_GAP_MM):
                raise ValueError(
                    f"the {name} lies between 0 and {_WIDEST_GAP_MM:g} mm, not {value:g}"
                )
        if self.mixed and self.scraps:
            raise ValueError("a scrap is of one fabric and can't be shared; leave --mixed out")
        for stock in self.sheets:
            if min(stock.size_mm) <= 2 * self.margin_mm:
                raise ValueError(
                    f"a margin of {self.margin_mm:g} mm leaves nothing of the sheet {stock.name}; "
                    "give a smaller margin"
                )

    def scraps_for(self, fabric: str) -> tuple[Stock, ...]:
        """The scraps that a fabric may be cut from."""
        return tuple(scrap.stock for scrap in self.scraps if scrap.fabric in ("", fabric))
