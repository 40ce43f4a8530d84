"""Millimetres inside, every other unit converted here and nowhere else.

Source of the factors: the international inch, 25.4 mm exactly; CSS Values and Units 3, section 6.2
(1in = 96px = 72pt = 6pc = 2.54cm).
"""

from __future__ import annotations

import math
import re

MM_PER_INCH = 25.4
MM_PER_YARD = 36 * MM_PER_INCH
MM_PER_PX = MM_PER_INCH / 96.0

MM_PER_UNIT = {
    "": MM_PER_PX,
    "px": MM_PER_PX,
    "mm": 1.0,
    "cm": 10.0,
    "q": 0.25,
    "in": MM_PER_INCH,
    "pt": MM_PER_INCH / 72.0,
    "pc": MM_PER_INCH / 6.0,
}

NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
"""A number as SVG writes it (SVG 2, section 9.3.9), as a pattern."""

LARGEST = 1e9
"""No drawing has larger numbers; far beyond, thousandths would be lost in reckoning."""

FURTHEST_MM = 10_000.0
"""No page and no block is larger, and nothing that is sewn or cut lies further out."""

_LENGTH = re.compile(rf"\s*({NUMBER})\s*([a-zA-Z%]*)\s*")
_SIZE = re.compile(r"\s*([^xX×\s]+)\s*[xX×]\s*([^xX×\s]+)\s*")


def read_number(text: str) -> float:
    """Read a number; raises ValueError if it is none, or one too large for any drawing."""
    number = float(text)
    if not abs(number) <= LARGEST:
        raise ValueError(f"'{text}' is too large a number")
    return number


def numbers_in(text: str) -> list[float]:
    """The numbers in a list that commas and spaces divide; raises ValueError for anything else."""
    parts = re.split(r"[\s,]+", text.strip())
    if not all(re.fullmatch(NUMBER, part) for part in parts if part):
        raise ValueError(f"'{text.strip()[:20]}' is no list of numbers")
    return [read_number(part) for part in parts if part]


def split_length(text: str) -> tuple[float, str]:
    """Split `"12.5mm"` into its number and its unit in lower case.

    Raises ValueError if `text` is no number with an optional unit, or one that is too large.
    """
    match = _LENGTH.fullmatch(text)
    if match is None:
        raise ValueError(f"'{text}' is not a length")
    return read_number(match[1]), match[2].lower()


def length_mm(text: str) -> float:
    """Read a length with an absolute unit (none counts as px) as millimetres.

    Raises ValueError for anything else, percentages and font-relative units included.
    """
    number, unit = split_length(text)
    if unit not in MM_PER_UNIT:
        raise ValueError(f"'{text}': the unit '{unit}' has no fixed length")
    return number * MM_PER_UNIT[unit]


def size_mm(text: str) -> tuple[float, float]:
    """Read `"254x254"` (mm), or `"10inx10in"`, as width and height in millimetres.

    Raises ValueError if it is not two positive lengths, or larger than any block.
    """
    match = _SIZE.fullmatch(text)
    if match is None:
        raise ValueError(f"'{text}' is not a size; write width x height, as in 254x254")
    sides = []
    for side in match.groups():
        number, unit = split_length(side)
        if unit not in MM_PER_UNIT:
            raise ValueError(f"'{text}': the unit '{unit}' has no fixed length")
        sides.append(number if unit == "" else number * MM_PER_UNIT[unit])
    if min(sides) <= 0:
        raise ValueError(f"'{text}': both sides must be larger than 0")
    if max(sides) > FURTHEST_MM:
        raise ValueError(f"'{text}': no block is larger than {FURTHEST_MM / 1000:g} m")
    return sides[0], sides[1]


def degrees_in(text: str) -> float:
    """Read an angle in degrees; raises ValueError if it is none, or more than a full turn."""
    try:
        degrees = float(text)
    except ValueError:
        degrees = math.inf
    if not abs(degrees) <= 360:
        raise ValueError(f"'{text}' is no angle; write degrees from -360 to 360")
    return degrees


def compact(number: float, digits: int = 3) -> str:
    """Write a number with at most `digits` decimals, without trailing zeros or a minus zero."""
    text = f"{number:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{number:.0f}"
    return "0" if text in ("-0", "") else text
