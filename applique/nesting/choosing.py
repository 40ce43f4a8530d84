"""Which shapes to try together on a sheet."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

_JITTER = 0.3
"""How much areas are taken for larger or smaller, so that another turn chooses others."""


def even_choice(areas: Sequence[float], wanted: float, turn: int) -> list[int]:
    """Some of the shapes, of `wanted` area together at most: large and small ones in proportion, so
    that small ones are left for the sheets to come, and always the largest.

    Each `turn` gives another choice. Indices into `areas`, in order.
    """
    size = np.asarray(areas, dtype=float)
    if size.sum() <= wanted:
        return list(range(len(size)))
    jitter = np.exp(_JITTER * np.random.default_rng(turn).standard_normal(len(size)))
    order = np.argsort(-size * (jitter if turn else 1.0), kind="stable")
    largest = int(size.argmax())
    share = wanted / float(size.sum())
    chosen = {largest}
    taken, due = float(size[largest]), 0.0
    for k in order.tolist():
        due += share * size[k]
        if k not in chosen and taken + size[k] / 2 <= due and taken + size[k] <= wanted:
            chosen.add(k)
            taken += size[k]
    for k in order.tolist():  # What still goes in beside them.
        if k not in chosen and taken + size[k] <= wanted:
            chosen.add(k)
            taken += size[k]
    return sorted(chosen)
