"""Pinholes closed: where short stitches leave a speck of fabric bare, one of them goes on over it.

Short stitches are chosen along one rail, and relief bares a little where nothing else helps. At the
end of a medial axis, in the middle of a small disc, what they leave together may be seen.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from applique.stitches.bared import PASS_MM, covered
from applique.stitches.chain import Chain
from applique.stitches.crowds import MOST, RADIUS_MM, within
from applique.stitches.ladder import Rungs

_STEP_MM = 0.15
"""Places on the line of a short rung, where it might go on, are looked at so far apart."""


def filled(ladders: Sequence[Rungs]) -> list[Rungs]:
    """Ladders of one piece, in which rungs go on over bare places that lie before them, as far as
    the fabric bears the needle there."""
    if not ladders:
        return []
    chain = Chain(ladders)
    rung, length = _beyond(chain)
    if len(rung) == 0:
        return list(ladders)
    places = chain.places(rung, length)
    bare = ~_under_any(places, _legs(chain))
    rung, length, places = rung[bare], length[bare], places[bare]
    while len(rung):
        # The rung with the most to cover goes first; of two alike, the earlier one.
        numbers, counts = np.unique(rung, return_counts=True)
        k = int(numbers[np.argmax(counts)])
        own = rung == k
        _go_on(chain, k, length[own])
        left = ~own & ~covered(places, _legs_at(chain, k))
        rung, length, places = rung[left], length[left], places[left]
    return chain.ladders()


def _beyond(chain: Chain) -> tuple[np.ndarray, np.ndarray]:
    """Where rungs might go on: their indices and the lengths they would have, (n,) each."""
    counts = np.floor(chain.ladder.spare / _STEP_MM + 1e-6).astype(int)
    counts[chain.ladder.tip] = 0
    rung = np.repeat(np.arange(len(counts)), counts)
    number = np.arange(len(rung)) - np.repeat(np.cumsum(counts) - counts, counts) + 1
    return rung, chain.whole[rung] + number * _STEP_MM


def _legs(chain: Chain) -> np.ndarray:
    """The stitches between the rungs, (m, 2, 2)."""
    first = np.flatnonzero(chain.after >= 0)
    return np.stack([chain.points[first], chain.points[chain.after[first]]], axis=1)


def _legs_at(chain: Chain, k: int) -> np.ndarray:
    """The stitches to and from a rung, (1 or 2, 2, 2)."""
    around = [i for i in (int(chain.before[k]), k, int(chain.after[k])) if i >= 0]
    points = chain.points[around]
    return np.stack([points[:-1], points[1:]], axis=1)


def _under_any(places: np.ndarray, legs: np.ndarray) -> np.ndarray:
    """Which places (n, 2) lie under one of very many stitches (m, 2, 2), (n,) of bool."""
    tree = shapely.STRtree(shapely.linestrings(legs))
    under, _ = tree.query(shapely.points(places), predicate="dwithin", distance=PASS_MM / 2)
    found = np.zeros(len(places), dtype=bool)
    found[under] = True
    return found


def _go_on(chain: Chain, k: int, lengths: np.ndarray) -> None:
    """Make a rung as long as the longest of some lengths, ascending, at which it crowds nobody."""
    places = chain.places(np.full(len(lengths), k), lengths)
    for length, place in zip(lengths[::-1].tolist(), places[::-1], strict=True):
        if _bears(chain.points, k, place):
            chain.set_length(k, length)
            return


def _bears(points: np.ndarray, k: int, place: np.ndarray) -> bool:
    """Whether no circle that holds a place (2,) gets too full if point `k` of `points` (n, 2) moves
    there."""
    near = np.flatnonzero(np.hypot(*(points - place).T) <= 2 * RADIUS_MM)
    moved = np.vstack([points[near[near != k]], place])
    beside = within(moved, moved)
    return bool(beside.sum(axis=1)[beside[-1]].max() <= MOST)
