"""What a user asks of cut sheets."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from applique.cutting.nested import Stock, Turn, rectangle
from applique.cutting.pieces import Face
from applique.cutting.usual import (
    GAP_MM,
    MARGIN_MM,
    MAT_MM,
    MAT_NAME,
    MOST_COPIES,
    USABLE_WIDTH_MM,
    WEB_WIDTH_MM,
    Tool,
)

USUAL_SHEET = rectangle(MAT_NAME, MAT_MM, MAT_MM)
"""The usual cutting mat."""

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
