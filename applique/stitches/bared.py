"""How much fabric a change to some stitches would leave bare."""

from __future__ import annotations

import numpy as np

PASS_MM = 0.4
"""How wide a pass of thread covers (docs/sources.md: the cover pitch of 40 wt thread)."""

_STEP_MM = 0.15
_OFFSETS_MM = np.array([-0.14, 0.0, 0.14])
"""Along and across a stitch, the places that are looked at stand so far apart."""


def bared_mm2(taken: np.ndarray, left: np.ndarray, centre: np.ndarray, within_mm: float) -> float:
    """The area that the stitches `taken` (k, 2, 2) covered within a distance of a place (2,), and
    that none of the stitches `left` (m, 2, 2) covers."""
    starts, way = taken[:, 0], taken[:, 1] - taken[:, 0]
    lengths = np.hypot(way[:, 0], way[:, 1])
    counts = np.maximum(np.ceil(lengths / _STEP_MM).astype(int), 1)
    index = np.repeat(np.arange(len(taken)), counts)
    first = np.repeat(np.cumsum(counts) - counts, counts)
    share = (np.arange(len(index)) - first + 0.5) / counts[index]
    along = starts[index] + way[index] * share[:, None]
    near = np.hypot(*(along - centre).T) <= within_mm
    index, along = index[near], along[near]
    across = np.stack([-way[:, 1], way[:, 0]], axis=1) / np.maximum(lengths, 1e-9)[:, None]
    places = (along[:, None, :] + _OFFSETS_MM[:, None] * across[index][:, None, :]).reshape(-1, 2)
    bare = ~covered(places, left)
    return float(bare.sum()) * _STEP_MM * PASS_MM / len(_OFFSETS_MM)


def covered(places: np.ndarray, stitches: np.ndarray) -> np.ndarray:
    """Which places (n, 2) lie under one of a few stitches (m, 2, 2), (n,) of bool."""
    ax, ay = stitches[:, 0, 0], stitches[:, 0, 1]
    wx, wy = stitches[:, 1, 0] - ax, stitches[:, 1, 1] - ay
    square = np.maximum(wx * wx + wy * wy, 1e-12)
    dx = places[:, 0, None] - ax
    dy = places[:, 1, None] - ay
    share = np.clip((dx * wx + dy * wy) / square, 0.0, 1.0)
    dx -= share * wx
    dy -= share * wy
    reach = PASS_MM / 2
    return np.asarray((dx * dx + dy * dy <= reach * reach).any(axis=1))
