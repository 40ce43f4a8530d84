"""Lines thinned to a width of one pixel.

T. Y. Zhang and C. Y. Suen, "A fast parallel algorithm for thinning digital patterns",
Communications of the ACM 27 (1984) 236: pixels are peeled off in two kinds of turns, each looking
at a pixel's eight neighbours, until nothing more can go without a line being cut.
"""

from __future__ import annotations

import cv2
import numpy as np

_NEIGHBOURS = np.array([[128, 1, 2], [64, 0, 4], [32, 16, 8]], np.uint8)
"""Each neighbour's bit: clockwise from the one above, P2 to P9 in the paper."""


def neighbour_codes(mask: np.ndarray) -> np.ndarray:
    """For every pixel of a mask of 0 and 1 its neighbours, one bit each, as uint8."""
    return cv2.filter2D(mask, cv2.CV_8U, _NEIGHBOURS, borderType=cv2.BORDER_CONSTANT)


def _rises(p: list[int]) -> int:
    """How often one meets ink after bare paper on the way around a pixel."""
    return sum(p[k] == 0 and p[(k + 1) % 8] == 1 for k in range(8))


def _peelable(turn: int) -> np.ndarray:
    """For each of the 256 neighbourhoods whether its pixel may go in a turn of this kind."""
    table = np.zeros(256, np.uint8)
    for code in range(256):
        p = [code >> bit & 1 for bit in range(8)]
        rises = _rises(p)
        first, second = ((0, 2, 4), (2, 4, 6)) if turn == 0 else ((0, 2, 6), (0, 4, 6))
        bare = not all(p[k] for k in first) and not all(p[k] for k in second)
        table[code] = 2 <= sum(p) <= 6 and rises == 1 and bare
    return table


_TURNS = (_peelable(0), _peelable(1))


def thinned(mask: np.ndarray) -> np.ndarray:
    """The middle lines of a mask of 0 and 1, as a mask of the same shape."""
    thin = mask.copy()
    peeled = True
    while peeled:
        peeled = False
        for table in _TURNS:
            gone = cv2.bitwise_and(cv2.LUT(neighbour_codes(thin), table), thin)
            if cv2.countNonZero(gone):
                thin = cv2.subtract(thin, gone)
                peeled = True
    return thin


NEIGHBOUR_COUNT = np.array([bin(code).count("1") for code in range(256)], np.uint8)
"""How many neighbours each code stands for, (256,)."""

LINES_AWAY = np.array(
    [_rises([code >> bit & 1 for bit in range(8)]) for code in range(256)], np.uint8
)
"""How many lines lead away from a pixel with each code, (256,)."""
