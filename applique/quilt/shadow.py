"""Where a dark fabric will shadow through a light one that lies on it.

Thin light cotton lets through what is beneath it. How much depends on the cloth, so this is a rule
of thumb by lightness alone: two fabrics held over each other tell more.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.model import LaidPiece, Piece
from applique.report import Finding, warning

LIGHT_FROM = 60.0
"""Only fabrics of this lightness and more (CIELAB L*, 0 to 100) are looked through: deeper dyes
swallow what would shine back (common practice; the figure from memory)."""

DARKER_BY = 30.0
"""How much darker a fabric beneath must be. Computed for a cotton of L* 85 that lets a quarter of
the light through (from memory), by R + T^2 r / (1 - R r) for cloth of reflectance R on a ground r:
over a ground 30 darker it looks 2.7 darker, and about 2.3 is just noticed (docs/sources.md)."""

LEAST_MM2 = 100.0
"""What shows of a shadow before it is worth a warning: a square centimetre (our own)."""

_BESIDE_UNDERLAP_MM = 0.5
"""Beyond an underlap, which can't be cut away, by what hands lay amiss."""

_PLACE_WITHIN_MM = 0.5


def shadowing(
    laid: Sequence[LaidPiece], background: tuple[str, float], lightness: Callable[[Piece], float]
) -> tuple[Finding, ...]:
    """A warning for each piece through which something dark will show.

    `laid` lie from the lowest up; `background` is the name of its fabric and its lightness;
    `lightness` gives L* (0 to 100) of a piece's fabric. What edges cover and what an underlap
    takes anyway is left aside, as is what lies beneath another piece in between.
    """
    seen = [item for item in laid if not item.hidden and not item.cut.is_empty]
    if not seen:
        return ()
    cuts = np.array([item.cut for item in seen], dtype=object)
    light = np.array([lightness(item.piece) for item in seen])
    tree = shapely.STRtree(cuts)
    found = []
    for k in np.flatnonzero(light >= LIGHT_FROM).tolist():
        item = seen[k]
        near = np.sort(tree.query(item.cut, predicate="intersects"))
        window = _window(item, cuts[near[near > k]])
        if window.is_empty:
            continue
        shadows: list[tuple[str, BaseGeometry]] = []
        ground = window
        for j in near[near < k][::-1]:
            if light[k] - light[j] > DARKER_BY and not _is_cut_away(seen[j]):
                shadows.append(
                    (f"{seen[j].piece.fabric} ({seen[j].piece.label})", cuts[j] & ground)
                )
            ground = ground - cuts[j]
        if light[k] - background[1] > DARKER_BY:
            shadows.append((background[0] or "the background", ground))
        found += _told(item, [(name, shape) for name, shape in shadows if shape.area > LEAST_MM2])
    return tuple(found)


def _is_cut_away(item: LaidPiece) -> bool:
    """Whether nothing of a piece is left beneath others but its underlap."""
    return item.piece.settings.hidden_fabric == "cut-away"


def _window(item: LaidPiece, above: np.ndarray) -> BaseGeometry:
    """Where a piece can be looked through: what shows of it, its edge and what an underlap takes
    along it aside."""
    settings = item.piece.settings
    aside = max(settings.edge_inside_mm, settings.underlap_mm + _BESIDE_UNDERLAP_MM)
    shown = item.whole.buffer(-aside)
    return shown - shapely.union_all(above) if len(above) else shown


def _told(item: LaidPiece, shadows: Sequence[tuple[str, BaseGeometry]]) -> list[Finding]:
    """One warning for a piece, at the largest of its shadows."""
    if not shadows:
        return []
    names = " and ".join(dict.fromkeys(name for name, _ in shadows))
    largest = max((shape for _, shape in shadows), key=lambda shape: float(shape.area))
    part = max(shapely.get_parts(largest), key=lambda shape: float(shape.area))
    middle = shapely.maximum_inscribed_circle(part, _PLACE_WITHIN_MM).coords[0]
    text = (
        f"{names} will shadow through {item.piece.fabric}; line it, cut the dark fabric away "
        "beneath (hidden-fabric: cut-away), or choose another"
    )
    place = (round(float(middle[0]), 3), round(float(middle[1]), 3))
    return [warning("shadow", item.piece.label, text, place)]
