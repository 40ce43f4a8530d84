"""One region of a page: what a drawn line closes off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from applique.trace.gaps import Bridge


@dataclass(frozen=True, eq=False)
class Region:
    """One closed-off region. `mask` is its part of the page, a mask of 0 and 1 in working pixels
    whose upper left corner is `corner` (x, y); `contour` is its border, (n, 2) working pixels;
    `inside` is the region around it, None for the open page. `bridges` closed its line;
    `at_border` says that its ink runs off the picture; `pockets` counts the
    small regions between the line and something that touches it."""

    label: int
    mask: np.ndarray
    corner: tuple[int, int]
    contour: np.ndarray
    size_px: tuple[float, float]
    inside: int | None
    bridges: tuple[Bridge, ...]
    at_border: bool
    pockets: int = 0


def innermost(regions: Sequence[Region], shape: tuple[int, ...]) -> np.ndarray:
    """The index of the innermost region at each working pixel, -1 outside all; the regions come
    with the largest first."""
    owner = np.full(shape, -1, np.int32)
    for number, region in enumerate(regions):
        left, top = region.corner
        height, width = region.mask.shape
        owner[top : top + height, left : left + width][region.mask > 0] = number
    return owner
