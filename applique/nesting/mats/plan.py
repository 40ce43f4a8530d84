"""What lies on a mat that several fabrics share."""

from __future__ import annotations

from dataclasses import dataclass

from applique.cutting.nested import Placement, Stock
from applique.units import MM_PER_INCH

QUARTER_INCH_MM = MM_PER_INCH / 4
"""Sides of patches are whole multiples of it, as rulers for rotary cutters are marked."""

BoxMm = tuple[float, float, float, float]
"""Left, top, right and bottom."""


@dataclass(frozen=True, eq=False)
class Patch:
    """A rectangle of one fabric, and where it and its pieces lie, in mm on the mat.

    A placement's index is that of the shape in the fabric's task. Pieces keep the gap to the
    patch's border, so that the fabric may be cut or laid a little off. A patch as large as its mat
    covers all of it; on that, pieces keep the mat's margin.
    """

    fabric: str
    box_mm: BoxMm
    placements: tuple[Placement, ...]


@dataclass(frozen=True, eq=False)
class SharedMat:
    """A mat and the patches on it, side by side inside its margin."""

    stock: Stock
    patches: tuple[Patch, ...]


def covers_mat(patch: Patch, stock: Stock) -> bool:
    """Whether a patch is all of a mat, not a part of it."""
    return patch.box_mm == (0.0, 0.0, *stock.size_mm)
