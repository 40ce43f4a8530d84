"""How much fabric to buy: what a nesting's length comes to in yards, metres and fat quarters.

The lengths and counts come from nestings; here is the arithmetic of the shop alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from applique.cutting.nested import Stock, rectangle
from applique.report import counted
from applique.units import MM_PER_INCH, MM_PER_YARD, compact

FAT_QUARTER_WIDTH_MM = 20.5 * MM_PER_INCH
FAT_QUARTER_LENGTH_MM = 17.5 * MM_PER_INCH
"""What to plan on of a fat quarter of 22 x 18 in (sew4home.com); the half inch and more that is
left for crooked edges and the selvedge is common practice."""

WEB = "fusible web"
"""What fusible web is called beside the fabrics."""

_EIGHTH_MM = MM_PER_YARD / 8
_TENTH_MM = 100.0

_SAME_MM = 0.001
"""Lengths that exceed a multiple by no more than this are that multiple: the grid of outlines, so
that rounding errors never cost another eighth of a yard."""


@dataclass(frozen=True)
class FabricNeeded:
    """How much of a fabric, or of fusible web, the pieces need.

    `area_mm2` is that of the pieces themselves; `length_mm` how much of a width of
    `usable_width_mm` their nesting takes. `fat_quarters` is how many their nesting on these takes,
    None where it was not made or a piece is too large for one.
    """

    fabric: str
    pieces: int
    area_mm2: float
    usable_width_mm: float
    length_mm: float
    fat_quarters: int | None = None

    @property
    def yard_eighths(self) -> int:
        """The length to buy, in eighths of a yard."""
        return _rounded_up(self.length_mm, _EIGHTH_MM)

    @property
    def metre_tenths(self) -> int:
        """The length to buy, in tenths of a metre."""
        return _rounded_up(self.length_mm, _TENTH_MM)

    @property
    def waste_share(self) -> float:
        """What of the length that the nesting takes is no piece, from 0 to 1."""
        room_mm2 = self.usable_width_mm * self.length_mm
        return max(0.0, 1 - self.area_mm2 / room_mm2) if room_mm2 > 0 else 0.0

    def sentence(self) -> str:
        """What to buy, on one line."""
        pieces = counted(self.pieces, "piece", "pieces")
        if self.length_mm <= _SAME_MM:
            return f"{self.fabric}: nothing needed for {pieces}"
        quarters = ""
        if self.fat_quarters is not None:
            quarters = f", or {counted(self.fat_quarters, 'fat quarter', 'fat quarters')}"
        return (
            f"{self.fabric}: {yards(self.yard_eighths)} or {self.metre_tenths / 10:.1f} m"
            f" at {compact(self.usable_width_mm / MM_PER_INCH, 1)} in usable width{quarters}; "
            f"{pieces} of {self.area_mm2 / 100:.0f} cm2, {100 * self.waste_share:.0f} % waste"
        )


def yards(eighths: int) -> str:
    """So many eighths of a yard in words: `1 3/8 yd`."""
    whole, rest = divmod(eighths, 8)
    parts = [str(whole)] if whole or not rest else []
    return " ".join([*parts, *([str(Fraction(rest, 8))] if rest else []), "yd"])


def fat_quarter(count: int | None = None) -> Stock:
    """A fat quarter as it is planned on, its lengthwise grain up the shorter side."""
    return rectangle("fat quarter", FAT_QUARTER_WIDTH_MM, FAT_QUARTER_LENGTH_MM, count)


def _rounded_up(length_mm: float, step_mm: float) -> int:
    """The fewest steps that hold a length."""
    return max(0, math.ceil((length_mm - _SAME_MM) / step_mm))
