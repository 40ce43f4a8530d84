"""How unlike two colours look: CIEDE2000, and the lightness of one.

Sources: sRGB to XYZ, IEC 61966-2-1; CIELAB under D65, CIE 15; the difference, Sharma, Wu and Dalal,
"The CIEDE2000 Color-Difference Formula: Implementation Notes, Supplementary Test Data, and
Mathematical Observations", Color Research & Application 30(1), 2005; the numbers of equations below
are theirs. A library for colours took .4 s to load, in every process of a build.
"""

from __future__ import annotations

import math
import re
from functools import lru_cache

Lab = tuple[float, float, float]
"""CIELAB under D65: L* from 0 to 100, a* and b*."""

_REMEMBERED = 4096
"""Colours kept with what was reckoned of them; a quilt has a few hundred."""

_TO_XYZ = (
    (0.4123908, 0.3575843, 0.1804808),
    (0.2126390, 0.7151687, 0.0721923),
    (0.0193308, 0.1191948, 0.9505322),
)
"""Linear sRGB to XYZ: its primaries and D65 by their chromaticities."""

_WHITE = tuple(sum(row) for row in _TO_XYZ)
_25_TO_7 = 25.0**7


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
    if not re.fullmatch(r"#[0-9a-fA-F]{6}", colour):
        raise ValueError(f"'{colour}' is no colour; write it as #rrggbb")
    light = [_linear(int(colour[k : k + 2], 16) / 255) for k in (1, 3, 5)]
    x, y, z = (
        _root(sum(share * each for share, each in zip(row, light, strict=True)) / white)
        for row, white in zip(_TO_XYZ, _WHITE, strict=True)
    )
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def _linear(value: float) -> float:
    """The light of an sRGB value, both from 0 to 1."""
    return value / 12.92 if value <= 0.04045 else float(((value + 0.055) / 1.055) ** 2.4)


def _root(share: float) -> float:
    """CIE 15's cube root, straight near black."""
    return (
        float(share ** (1 / 3)) if share > (6 / 29) ** 3 else share / (3 * (6 / 29) ** 2) + 4 / 29
    )


def lab_difference(one: Lab, other: Lab) -> float:
    """The CIEDE2000 difference of two colours in CIELAB, all its weights 1."""
    chroma_mean = (math.hypot(one[1], one[2]) + math.hypot(other[1], other[2])) / 2
    stretch = 1.5 - 0.5 * math.sqrt(_seventh(chroma_mean))  # 1 + G, equation 4
    first, second = _chroma_and_hue(one, stretch), _chroma_and_hue(other, stretch)
    lighter = other[0] - one[0]
    stronger = second[0] - first[0]
    turned, hue_mean = _hues(first, second)
    turn = 2 * math.sqrt(first[0] * second[0]) * math.sin(math.radians(turned) / 2)  # 11
    light_mean, strong_mean = (one[0] + other[0]) / 2, (first[0] + second[0]) / 2
    off_middle = (light_mean - 50) ** 2
    lighter /= 1 + 0.015 * off_middle / math.sqrt(20 + off_middle)  # 18
    stronger /= 1 + 0.045 * strong_mean  # 19
    turn /= 1 + 0.015 * strong_mean * _hue_weight(hue_mean)  # 20
    rotation = 60 * math.exp(-(((hue_mean - 275) / 25) ** 2))  # twice equation 16
    tilt = -2 * math.sqrt(_seventh(strong_mean)) * math.sin(math.radians(rotation))  # 17, 21
    return math.sqrt(lighter**2 + stronger**2 + turn**2 + tilt * stronger * turn)  # 22


def _seventh(chroma: float) -> float:
    return float(chroma**7 / (chroma**7 + _25_TO_7))


def _chroma_and_hue(lab: Lab, stretch: float) -> tuple[float, float]:
    """Chroma and hue in degrees from 0 to 360, 0 for greys (equations 5 to 7)."""
    a = stretch * lab[1]
    chroma = math.hypot(a, lab[2])
    return chroma, math.degrees(math.atan2(lab[2], a)) % 360 if chroma else 0.0


def _hues(first: tuple[float, float], second: tuple[float, float]) -> tuple[float, float]:
    """The hue difference the shorter way round, and the mean hue (equations 10 and 14)."""
    if not first[0] * second[0]:
        return 0.0, first[1] + second[1]
    turned, total = second[1] - first[1], first[1] + second[1]
    if abs(turned) <= 180:
        return turned, total / 2
    return turned - math.copysign(360, turned), (total + math.copysign(360, 360 - total)) / 2


def _hue_weight(hue: float) -> float:
    """T, equation 15."""
    return (
        1
        - 0.17 * math.cos(math.radians(hue - 30))
        + 0.24 * math.cos(math.radians(2 * hue))
        + 0.32 * math.cos(math.radians(3 * hue + 6))
        - 0.20 * math.cos(math.radians(4 * hue - 63))
    )
