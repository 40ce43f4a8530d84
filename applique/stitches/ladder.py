"""A ladder of rungs across an edge: where the needle may go down, as plain columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np


@dataclass(frozen=True, eq=False)
class Rungs:
    """Where the needle may go down, one row a penetration, in order.

    `base` (n, 2) lies on the outline and `outward` (n, 2) points away from the fabric; the band
    reaches from `low` to `high` (n,) along it, in mm. `outer` (n,) tells on which of the two ends
    the needle goes down. `tip` (n,) marks the extra stitches at the point of a mitre. `shared` (n,)
    is how much of a rung's end, in mm, lies where the other side of a narrow place covers too;
    `spare` (n,) how much further it might go without leaving its band or the fabric.
    """

    base: np.ndarray
    outward: np.ndarray
    low: np.ndarray
    high: np.ndarray
    outer: np.ndarray
    tip: np.ndarray
    shared: np.ndarray
    spare: np.ndarray

    def columns(self) -> tuple[np.ndarray, ...]:
        """The columns in the order of the constructor."""
        return tuple(getattr(self, field.name) for field in fields(self))

    def only(self, kept: np.ndarray) -> Rungs:
        """The rungs marked in `kept`, (n,) of bool."""
        return Rungs(*(column[kept] for column in self.columns()))

    @property
    def points(self) -> np.ndarray:
        """The penetrations, (n, 2) mm."""
        height = np.where(self.outer, self.high, self.low)
        return self.base + self.outward * height[:, None]

    @property
    def middles(self) -> np.ndarray:
        """The middle of each rung, (n, 2) mm: where small stitches lie well covered."""
        return self.base + self.outward * ((self.low + self.high) / 2)[:, None]


POINTED_FROM_DEGREES = 30.0
"""Slighter turns don't look like a corner; a single stitch at their tip does."""

CAPPED_FROM_DEGREES = 96.0
"""A mitre is one and a half times as long as its band is wide from this turn on: a square's corner
stays sharp, and a leaf's tip does not grow a spike."""


@dataclass(frozen=True)
class Band:
    """How far the stitches reach to each side of the outline, and their pitch on one rail, mm.

    Convex corners are sewn by their tip alone if they turn by less than `pointed_from_degrees`;
    those that turn by more than `capped_from_degrees` are cut off square.
    """

    outside_mm: float
    inside_mm: float
    spacing_mm: float
    pointed_from_degrees: float = POINTED_FROM_DEGREES
    capped_from_degrees: float = CAPPED_FROM_DEGREES


def joined(parts: Sequence[Rungs]) -> Rungs:
    """Ladders one after the other."""
    columns = zip(*(part.columns() for part in parts), strict=True)
    return Rungs(*(np.concatenate(column) for column in columns))
