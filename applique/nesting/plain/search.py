"""Where a shape may lie: places on the lattice of a sheet's clearance, best first."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from applique.nesting.plain.fields import Field
from applique.nesting.plain.probes import Turned

_CHUNK = 12000
"""Places looked through at once, all angles counted, from the sheet's top on."""

_FINE = 100
"""Places probed all round at once."""

_CELL = 4
"""Of places within so many lattice steps one is enough: the others are polished to the same."""


@dataclass(frozen=True)
class Liking:
    """What makes a place good: how much of the edge lies how near to something, from `contact_mm`
    on felt no more, as a share; less `per_mm`, (x, y), for the distance of the shape's far corner
    from the sheet's."""

    contact_mm: float
    per_mm: tuple[float, float]


@dataclass(frozen=True, eq=False)
class Place:
    """A place that a shape may be given: which of its angles, and its centre, (2,) mm."""

    angle: int
    centre: np.ndarray


def scores(clearances: np.ndarray, ends: np.ndarray, liking: Liking) -> np.ndarray:
    """How good places are, (n,), higher is better: from the clearances of the edge's points,
    (n, points), and the lower right corners of the shape's box, (n, 2)."""
    felt = np.minimum(np.maximum(clearances, 0.0), np.float32(liking.contact_mm))
    near = felt.sum(axis=1) / np.float32(felt.shape[1] * liking.contact_mm)
    return 1.0 - near - ends @ np.array(liking.per_mm)


class Search:
    """The search for places of one shape at its angles, on one sheet as it is now.

    `clearance` says how far a point is from what is in the way; places short of it by up to
    `slack_mm` are taken too, for the lattice misses the best ones by some of its step.
    """

    def __init__(self, clearance: Field, turned: Turned, liking: Liking, slack_mm: float) -> None:
        self._clearance = clearance
        self._flat = clearance.values.ravel()
        self._columns = clearance.values.shape[1]
        self._turned = turned
        self._liking = liking
        self._least = turned.needs_mm - np.float32(slack_mm)
        shifts = np.rint(turned.offsets_mm / clearance.steps_mm).astype(np.intp)
        self._steps = shifts[..., 1] * self._columns + shifts[..., 0]

    def places(self, most: int) -> list[Place]:
        """The best places, at most so many, best first; none where there is none."""
        held = np.flatnonzero(self._flat >= self._least[0])
        row, column = np.divmod(held, self._columns)
        angles = len(self._turned.angles_degrees)
        for start in range(0, len(held), max(_CHUNK // angles, 1)):
            part = slice(start, start + max(_CHUNK // angles, 1))
            found = self._among(held[part], row[part], column[part], most)
            if found:
                return found
        return []

    def _among(
        self, held: np.ndarray, row: np.ndarray, column: np.ndarray, most: int
    ) -> list[Place]:
        """The best places with their centre at some lattice points."""
        boxes = (self._turned.boxes_mm / np.tile(self._clearance.steps_mm, 2))[:, :, None]
        rows, columns = self._clearance.values.shape
        fits = (
            (column + boxes[:, 0] >= 0)
            & (row + boxes[:, 1] >= 0)
            & (column + boxes[:, 2] <= columns - 1)
            & (row + boxes[:, 3] <= rows - 1)
        )
        angle, which = np.nonzero(fits)
        at = held[which]
        for probe in range(1, self._turned.first):
            free = self._flat[at + self._steps[angle, probe]] >= self._least[probe]
            at, angle = at[free], angle[free]
        return self._all_round(at, angle, most)

    def _all_round(self, at: np.ndarray, angle: np.ndarray, most: int) -> list[Place]:
        """The best of places where the first probes are free; the likeliest are probed first."""
        if len(at) == 0:
            return []
        discs, first = self._turned.discs, self._turned.first
        likely = self._scores(self._read(at, angle, slice(discs, first)), at, angle)
        order = np.argsort(-likely, kind="stable")
        at, angle = at[order], angle[order]
        for start in range(0, len(at), _FINE):
            few, turns = at[start : start + _FINE], angle[start : start + _FINE]
            read = self._read(few, turns, slice(discs, None))
            free = (read >= self._least[discs:]).all(axis=1)
            if free.any():
                few, turns = few[free], turns[free]
                best = np.argsort(-self._scores(read[free], few, turns), kind="stable")
                return self._apart(few[best], turns[best])[:most]
        return []

    def _apart(self, at: np.ndarray, angle: np.ndarray) -> list[Place]:
        """Places without those that lie beside a better one at the same angle."""
        row, column = np.divmod(at, self._columns)
        cells = np.stack([row // _CELL, column // _CELL, angle])
        _, first = np.unique(cells, axis=1, return_index=True)
        kept = np.sort(first)
        centres = self._centres(at[kept])
        return [Place(int(angle[k]), centre) for k, centre in zip(kept, centres, strict=True)]

    def _read(self, at: np.ndarray, angle: np.ndarray, probes: slice) -> np.ndarray:
        return self._flat[at[:, None] + self._steps[angle, probes]]

    def _centres(self, at: np.ndarray) -> np.ndarray:
        row, column = np.divmod(at, self._columns)
        steps = np.stack([column, row], axis=1)
        return steps * self._clearance.steps_mm + self._clearance.corner_mm

    def _scores(self, read: np.ndarray, at: np.ndarray, angle: np.ndarray) -> np.ndarray:
        ends = self._centres(at) + self._turned.boxes_mm[angle, 2:]
        return scores(read, ends, self._liking)
