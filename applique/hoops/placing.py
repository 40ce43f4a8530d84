"""Where a field is put over what is sewn in it."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from applique.hoops.boxes import box_round
from applique.hoops.problem import BoxMm, SizeMm

_TOUCH_MM = 1e-6


def placed(box: BoxMm, window: SizeMm, keep_out: Sequence[BoxMm]) -> tuple[float, float]:
    """The middle of a window over a box, in mm: that of the box, for many machines centre a file on
    its stitches; or, where it would reach into what is to be kept out, the nearest that doesn't.

    Where there is none the box's own middle is given: the stitches themselves keep clear.
    """
    left, top, right, bottom = box
    middle = ((left + right) / 2, (top + bottom) / 2)
    across = _stands(middle[0], (left, right), window[0], [(b[0], b[2]) for b in keep_out])
    down = _stands(middle[1], (top, bottom), window[1], [(b[1], b[3]) for b in keep_out])
    places = sorted(
        itertools.product(across, down),
        key=lambda place: (place[0] - middle[0]) ** 2 + (place[1] - middle[1]) ** 2,
    )
    for x, y in places:
        if not any(_reaches_into(x, y, window, out) for out in keep_out):
            return x, y
    return middle


def _stands(
    middle: float,
    side: tuple[float, float],
    length: float,
    out: Sequence[tuple[float, float]],
) -> list[float]:
    """Middles of a window along one direction at which it holds a side: the side's own, and those
    at which it just touches what is to be kept out."""
    low, high = side[1] - length / 2, side[0] + length / 2
    touching = [value for a, b in out for value in (a - length / 2, b + length / 2)]
    return [middle, *(value for value in touching if low <= value <= high)]


def _reaches_into(x: float, y: float, window: SizeMm, out: BoxMm) -> bool:
    """Whether a window round a middle shares more than a border with a box."""
    own, other = box_round((x, y), window), out
    return (
        own[0] < other[2] - _TOUCH_MM
        and own[2] > other[0] + _TOUCH_MM
        and own[1] < other[3] - _TOUCH_MM
        and own[3] > other[1] + _TOUCH_MM
    )
