"""The papers that a home printer takes, and what of them it can print on."""

from __future__ import annotations

from applique.papers import PAPERS_MM
from applique.units import MM_PER_INCH

PRINTED_ON = ("a4", "letter")
"""ISO 216 and ANSI/ASME Y14.1, by the names they have on the command line."""

MARGIN_MM = 10.0
"""Kept free all round: most home printers need 3 to 6 mm; common practice, no source found."""

SIDE_MM = MM_PER_INCH / 4
"""Kept free at both sides of a page at true size: on Letter paper that lies, there is just room for
a block of 10 in with its seam allowance."""

HEAD_MM = 13.0
"""Height of what stands above a drawing at true size: its name, how to read it, the map."""

LEAST_WINDOW_MM = 30.0
"""No page at true size shows less: it shares 10 mm with each of two neighbours, and as much is to
lie between."""

SizeMm = tuple[float, float]


def sheet_mm(paper: str) -> SizeMm:
    """Width and height in mm of a paper that stands upright; raises ValueError for another name."""
    if paper not in PRINTED_ON:
        raise ValueError(f"'{paper}' is no paper to print on; give {' or '.join(PRINTED_ON)}")
    return PAPERS_MM[paper]
