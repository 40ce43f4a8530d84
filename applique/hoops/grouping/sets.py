"""Sets of parts as rows of truth values, (m, n) bool: (k, i) tells whether set k holds part i."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

_BLOCK = 256
"""Sets that are compared with all others at a time; keeps the comparison's memory small."""


def distinct(sets: np.ndarray) -> np.ndarray:
    """The indices of the first of each of several equal sets, ascending."""
    packed = np.ascontiguousarray(np.packbits(sets, axis=1))
    rows = packed.view(np.dtype((np.void, packed.shape[1]))).ravel()
    _, first = np.unique(rows, return_index=True)
    return np.sort(first)


def maximal(sets: np.ndarray) -> np.ndarray:
    """The indices of the sets that no other set contains, ascending; the first of equal ones."""
    *_, kept = maximal_so_far(sets)
    return np.sort(kept)


def maximal_so_far(sets: np.ndarray) -> Iterator[np.ndarray]:
    """As `maximal`, in steps: those of the largest sets, of some smaller ones too, and at last of
    all; the larger sets first."""
    first = distinct(sets)
    size = sets[first].sum(axis=1)
    order = first[np.argsort(-size, kind="stable")]
    kept = order[:0]
    yield kept
    for start in range(0, len(order), _BLOCK):
        block = order[start : start + _BLOCK]
        block = block[~_contained(sets[block], sets[kept])]
        # A set is contained in a larger one only, and the larger ones of a block come first.
        block = block[~_contained(sets[block], sets[block], itself=True)]
        kept = np.concatenate([kept, block])
        yield kept


def _contained(sets: np.ndarray, others: np.ndarray, itself: bool = False) -> np.ndarray:
    """Which of `sets` some set of `others` contains; `itself`: of distinct sets, another one."""
    inside = sets.astype(np.float32)
    common = inside @ others.T.astype(np.float32)
    contained = common >= inside.sum(axis=1)[:, None] - 0.5
    return contained.sum(axis=1) > (1 if itself else 0)
