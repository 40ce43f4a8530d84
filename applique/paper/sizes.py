"""The papers that a home printer takes, and what of them it can print on."""

from __future__ import annotations

from applique.papers import PAPERS_MM

PRINTED_ON = ("a4", "letter")
"""ISO 216 and ANSI/ASME Y14.1, by the names they have on the command line."""

MARGIN_MM = 10.0
"""Kept free all round: most home printers need 3 to 6 mm; common practice, no source found."""

SizeMm = tuple[float, float]


def sheet_mm(paper: str) -> SizeMm:
    """Width and height in mm of a paper that stands upright; raises ValueError for another name."""
    if paper not in PRINTED_ON:
        raise ValueError(f"'{paper}' is no paper to print on; give {' or '.join(PRINTED_ON)}")
    return PAPERS_MM[paper]
