"""Sheets as they are written down: `305x610`, `305x610=2`."""

from __future__ import annotations

from applique.cutting.nested import Stock, rectangle
from applique.units import compact, size_mm

_MOST_DIGITS = 6
"""Nobody has a million sheets."""


def stock_of(text: str) -> Stock:
    """Read a sheet's size in mm, and how many there are after `=`, as many as needed if that is
    not said; raises ValueError for anything else."""
    dimensions, equals, number = text.partition("=")
    width, height = size_mm(dimensions)
    name = f"{compact(width, 1)}x{compact(height, 1)}"
    if not equals:
        return rectangle(name, width, height)
    is_plain = number.isascii() and number.isdigit() and len(number) <= _MOST_DIGITS
    if not is_plain or int(number) == 0:
        raise ValueError(f"'{number}' is no number of sheets; as in 305x610=2")
    return rectangle(name, width, height, int(number))
