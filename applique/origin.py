"""Where a piece comes from: the template that its tags name, and whether it still has its size."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

TRUE_WITHIN = 0.005
"""A piece whose size differs from its template's by no larger share counts as true to it: half a
millimetre in 100 mm, as near as careful hands cut (common practice)."""


@dataclass(frozen=True)
class Origin:
    """The template that a piece was made from: its name and version in its library, its area in mm²
    and its outline's length in mm at true size (0 where nobody said)."""

    template: str
    version: int
    area_mm2: float
    perimeter_mm: float


def origin_of(tags: Mapping[str, str]) -> Origin | None:
    """The template that some tags name, None if they name none."""
    template = tags.get("template", "").strip()
    if not template:
        return None
    return Origin(
        template,
        version_in(tags.get("template-version", "1")) or 1,
        _measure(tags.get("template-area", "")),
        _measure(tags.get("template-perimeter", "")),
    )


def version_in(text: str) -> int | None:
    """A version's number, from 1 on; None if a text is none."""
    fits = text.isascii() and text.isdigit() and len(text) <= _MOST_DIGITS
    return int(text) or None if fits else None


_MOST_DIGITS = 6
"""No template is traced a million times."""


def _measure(text: str) -> float:
    """A positive number; 0 for anything else, which says nothing of a size."""
    try:
        number = float(text)
    except ValueError:
        return 0.0
    return number if 0 < number < float("inf") else 0.0


def size_beside_template(origin: Origin | None, shape: BaseGeometry) -> str:
    """How the size of a piece, `shape` in mm, differs from its template's, `80% of template`, to be
    followed by its name; "" where it does not or nobody knows.

    Area and perimeter tell both: scaled by s they are s² and s times the template's, and stretched
    unevenly they don't agree.
    """
    if origin is None or origin.area_mm2 == 0 or origin.perimeter_mm == 0:
        return ""
    by_area = float((shape.area / origin.area_mm2) ** 0.5)
    by_perimeter = float(shape.length / origin.perimeter_mm)
    if abs(by_area / by_perimeter - 1) > TRUE_WITHIN:
        return "not the shape of template"
    if abs(by_area - 1) <= TRUE_WITHIN:
        return ""
    return f"{by_area:.0%} of template"
