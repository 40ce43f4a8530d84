"""How many hoopings are needed at least: the linear programme of a cover, and its certificate.

Every part gets a weight such that no set which one hooping can hold weighs more than 1. The sum of
the weights can't be more than the number of hoopings (weak duality: each hooping takes parts of
weight 1 at most). The weights with the largest sum are the dual solution of the cover's relaxation
to fractions of hoopings; HiGHS finds them with its simplex method.
"""

from __future__ import annotations

import numpy as np

from applique.hoops.problem import Certificate

CAPACITY = 1 << 24
"""What one hooping holds, in the whole numbers that weights are reckoned in; so large that rounding
300 weights down loses less than 1/10,000 of a hooping, and exact in sums of floating point."""

_LARGEST_DENOMINATOR = 60
"""Weights are mostly halves, thirds and the like; a certificate in small numbers is read best."""


def weights_over(sets: np.ndarray, left: np.ndarray | None = None) -> np.ndarray:
    """Whole weights, (n,), of the parts `left`, (n,) bool, or else of all, with the largest sum at
    which none of the `sets`, (m, n) bool, weighs more than CAPACITY; 0 for other parts."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array

    wanted = np.ones(sets.shape[1], dtype=bool) if left is None else left
    weights = np.zeros(sets.shape[1], dtype=np.int64)
    columns = sets[:, wanted]
    columns = columns[columns.any(axis=1)]
    if len(columns) == 0:
        return weights
    solved = linprog(
        -np.ones(columns.shape[1]),
        A_ub=csr_array(columns.astype(float)),
        b_ub=np.ones(len(columns)),
        bounds=(0, 1),
        method="highs-ds",
    )
    if solved.x is None:
        raise ArithmeticError(f"the linear programme was not solved: {solved.message}")
    weights[wanted] = np.floor(np.clip(solved.x, 0, 1) * CAPACITY).astype(np.int64)
    return _repaired(weights, sets)


def _repaired(weights: np.ndarray, sets: np.ndarray) -> np.ndarray:
    """Weights made so much smaller that they hold exactly: the solver works in floating point."""
    heaviest = int((sets @ weights).max())
    return weights if heaviest <= CAPACITY else weights * CAPACITY // heaviest


def least(weights: np.ndarray) -> int:
    """The least number of hoopings that weights allow."""
    return -(-int(weights.sum()) // CAPACITY)


def certificate_of(sets: np.ndarray, weights: np.ndarray) -> Certificate:
    """The certificate for parts of which a hooping can hold the `sets`, (m, n) bool, from the
    weights over them."""
    needed = least(weights)
    for capacity in range(1, _LARGEST_DENOMINATOR + 1):
        coarse = np.rint(weights * (capacity / CAPACITY)).astype(np.int64)
        heaviest = int((sets @ coarse).max(initial=0))
        if heaviest and -(-int(coarse.sum()) // heaviest) >= needed:
            return Certificate(tuple(coarse.tolist()), heaviest)
    return Certificate(tuple(weights.tolist()), CAPACITY)
