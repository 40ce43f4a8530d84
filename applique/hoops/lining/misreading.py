"""How far off a hooping is to be expected when its two crosses were read a little wrongly.

A hooping lined up by two crosses is a rigid movement fitted to two points. With every cross read
`reading_mm` off (root mean square, in any direction), the movement's middle is off by reading /
sqrt(2), and its turn by reading / distance: at a place r from the middle of the two, D apart, the
expected error is reading * sqrt(1/2 + r^2 / D^2). This is the target registration error of
Fitzpatrick, West and Maurer (1998) for two points in the plane; the formula was derived anew and is
checked in the tests by drawing lots.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Link:
    """Two crosses that one hooping has from another: the middle of the two and how far they are
    apart, in mm on the page. `readings` is how often each was read or drawn by hand."""

    middle: tuple[float, float]
    distance_mm: float
    readings: int = 1


Chain = tuple[Link, ...]
"""How a hooping hangs together with the first: every link adds its own error."""


def link_of(first: Sequence[float], second: Sequence[float], readings: int = 1) -> Link:
    """The link that two crosses make."""
    middle = ((first[0] + second[0]) / 2, (first[1] + second[1]) / 2)
    return Link(middle, math.dist(first, second), readings)


def expected_error_mm(chain: Chain, places: np.ndarray, reading_mm: float) -> np.ndarray:
    """The expected (root mean square) error at places (n, 2), as an (n,) array of mm."""
    square = np.zeros(len(places))
    for link in chain:
        away = ((places - np.array(link.middle)) ** 2).sum(axis=1)
        square += link.readings * (0.5 + away / link.distance_mm**2)
    return reading_mm * np.sqrt(square)


def corners_of(box: tuple[float, float, float, float]) -> np.ndarray:
    """The four corners of a box, (4, 2): no place in it is further from any other place."""
    left, top, right, bottom = box
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]])
