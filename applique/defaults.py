"""Defaults that follow from the other settings and the size of the piece.

Sources: docs/sources.md. All lengths are millimetres.
"""

from __future__ import annotations

from collections.abc import Mapping

SATIN_SPACING_MM = {"30": 0.5, "40": 0.4, "50": 0.35, "60": 0.35}
"""Same-rail pitch by thread weight; 40 wt is the published 63.5 stitches an inch."""

SMALL_PIECE_MM = 25.0
"""A piece whose narrow side is under this gets the smaller blanket stitch (common practice)."""

MOST_OUTSIDE_MM = 4.0
"""The most of an edge that may lie outside the outline."""

_EDGE_WIDTHS_MM = {
    # (edge, method): (width, of that outside the outline)
    ("satin", "cut-first"): (3.5, 1.0),
    ("satin", "cut-in-hoop"): (4.0, 1.5),
    ("satin", "turned"): (2.0, 0.5),
    ("zigzag", "cut-first"): (2.5, 0.7),
    ("zigzag", "cut-in-hoop"): (3.0, 1.0),
    ("zigzag", "turned"): (1.5, 0.2),
}
_BLANKET_OUTSIDE_MM = 0.2
_BLANKET_MM = 2.5
_SMALL_BLANKET_MM = 2.0
_STRAIGHT_LENGTH_MM = 2.5
_ZIGZAG_SPACING_MM = 1.2
_PLACEMENT_INSET_MM = 0.8


def automatic(values: Mapping[str, float | str], narrow_side_mm: float) -> dict[str, float]:
    """The defaults that depend on method, edge, thread and size."""
    edge, method = str(values["edge"]), str(values["method"])
    blanket = _SMALL_BLANKET_MM if narrow_side_mm < SMALL_PIECE_MM else _BLANKET_MM
    width, outside = _EDGE_WIDTHS_MM.get((edge, method), (blanket, _BLANKET_OUTSIDE_MM))
    if edge in ("satin", "zigzag") and "edge-width" in values:
        outside = min(outside * float(values["edge-width"]) / width, MOST_OUTSIDE_MM)
    spacing = {
        "satin": SATIN_SPACING_MM[str(values["thread-weight"])],
        "zigzag": _ZIGZAG_SPACING_MM,
        "blanket": blanket,
        "straight": _STRAIGHT_LENGTH_MM,
    }[edge]
    straight_inset = 0.8 if method == "turned" else 2.5
    return {
        "edge-width": width,
        "edge-outside": outside,
        "edge-spacing": spacing,
        "edge-inset": straight_inset,
        "detail-spacing": SATIN_SPACING_MM[str(values["thread-weight"])],
        "placement-inset": 0.0 if edge == "satin" else _PLACEMENT_INSET_MM,
        "tack-inset": {"satin": 1.0, "straight": straight_inset}.get(edge, _PLACEMENT_INSET_MM),
    }
