"""What holds for cut sheets unless something else is asked: numbers alone, so that help and dialogs
can tell them at once."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from applique.units import MM_PER_INCH

Tool = Literal["cutter", "scissors"]

MARGIN_MM = 6.0
"""Kept free along a sheet's border (common practice): a mat's grip and a crooked edge of fabric."""

GAP_MM: Mapping[Tool, float] = {"cutter": 3.0, "scissors": 0.5 * MM_PER_INCH}
"""Between pieces: what a blade needs (common practice), and the half inch between rough cuts of
fusible layouts (Quiltmaker; see docs/sources.md)."""

USABLE_WIDTH_MM = 40 * MM_PER_INCH
"""Fabric from the bolt less its selvedges and what shrinks: 40 to 42 in, of which the smaller is
safe (bindingcalculatorquilt.com, craftmathcalc.com)."""

WEB_WIDTH_MM = 17.0 * MM_PER_INCH
"""Of fusible web on the roll (common practice: 17 to 20 in)."""

MAT_NAME, MAT_MM = "305x305", 305.0
"""The usual cutting mat of 12 x 12 in."""

MOST_COPIES = 1000
