"""The near edge of a drawn line, with how wide the line is behind each of its points."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from applique.trace.edge import SMOOTH_PX, smoothed

_NOTCH_MM = 0.5
_NOTCH_TURN = np.radians(25.0)
_HEADING_MM = 0.3
"""An edge that turns out of the shape by more than the second, from a pen and the first before a
place to as much behind it, goes round a notch: about the round end of a long bar it turns back, and
a short one bulges. Which way it runs is taken over the third."""

_STEP_MM = 1.2
"""A stroke's end is no longer than this; a pen grows wider over several times as much."""

_FEWEST_OF_FLANK = 4


@dataclass(frozen=True, eq=False)
class NearLine:
    """A closed near edge: its points (n, 2) in mm, evened out; how far along each is, in mm, and in
    the end how long the whole is, (n + 1,); the unit vectors into the shape (n, 2); and by how much
    the line is wider than usual, (n,) mm."""

    points: np.ndarray
    arc: np.ndarray
    inward: np.ndarray
    excess: np.ndarray

    @classmethod
    def of(
        cls, pixels: np.ndarray, inward: np.ndarray, excess: np.ndarray, mm_per_px: float
    ) -> NearLine:
        """The line beside so many pixels."""
        points = smoothed(pixels * mm_per_px, SMOOTH_PX)
        steps = np.hypot(*(np.roll(points, -1, axis=0) - points).T)
        return cls(points, np.concatenate([[0.0], np.cumsum(steps)]), inward, excess)

    def within(self, begin: float, end: float) -> np.ndarray:
        """The indices of the points between two places along the line, in order."""
        low, high = np.searchsorted(self.arc[:-1], np.mod((begin, end), self.arc[-1]))
        count = len(self.points)
        return np.arange(low, high if high >= low else high + count) % count

    def in_notches(self, pen_mm: float) -> np.ndarray:
        """Which of the points lie where the edge turns out of the shape, (n,) bool: there a line
        is wider by itself. The end of a bar turns in as much as out."""
        left = np.sign(np.median(_cross(self.ahead(self.arc[:-1]), self.inward)))
        reach = pen_mm + _NOTCH_MM
        before, behind = (self.ahead(self.arc[:-1] + off) for off in (-reach, reach))
        turn = np.arctan2(left * _cross(before, behind), (before * behind).sum(axis=1))
        return turn < -_NOTCH_TURN

    def ahead(self, places: np.ndarray) -> np.ndarray:
        """The directions (n, 2) at places along the line."""
        total, count = self.arc[-1], len(self.points)
        low, high = (
            np.searchsorted(self.arc[:-1], np.mod(places + off, total)) % count
            for off in (-_HEADING_MM, _HEADING_MM)
        )
        way = self.points[high] - self.points[low]
        return way / np.maximum(np.hypot(*way.T), 1e-9)[:, None]

    def is_usual(self, part: np.ndarray, limit_mm: float) -> bool:
        """Whether the line is as wide as usual at some of its points."""
        if len(part) < _FEWEST_OF_FLANK:
            return False
        return abs(float(np.median(self.excess[part]))) < limit_mm / 2

    def steps(self, outside: np.ndarray, inside: np.ndarray, limit_mm: float) -> bool:
        """Whether the line grows wider at a step somewhere between two parts of it."""
        first, last = self.arc[outside[0]], self.arc[inside[-1]]
        if (last - first) % self.arc[-1] > self.arc[-1] / 2:
            first, last = self.arc[inside[0]], self.arc[outside[-1]]
        part = self.excess[self.within(first, last)]
        apart = round(_STEP_MM / float(np.median(np.diff(self.arc))))
        if len(part) <= apart:
            return False
        part = np.where(np.isfinite(part), part, 0.0)
        return bool(np.abs(part[apart:] - part[:-apart]).max() > limit_mm)

    def inward_across(self, ahead: np.ndarray, part: np.ndarray) -> np.ndarray:
        """The unit vector square to a direction that leads into the shape at some points."""
        across = np.array([-ahead[1], ahead[0]]) / np.hypot(*ahead)
        return across * np.sign(across @ self.inward[part].mean(axis=0))


def _cross(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    return first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
