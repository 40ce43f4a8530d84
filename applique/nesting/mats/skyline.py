"""Rectangles put on a mat, one of several that each may be, so that their area is the least found.

They are laid from the top down. The skyline is the lower border of what is laid; at every step its
highest ledge gets a rectangle at its left end, or is given up and filled to the lower of its
neighbours. Every packing can be pushed up and to the left into one that comes about so; all ways
are tried until the steps are used up, large rectangles first (a usual search for packings of few
rectangles: best fit by skyline, with backtracking).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

Size = tuple[int, int]
"""Columns and rows."""

Ledge = tuple[int, int, int]
"""Its left end, how far down it lies, how wide it is."""


@dataclass(frozen=True)
class Spot:
    """Which of its sizes a rectangle has, by number, and its upper left corner."""

    item: int
    size: int
    x: int
    y: int


def packed(
    choices: Sequence[Sequence[Size]], columns: int, rows: int, most_steps: int
) -> tuple[Spot, ...] | None:
    """One rectangle for each choice on a mat of columns and rows; None if that was not found.

    Of equal choices the small ones should stand first.
    """
    search = _Search(choices, columns, rows, most_steps)
    order = sorted(range(len(choices)), key=lambda item: (-search.least[item], item))
    search.go([(0, 0, columns)], tuple(order), (), 0)
    return search.best


class _Search:
    def __init__(
        self, choices: Sequence[Sequence[Size]], columns: int, rows: int, most_steps: int
    ) -> None:
        self._choices = choices
        self._columns = columns
        self._rows = rows
        self._steps_left = most_steps
        self.least = [min(width * height for width, height in sizes) for sizes in choices]
        self.best: tuple[Spot, ...] | None = None
        self._best_area = columns * rows + 1
        self._ideal_area = sum(self.least)

    def go(
        self, skyline: list[Ledge], left: tuple[int, ...], spots: tuple[Spot, ...], area: int
    ) -> None:
        """Lay what is left, in every way, while steps are left."""
        if not left:
            if area < self._best_area:
                self.best, self._best_area = spots, area
            return
        self._steps_left -= 1
        if not self._hopeful(skyline, left, area):
            return
        at = min(range(len(skyline)), key=lambda k: (skyline[k][1], skyline[k][0]))
        x, y, ledge = skyline[at]
        for item in left:
            others = tuple(other for other in left if other != item)
            for number, (width, height) in enumerate(self._choices[item]):
                if width <= ledge and y + height <= self._rows:
                    spot = Spot(item, number, x, y)
                    below = _laid(skyline, at, width, height)
                    self.go(below, others, (*spots, spot), area + width * height)
                    if self._is_over:
                        return
        if len(skyline) > 1:
            self.go(_given_up(skyline, at), left, spots, area)

    @property
    def _is_over(self) -> bool:
        return self._steps_left <= 0 or self._best_area == self._ideal_area

    def _hopeful(self, skyline: list[Ledge], left: tuple[int, ...], area: int) -> bool:
        """Whether what is left may still find room, and a better packing come of it."""
        needed = sum(self.least[item] for item in left)
        room = sum((self._rows - y) * width for _, y, width in skyline)
        return self._steps_left > 0 and needed <= room and area + needed < self._best_area


def _laid(skyline: Sequence[Ledge], at: int, width: int, height: int) -> list[Ledge]:
    """The skyline with a rectangle at the left end of a ledge."""
    x, y, ledge = skyline[at]
    new = [(x, y + height, width)]
    if width < ledge:
        new.append((x + width, y, ledge - width))
    return _joined([*skyline[:at], *new, *skyline[at + 1 :]])


def _given_up(skyline: Sequence[Ledge], at: int) -> list[Ledge]:
    """The skyline with a ledge filled to the higher of its neighbours' ends."""
    beside = [skyline[k][1] for k in (at - 1, at + 1) if 0 <= k < len(skyline)]
    x, _, ledge = skyline[at]
    return _joined([*skyline[:at], (x, min(beside), ledge), *skyline[at + 1 :]])


def _joined(skyline: Sequence[Ledge]) -> list[Ledge]:
    """Neighbouring ledges of one height as one."""
    joined: list[Ledge] = []
    for x, y, width in skyline:
        if joined and joined[-1][1] == y:
            before = joined.pop()
            x, width = before[0], before[2] + width
        joined.append((x, y, width))
    return joined
