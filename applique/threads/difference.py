"""How unlike two colours look: CIEDE2000, and the lightness of one.

Sources: sRGB to XYZ, IEC 61966-2-1; CIELAB under D65, CIE 15; the difference, Sharma, Wu and Dalal,
"The CIEDE2000 Color-Difference Formula: Implementation Notes, Supplementary Test Data, and
Mathematical Observations", Color Research & Application 30(1), 2005.
"""

from __future__ import annotations

from functools import lru_cache

Lab = tuple[float, float, float]
"""CIELAB under D65: L* from 0 to 100, a* and b*."""

_REMEMBERED = 4096
"""Colours kept with what was reckoned of them; a quilt has a few hundred."""


def difference(one: str, other: str) -> float:
    """The CIEDE2000 difference of two colours given as #rrggbb: 0 for the same, about 1 where a
    practised eye just sees it, about 100 for black and white. Raises ValueError for no colour."""
    return lab_difference(lab_of(one), lab_of(other))


def lightness(colour: str) -> float:
    """CIELAB L* of a colour given as #rrggbb, from 0 for black to 100 for white. Raises ValueError
    for no colour."""
    return lab_of(colour)[0]


@lru_cache(maxsize=_REMEMBERED)
def lab_of(colour: str) -> Lab:
    """A colour given as #rrggbb in CIELAB. Raises ValueError for no colour."""
    from coloraide import Color  # Takes a while to load, and few commands compare colours.

    lightness, a, b = Color(colour).convert("lab-d65").coords(nans=False)
    return lightness, a, b


def lab_difference(one: Lab, other: Lab) -> float:
    """The CIEDE2000 difference of two colours in CIELAB, all its weights 1."""
    from coloraide import Color

    first, second = Color("lab-d65", list(one)), Color("lab-d65", list(other))
    return float(first.delta_e(second, method="2000", space="lab-d65"))
