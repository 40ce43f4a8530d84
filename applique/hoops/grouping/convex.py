"""What the order leaves of the sets that a window can hold.

Of three parts one above the other, the outer two can share a hooping only with the middle one. A
window that holds the outer two but not the middle one never takes both; nor does one take two parts
of which one goes into an earlier hooping. Two such parts are *at odds* in that window. Its set is
split until none are. Bounds over the split sets hold for hoopings in order, and are often larger.
"""

from __future__ import annotations

import numpy as np

from applique.hoops.grouping.order import Order

_MOST_SPLITS = 24
"""Sets that come of one window; a set that is not split further is too large, which is allowed: it
makes the bound smaller, not wrong."""


def sets_in_order(sets: np.ndarray, order: Order) -> np.ndarray:
    """The sets, (k, n) bool, that may share a hooping as far as windows and pairs tell; not only
    the largest. `sets` are those that the windows can hold, (m, n) bool."""
    split = [part for held in sets for part in _split(held, order)]
    return np.array(split, dtype=bool).reshape(-1, sets.shape[1])


def _split(held: np.ndarray, order: Order) -> list[np.ndarray]:
    inside = np.flatnonzero(held)
    odds = _at_odds(held, inside, order)
    done: list[np.ndarray] = []
    waiting = [np.ones(len(inside), dtype=bool)]
    while waiting:
        members = waiting.pop()
        degree = np.where(members, odds[:, members].sum(axis=1), 0)
        worst = int(degree.argmax()) if len(degree) else 0
        if len(degree) == 0 or degree[worst] == 0 or len(done) + len(waiting) >= _MOST_SPLITS:
            row = np.zeros(len(held), dtype=bool)
            row[inside[members]] = True
            done.append(row)
            continue
        without = members.copy()
        without[worst] = False
        waiting += [without, members & ~odds[worst]]
    return done


def _at_odds(held: np.ndarray, inside: np.ndarray, order: Order) -> np.ndarray:
    outside = ~held
    up = order.reach[np.ix_(inside, outside)].astype(np.float32)
    down = order.reach[np.ix_(outside, inside)].astype(np.float32)
    before = (up @ down > 0.5) | order.strictly[np.ix_(inside, inside)]
    return before | before.T
