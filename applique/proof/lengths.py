"""How long the stitches are."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from applique.geometry.walk import step_lengths

Place = tuple[float, float]

BINS_MM = (0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 12.1, math.inf)
"""Sides of the histogram's bins. The first ends with the shortest satin stitch we allow, the last
begins with the longest one tape record can hold (docs/sources.md); each holds its lower side."""

_SAME_MM = 1e-6
"""Penetrations nearer than this are one: nothing is sewn between them."""


@dataclass(frozen=True)
class Lengths:
    """Stitch lengths in mm, and the middles of the shortest and the longest stitch (mm on the page;
    None, and 0 mm, where there are no stitches). `histogram` counts them by `BINS_MM`."""

    stitches: int
    shortest_mm: float
    shortest_place: Place | None
    longest_mm: float
    longest_place: Place | None
    histogram: tuple[int, ...]


def lengths(paths: Sequence[np.ndarray]) -> Lengths:
    """Measure the stitches of paths, (n, 2) arrays of mm."""
    each = [step_lengths(path) for path in paths if len(path) > 1]
    middles = [(path[1:] + path[:-1]) / 2 for path in paths if len(path) > 1]
    length = np.concatenate(each) if each else np.zeros(0)
    middle = np.vstack(middles) if middles else np.zeros((0, 2))
    sewn = length > _SAME_MM
    length, middle = length[sewn], middle[sewn]
    number = np.searchsorted(BINS_MM, length, side="right") - 1
    counts = tuple(np.bincount(number, minlength=len(BINS_MM) - 1).tolist())
    if len(length) == 0:
        return Lengths(0, 0.0, None, 0.0, None, counts)
    shortest, longest = int(np.argmin(length)), int(np.argmax(length))
    return Lengths(
        stitches=len(length),
        shortest_mm=float(length[shortest]),
        shortest_place=_place(middle[shortest]),
        longest_mm=float(length[longest]),
        longest_place=_place(middle[longest]),
        histogram=counts,
    )


def bin_names() -> tuple[str, ...]:
    """The histogram's bins in words: "under 0.5", "0.5 to 1" and so on, in mm."""
    between = [f"{low:g} to {high:g}" for low, high in itertools.pairwise(BINS_MM[1:-1])]
    return (f"under {BINS_MM[1]:g}", *between, f"{BINS_MM[-2]:g} and over")


def _place(point: np.ndarray) -> Place:
    return (float(point[0]), float(point[1]))
