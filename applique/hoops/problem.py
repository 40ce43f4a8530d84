"""What the search for the fewest hoopings is asked, and what it answers: plain frozen objects.

A *part* is what is sewn in one hooping: all stitches of a piece or a detail, or, of a piece that is
larger than every hoop, those of one stretch of it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

BoxMm = tuple[float, float, float, float]
"""Left, top, right and bottom."""

SizeMm = tuple[float, float]
"""Width and height."""


@dataclass(frozen=True, eq=False)
class Problem:
    """Parts to be shared out among hoopings.

    `boxes` is an (n, 4) array of mm: left, top, right and bottom of each part's stitches. `windows`
    are the sizes a hooping's stitches may have, in mm, as they lie on the block: the fields owned,
    less their margin, and turned by a quarter where that is allowed. `below[i]` are the parts that
    part i may not be sewn before: they go into the same hooping or an earlier one; `apart[i]` those
    that go into an earlier one. `colours[i]` is the thread part i is finished in. `fixed` gives
    the hooping, from 0, of some parts. No window may reach into any of the boxes `keep_out`.
    """

    boxes: np.ndarray
    windows: tuple[SizeMm, ...]
    below: Sequence[Sequence[int]]
    apart: Sequence[Sequence[int]]
    colours: Sequence[str]
    fixed: Mapping[int, int] = field(default_factory=dict)
    keep_out: tuple[BoxMm, ...] = ()


class ImpossibleOrder(ValueError):  # noqa: N818
    """The order is a circle, or `fixed` contradicts it or the windows, or no plan with these fixed
    hoopings was found; `parts` are those concerned, by index."""

    def __init__(self, parts: Sequence[int]) -> None:
        super().__init__(f"no order of hoopings suits the parts {list(parts)}")
        self.parts = tuple(parts)


class TooLarge(ValueError):  # noqa: N818
    """Some parts fit into no window; `parts` are those, by index."""

    def __init__(self, parts: Sequence[int]) -> None:
        super().__init__(f"no window holds the parts {list(parts)}")
        self.parts = tuple(parts)


@dataclass(frozen=True)
class Certificate:
    """Why fewer hoopings can't do: a whole number for each part, so chosen that the parts which one
    hooping can take, wherever its window lies, never weigh more than `capacity`. It can't take a
    part and one above it without all that come between the two. The sum of all weights divided by
    `capacity`, rounded up, is a number of hoopings that can't be beaten."""

    weights: tuple[int, ...]
    capacity: int

    @property
    def bound(self) -> int:
        """The least number of hoopings that the weights allow."""
        return -(-sum(self.weights) // self.capacity)


@dataclass(frozen=True)
class Progress:
    """How far a search has come: the number of hoopings `found` by now, how many are certainly
    needed, and `what` it is doing."""

    found: int
    bound: int
    what: str


@dataclass(frozen=True)
class Width:
    """How much a pass of the search keeps: `states` after each hooping, and of each state the
    `branches` best windows to go on with."""

    states: int
    branches: int


@dataclass(frozen=True)
class Effort:
    """How long a search goes on that nobody stops: its passes, each wider than the one before; the
    most steps of all passes together, each of some hundredths of a second; and how many changes are
    tried afterwards to save thread changes and stabiliser."""

    passes: tuple[Width, ...]
    steps: int
    changes: int


@dataclass(frozen=True)
class Grouping:
    """`hooping[i]` is the hooping, from 0, in which part i is sewn; there are `count`. `bound` of
    them are certainly needed: by the certificate or, where `bound` is larger than that allows,
    because the bounds and the search say so, which no short list proves. A hooping without parts
    occurs only before one that some part is fixed in. `finished` is False where the caller ended
    the search."""

    hooping: tuple[int, ...]
    count: int
    bound: int
    certificate: Certificate
    finished: bool = True
