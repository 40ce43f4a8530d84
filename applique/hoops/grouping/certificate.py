"""Whether a certificate holds, by its definition alone; nothing of the search is used here.

A window that holds some parts still holds them when it is pushed right and down until its left and
top edges are those of two of them. So every left of a box is tried with every top of a box, and the
weights of the parts inside are added up. All numbers are whole: lengths in thousandths of a
millimetre, to which coordinates snap.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.hoops.problem import Certificate, SizeMm

_PER_MM = 1_000


def faults_in(certificate: Certificate, boxes: np.ndarray, windows: Sequence[SizeMm]) -> list[str]:
    """What is wrong with a certificate for parts with the `boxes`, an (n, 4) array of mm; empty if
    it holds. For hooping in any order: what may not be reached into is not looked at, and if a
    window may lie nowhere near a part, fewer hoopings still don't do."""
    if len(certificate.weights) != len(boxes):
        return [f"there are {len(certificate.weights)} weights for {len(boxes)} parts"]
    if certificate.capacity < 1:
        return [f"the capacity is {certificate.capacity}, and must be 1 or more"]
    if min(certificate.weights, default=0) < 0:
        return ["some weights are less than 0"]
    if sum(certificate.weights) >= 2**62:
        return ["the weights are too large to be added up exactly"]
    placed = np.rint(np.asarray(boxes, dtype=float).reshape(-1, 4) * _PER_MM).astype(np.int64)
    weights = np.array(certificate.weights, dtype=np.int64)
    faults = []
    for width, height in windows:
        heaviest = _heaviest(placed, weights, round(width * _PER_MM), round(height * _PER_MM))
        if heaviest > certificate.capacity:
            faults.append(
                f"a window of {width:g} x {height:g} mm holds parts that weigh {heaviest}, more "
                f"than {certificate.capacity}"
            )
    return faults


def _heaviest(placed: np.ndarray, weights: np.ndarray, width: int, height: int) -> int:
    """The largest weight that a window of one size can hold, in any place."""
    left, top, right, bottom = placed.T
    starts = np.unique(top)
    heaviest = 0
    for start in np.unique(left):
        across = np.flatnonzero((left >= start) & (right <= start + width))
        down = (top[across] >= starts[:, None]) & (bottom[across] <= starts[:, None] + height)
        heaviest = max(heaviest, int((down @ weights[across]).max(initial=0)))
    return heaviest
