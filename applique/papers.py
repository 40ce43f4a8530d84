"""Sizes of paper sheets, upright, in mm."""

from __future__ import annotations

import math

PAPERS_MM = {
    "a3": (297.0, 420.0),
    "a4": (210.0, 297.0),
    "a5": (148.0, 210.0),
    "letter": (215.9, 279.4),
    "legal": (215.9, 355.6),
    "tabloid": (279.4, 431.8),
}
"""ISO 216 (A sizes) and ANSI/ASME Y14.1 (8.5 x 11 and 11 x 17 in); legal, 8.5 x 14 in, is common
practice."""

TOLD_APART_MM = {
    name.capitalize(): PAPERS_MM[name] for name in ("a4", "letter", "legal", "tabloid")
}
"""Papers that a photo can tell from each other, by the names that a sentence gives them; A3 and A5
have the proportions of A4."""

_SMALLEST_MM = 20.0
_LARGEST_MM = 2000.0


def paper_size(text: str) -> tuple[float, float]:
    """The size in mm of a paper given by name or as WxH in mm; raises ValueError otherwise."""
    named = PAPERS_MM.get(text.strip().lower())
    if named is not None:
        return named
    try:
        width, height = (float(side) for side in text.lower().replace("mm", "").split("x"))
    except ValueError:
        names = ", ".join(PAPERS_MM)
        raise ValueError(f"'{text}' is no paper; give {names} or WIDTHxHEIGHT in mm") from None
    for side in (width, height):
        if not (math.isfinite(side) and _SMALLEST_MM <= side <= _LARGEST_MM):
            raise ValueError(f"a paper's sides lie between 20 and 2000 mm, not {side:g}")
    return width, height
