"""The plain objects of tracing: a page with its scale, and what was found on it.

Pictures are (height, width) arrays with the first row at the top. A place on a page is in mm, x to
the right and y down, from the page's upper left corner; the pixel in column c covers x from c to
c + 1 pixels, so that its middle lies at c + 0.5.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

InkEdge = Literal["near", "centre", "far"]
"""Which edge of the drawn line is the outline: the one next to the template, the line's middle, or
the one away from it."""


@dataclass(frozen=True, eq=False)
class Picture:
    """A decoded picture: `grey` is a (height, width) array of uint8; `dpi` is what the file says
    of its resolution, None if it says nothing that can be meant."""

    name: str
    grey: np.ndarray
    dpi: float | None


@dataclass(frozen=True, eq=False)
class Page:
    """A page at true size. `flattened` says that it was made from a photograph."""

    name: str
    grey: np.ndarray
    mm_per_px: float
    flattened: bool = False

    @property
    def width_mm(self) -> float:
        """The picture's width, in mm."""
        return self.grey.shape[1] * self.mm_per_px

    @property
    def height_mm(self) -> float:
        """The picture's height, in mm."""
        return self.grey.shape[0] * self.mm_per_px
