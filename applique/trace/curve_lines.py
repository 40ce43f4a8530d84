"""Traced lines as evenly spaced complex points, and whether cubics keep to them.

Places are complex numbers, x + iy, of mm: a product then turns and measures in one go.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

_SPACING_MM = 0.1
_FEWEST_STEPS = 8
"""Lines are looked up at places this far apart, a short one at no fewer than so many steps."""

_DIRECTION_MM = 1.0
"""A line's direction is met over this much to either side: its tremor has none to give."""

_CHECK_MM = 0.06
"""Cubics are checked at places about this far apart."""

_MARGIN = 0.995
"""Between the checked places a cubic strays more by no more than what this leaves."""


@dataclass(frozen=True, eq=False)
class Lines:
    """Lines one after another, each at even steps.

    `points` (n,) and `mirrored` (n,), the conjugates of the unit directions there, are complex.
    Line k has `steps[k]` steps of `step_mm[k]`; its points begin at `first[k]`. All lines are open,
    or all are closed and repeat their first point at the end.
    """

    points: np.ndarray
    mirrored: np.ndarray
    first: np.ndarray
    steps: np.ndarray
    step_mm: np.ndarray
    closed: bool

    @property
    def lengths_mm(self) -> np.ndarray:
        """The lines' lengths (k,)."""
        return self.steps * self.step_mm

    def met(self, line: np.ndarray, place_mm: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The points nearest to places along lines, and the angles of the lines there."""
        step_mm = self.step_mm[line]
        index = np.rint(place_mm / step_mm).astype(int)
        beside = np.maximum(np.rint(_DIRECTION_MM / step_mm).astype(int), 1)
        way = self._point(line, index + beside) - self._point(line, index - beside)
        return self._point(line, index), np.angle(way)

    def _point(self, line: np.ndarray, index: np.ndarray) -> np.ndarray:
        """The points at whole steps along lines; closed ones go round, open ones end."""
        steps = self.steps[line]
        inside = index % steps if self.closed else np.clip(index, 0, steps)
        return self.points[self.first[line] + inside]


def even_lines(sections: Sequence[np.ndarray], closed: bool) -> Lines:
    """The lines of sections, each (n, 2) mm."""
    points, ways, step_mm = [], [], []
    for section in sections:
        rough, arc = _measured_out(section)
        steps = max(round(arc[-1] / _SPACING_MM), _FEWEST_STEPS)
        even = np.interp(np.linspace(0.0, arc[-1], steps + 1), arc, rough)
        way = np.empty_like(even)
        way[1:-1] = even[2:] - even[:-2]
        way[0] = even[1] - (even[-2] if closed else even[0])
        way[-1] = (even[1] if closed else even[-1]) - even[-2]
        points.append(even)
        ways.append(way)
        step_mm.append(arc[-1] / steps)
    counts = np.array([len(line) for line in points])
    way = np.concatenate(ways)
    mirrored = way.conj() / np.maximum(np.abs(way), 1e-12)
    first = np.cumsum(counts) - counts
    return Lines(
        np.concatenate(points), mirrored, first, counts - 1, np.array(step_mm), closed=closed
    )


def bernstein(t: np.ndarray) -> np.ndarray:
    """What each of a cubic's four points counts at parameters t (n,): (4, n)."""
    s = 1 - t
    return np.stack([s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t])


def keeps_to(
    controls: np.ndarray,
    places_mm: np.ndarray,
    section: np.ndarray,
    closed: bool,
    tolerance_mm: float,
) -> bool:
    """Whether cubics and a line keep to each other, in order along them.

    `controls` (s, 4) are complex; `places_mm` (s, m) tells how far along the section, (n, 2) mm,
    the feet of samples in the middle of m equal steps of parameter are. Every place of the curve
    must have a place of the line near it and every point of the line one of the curve, and both go
    forwards only, so that there is no loop between.
    """
    rough, arc = _measured_out(section)
    length, cubics, samples = arc[-1], *places_mm.shape
    known = places_mm.ravel()
    begin, end = 0.0, length
    if closed:
        begin = (known[0] + known[-1] - length) / 2
        end = begin + length
    known = np.concatenate([[begin], known, [end]])
    if (known[1:] < known[:-1]).any():
        return False
    steps = int(np.ceil(length / cubics / _CHECK_MM)) + 1
    curve = np.append((controls @ bernstein(np.arange(steps) / steps)).ravel(), controls[-1, 3])
    at = np.concatenate([[0.0], (np.arange(cubics * samples) + 0.5) / samples, [cubics]])
    feet = np.interp(np.arange(len(curve)) / steps, at, known)
    way = np.gradient(curve)
    slip = (curve - _at(feet, arc, rough, closed)) * way.conj() / np.maximum(np.abs(way), 1e-12)
    feet = np.maximum.accumulate(feet + slip.real)
    allowed = _MARGIN * tolerance_mm
    if np.abs(curve - _at(feet, arc, rough, closed)).max() > allowed:
        return False
    if closed:
        arc = arc + np.ceil((feet[0] - arc) / length) * length
    return bool(np.abs(np.interp(arc, feet, curve) - rough).max() <= allowed)


def _measured_out(section: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """A section's points as complex numbers, and the arc length at each."""
    points = section[:, 0] + 1j * section[:, 1]
    return points, np.concatenate([[0.0], np.cumsum(np.abs(points[1:] - points[:-1]))])


def _at(place_mm: np.ndarray, arc: np.ndarray, points: np.ndarray, closed: bool) -> np.ndarray:
    """The points at places along a line; a closed one goes round, an open one ends."""
    return np.interp(place_mm % arc[-1] if closed else place_mm, arc, points)
