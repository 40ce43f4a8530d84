"""Sizes, lengths and times of a quilt in words."""

from __future__ import annotations

from applique.quilt.facts import SizeMm
from applique.units import MM_PER_INCH, compact


def mm_words(length_mm: float) -> str:
    """A length in mm and inches."""
    return f"{compact(length_mm, 1)} mm ({compact(length_mm / MM_PER_INCH, 2)} in)"


def size_words(size_mm: SizeMm) -> str:
    """A width and height in mm and inches."""
    width, height = size_mm
    inches = " x ".join(compact(side / MM_PER_INCH, 2) for side in size_mm)
    return f"{compact(width, 1)} x {compact(height, 1)} mm ({inches} in)"


def time_words(minutes: float) -> str:
    """A time in hours and minutes: `35 min`, `4 h`, `4 h 35 min`."""
    hours, rest = divmod(round(minutes), 60)
    parts = [f"{hours} h"] if hours else []
    return " ".join([*parts, *([f"{rest} min"] if rest or not hours else [])])
