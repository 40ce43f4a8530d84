"""The arithmetic of the shop: how much to buy for pieces, strips, panels and hooped sheets.

Lengths are millimetres; `usable_mm` is the width of the fabric or the roll that can be cut from.
Nothing is added for shrinking or for mistakes. The rules and their sources stand in
docs/yardage.md.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from applique.quilt.facts import SizeMm
from applique.units import MM_PER_INCH

OVERSIZE_MM = MM_PER_INCH
"""A background is cut so much wider and higher than the unfinished block and trimmed after sewing,
because stitching draws it in (common practice: 1 to 2 in)."""

BINDING_MORE_MM = 10 * MM_PER_INCH
"""Binding beyond the quilt's perimeter, for corners and the last join (common practice: 10 in)."""

BACKING_SEAM_MM = 0.5 * MM_PER_INCH
"""Seam allowance where panels of backing are joined (common practice: 1/2 in, selvedges off)."""

_SAME_MM = 0.001
"""What exceeds a width by no more than this still fits: the grid of outlines."""


@dataclass(frozen=True)
class Panels:
    """Widths of fabric side by side: how many, how long each, and whether their seams run up the
    quilt."""

    count: int
    each_mm: float
    upright: bool

    @property
    def length_mm(self) -> float:
        """All of them together."""
        return self.count * self.each_mm


def fitting_across(width_mm: float, usable_mm: float) -> int:
    """How many pieces of a width lie side by side: floor(W / w) (craftmathcalc.com)."""
    return math.floor((usable_mm + _SAME_MM) / width_mm)


def length_in_rows(count: int, size_mm: SizeMm, usable_mm: float) -> float:
    """The length that so many equal pieces take, upright and in rows: ceil(n / floor(W / w)) rows,
    each as long as a piece is high (craftmathcalc.com). Raises ValueError if one is too wide."""
    width, height = size_mm
    across = fitting_across(width, usable_mm)
    if not across:
        raise ValueError(f"a piece {width:g} mm wide can't be cut from {usable_mm:g} mm")
    return math.ceil(count / across) * height


def strips_for(total_mm: float, usable_mm: float, join_mm: float) -> int:
    """How many strips across the fabric, joined end to end, make a length: each join costs
    `join_mm` of it. n strips give n W - (n - 1) j, so n = ceil((L - j) / (W - j)).

    Raises ValueError if a join costs as much as a strip.
    """
    if join_mm >= usable_mm:
        raise ValueError(f"strips of {usable_mm:g} mm can't be joined at {join_mm:g} mm a join")
    if total_mm <= _SAME_MM:
        return 0
    return max(1, math.ceil((total_mm - join_mm - _SAME_MM) / (usable_mm - join_mm)))


def binding_length_mm(width_mm: float, height_mm: float) -> float:
    """The binding round a quilt: its perimeter and 10 in (common practice)."""
    return 2 * (width_mm + height_mm) + BINDING_MORE_MM


def binding_strips(width_mm: float, height_mm: float, strip_mm: float, usable_mm: float) -> int:
    """Strips of binding across the fabric, joined at 45 degrees. Two strips laid crosswise share a
    square, and the seam on its diagonal takes half of it from either: a strip's width in all."""
    return strips_for(binding_length_mm(width_mm, height_mm), usable_mm, strip_mm)


def panels_for(width_mm: float, height_mm: float, usable_mm: float, seam_mm: float) -> Panels:
    """Panels that make a rectangle, with seams up it or across, whichever takes less fabric; up it
    where both take the same. Each seam takes its allowance from both panels."""
    upright = Panels(strips_for(width_mm, usable_mm, 2 * seam_mm), height_mm, upright=True)
    across = Panels(strips_for(height_mm, usable_mm, 2 * seam_mm), width_mm, upright=False)
    return upright if upright.length_mm <= across.length_mm + _SAME_MM else across


def hooped_length_mm(hooped: Iterable[SizeMm], usable_mm: float) -> float:
    """Stabiliser from a roll for sheets of given sizes, one for each hooping: equal ones in rows,
    turned where that takes less; one larger than the roll is laid in widths side by side."""
    return sum(
        min(_rolled(count, (width, height), usable_mm), _rolled(count, (height, width), usable_mm))
        for (width, height), count in Counter(hooped).items()
    )


def _rolled(count: int, size_mm: SizeMm, usable_mm: float) -> float:
    width, height = size_mm
    if fitting_across(width, usable_mm):
        return length_in_rows(count, size_mm, usable_mm)
    return count * strips_for(width, usable_mm, 0.0) * height


def background_cut_mm(
    finished_mm: SizeMm, seam_allowance_mm: float, hooped_mm: SizeMm | None = None
) -> SizeMm:
    """How a background is cut: the finished block with both seam allowances and an inch to trim
    off, or what the hoops must grip if that is more."""
    more = 2 * seam_allowance_mm + OVERSIZE_MM
    width, height = (side + more for side in finished_mm)
    return (
        (width, height)
        if hooped_mm is None
        else (
            max(width, hooped_mm[0]),
            max(height, hooped_mm[1]),
        )
    )
