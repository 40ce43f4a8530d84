"""Relief for crowded places: no circle of 1 mm takes more penetrations than fabric can bear.

`stagger.py` looks along one rail. Where several sides of a piece meet, at the ends of a medial
axis, in a junction of narrow arms, beside a mitre or where a ring is closed, needle points of all
of them come together. There a rung is made shorter, or longer where its band goes on, or two are
left out, one place after the other, each time what frees most and bares least.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from applique.stitches.bared import PASS_MM, bared_mm2
from applique.stitches.chain import Chain
from applique.stitches.crowds import MOST, crowded_places, within
from applique.stitches.ladder import Rungs
from applique.stitches.stagger import SHORTEST_MM

_BACK_MM = np.array([0.15, 0.3, 0.45, 0.6, 0.8, 1.0, 1.3, 1.6])
_ON_MM = np.array([0.2, 0.4, 0.6, 0.8, 1.0])
"""By how much a rung may end before its place, or beyond it where its band and the fabric go on."""

_OVERFULL_COUNTS = 10.0
"""How much more a penetration too many counts than one that only fills a circle."""

_BARED_COSTS = 200.0
"""What a square millimetre left bare counts for against the strain of full circles."""

_SHORT_LIST = 8
"""Of the changes that look best, so many are judged exactly."""


def relieved(ladders: Sequence[Rungs]) -> list[Rungs]:
    """Ladders of one piece, changed until no circle holds more than `MOST` penetrations, as far as
    that can be had."""
    if not ladders:
        return []
    places = crowded_places(np.vstack([ladder.points for ladder in ladders]))
    if not places:
        return list(ladders)
    chain = Chain(ladders)
    for near in places:
        _relieve(chain, near)
    return chain.ladders()


def _relieve(chain: Chain, near: np.ndarray) -> None:
    """Change rungs among `near` until none of their circles is too full."""
    place = _Place(chain, near[chain.kept[near]])
    for _ in range(2 * len(near)):
        counts = place.counts()
        full = np.flatnonzero(counts > MOST)
        order = full[np.argsort(-counts[full], kind="stable")]
        if not any(place.relieve_circle(counts, k) for k in order.tolist()):
            return


@dataclass(frozen=True, eq=False)
class _Choices:
    """Changes that could be made, one row each: the rungs from `k` to `last` are left out, or, if
    `last` is -1, `k` gets the `length`. `bared` is about how much is left bare, in mm2, `strain`
    what of the strain is left."""

    k: np.ndarray
    last: np.ndarray
    length: np.ndarray
    bared: np.ndarray
    strain: np.ndarray


class _Place:
    """The needle points round a crowded place; `near` are their indices in the chain."""

    def __init__(self, chain: Chain, near: np.ndarray) -> None:
        self._chain = chain
        self._near = near
        points = chain.points[near]
        self._within = within(points, points)

    def counts(self) -> np.ndarray:
        """How many penetrations the circle round each point holds."""
        return self._within.sum(axis=1)

    def relieve_circle(self, counts: np.ndarray, centre: int) -> bool:
        """Make the best change to one circle; False if none helps."""
        inside = np.flatnonzero(self._within[centre])
        tip = self._chain.ladder.tip[self._near[inside]]
        choices = _together(
            [
                self._lengths(inside[~tip], counts),
                self._pairs(inside[~tip], counts),
                self._tips(inside[tip], counts),
            ]
        )
        helps = np.flatnonzero(choices.strain < _strain(counts))
        if len(helps) == 0:
            return False
        self._make(choices, self._best(choices, helps))
        return True

    def _best(self, choices: _Choices, helps: np.ndarray) -> int:
        """The row of the choice, among the rows `helps`, that frees most and bares least."""
        # Of two alike by symmetry the first comes first, whatever the last bit says.
        looks = np.round(choices.strain[helps] + _BARED_COSTS * choices.bared[helps], 6)
        rows = helps[np.argsort(looks, kind="stable")[:_SHORT_LIST]].tolist()
        stitches = _Stitches(self._chain, self._near)
        best, least = rows[0], np.inf
        for row in rows:
            cost = float(choices.strain[row])
            if cost >= least:
                continue
            if choices.bared[row] > 0:
                cost += _BARED_COSTS * self._bared(choices, row, stitches)
            if cost < least:
                best, least = row, cost
        return best

    def _make(self, choices: _Choices, row: int) -> None:
        k, last = int(choices.k[row]), int(choices.last[row])
        if last < 0:
            self._chain.set_length(k, float(choices.length[row]))
        else:
            self._chain.leave_out(k, last)
        points = self._chain.points[self._near]
        for moved in np.flatnonzero((self._near == k) | (self._near == last)).tolist():
            row_within = within(points[moved : moved + 1], points)[0]
            kept = self._chain.kept[self._near[moved]]
            self._within[moved] = row_within & kept
            self._within[:, moved] = row_within & kept

    def _lengths(self, movable: np.ndarray, counts: np.ndarray) -> _Choices:
        """Other lengths for the points `movable` (indices among `near`)."""
        chain, index = self._chain, self._near[movable]
        whole = chain.whole[index][:, None]
        on = np.minimum(_ON_MM, chain.ladder.spare[index][:, None])
        lengths = np.hstack([whole - _BACK_MM, whole + on])
        changed = np.abs(lengths - chain.length[index][:, None]) > 0.05
        row, column = np.nonzero((lengths >= SHORTEST_MM) & changed)
        k, length = index[row], lengths[row, column]
        after = within(chain.places(k, length), chain.points[self._near])
        each = np.arange(len(row))
        after[each, movable[row]] = False
        left = counts - self._within[movable[row]] + after
        left[each, movable[row]] = after.sum(axis=1) + 1
        missing = np.maximum(chain.whole[k] - chain.ladder.shared[k] - length, 0.0)
        bared = self._gap(k) * missing
        return _Choices(k, np.full(len(k), -1), length, bared, _strain(left))

    def _pairs(self, movable: np.ndarray, counts: np.ndarray) -> _Choices:
        """Pairs of neighbours that could be left out, of which one is among `movable`."""
        chain, index = self._chain, self._near[movable]
        before = chain.before[index]
        first = np.unique(np.concatenate([index, before[before >= 0]]))
        first = first[(chain.before[first] >= 0) & (chain.after[first] >= 0)]
        first = first[chain.after[chain.after[first]] >= 0]
        second = chain.after[first]
        sides = ~chain.ladder.tip[first] & ~chain.ladder.tip[second]
        first, second = first[sides], second[sides]
        left = np.repeat(counts[None, :], len(first), axis=0)
        for member in (first, second):
            self._take_out(left, member)
        wide = np.maximum(self._gap(first), self._gap(second))
        long = (chain.length[first] + chain.length[second]) / 2
        return _Choices(first, second, np.zeros(len(first)), wide * long, _strain(left))

    def _tips(self, tips: np.ndarray, counts: np.ndarray) -> _Choices:
        """The extra stitches `tips` (indices among `near`) at the points of mitres, left out."""
        k = self._near[tips]
        left = np.repeat(counts[None, :], len(k), axis=0)
        self._take_out(left, k)
        nothing = np.zeros(len(k))
        return _Choices(k, k, nothing, nothing, _strain(left))

    def _take_out(self, left: np.ndarray, k: np.ndarray) -> None:
        """Take the points `k` (n,) of the chain out of the counts `left`, (n, m), row by row."""
        at = np.minimum(np.searchsorted(self._near, k), len(self._near) - 1)
        rows = np.flatnonzero(self._near[at] == k)
        left[rows] -= self._within[at[rows]]
        left[rows, at[rows]] = 0

    def _gap(self, k: np.ndarray) -> np.ndarray:
        """How wide a place is left about when rungs `k` end before it, mm."""
        return np.maximum(self._chain.same_rail_apart(k) - PASS_MM, 0.02)

    def _bared(self, choices: _Choices, row: int, stitches: _Stitches) -> float:
        """The area that one of the choices leaves bare, mm2."""
        chain = self._chain
        k, last, length = int(choices.k[row]), int(choices.last[row]), float(choices.length[row])
        gone = [k] if last in (-1, k) else [k, last]
        before, after = int(chain.before[k]), int(chain.after[gone[-1]])
        old = chain.points[[i for i in (before, *gone, after) if i >= 0]]
        new = [chain.points[i] for i in (before, after) if i >= 0]
        reach = float(chain.whole[k]) + PASS_MM
        if last < 0:
            new.insert(int(before >= 0), chain.places(np.array([k]), np.array([length]))[0])
            reach = abs(float(chain.length[k]) - length) + PASS_MM
        left = np.concatenate([stitches.without([before, *gone]), _legs(np.array(new))])
        return bared_mm2(_legs(old), left, chain.points[k], reach)


class _Stitches:
    """The stitches that begin at the points `near` of a chain."""

    def __init__(self, chain: Chain, near: np.ndarray) -> None:
        self._from = near[chain.kept[near] & (chain.after[near] >= 0)]
        ends = chain.points[chain.after[self._from]]
        self._all = np.stack([chain.points[self._from], ends], axis=1)

    def without(self, starts: Sequence[int]) -> np.ndarray:
        """All but those that begin at some points, (n, 2, 2) mm."""
        kept = np.ones(len(self._from), dtype=bool)
        for start in starts:
            kept &= self._from != start
        return self._all[kept]


def _legs(points: np.ndarray) -> np.ndarray:
    """The stitches (n - 1, 2, 2) between points (n, 2)."""
    return np.stack([points[:-1], points[1:]], axis=1)


def _together(choices: Sequence[_Choices]) -> _Choices:
    columns = zip(*((c.k, c.last, c.length, c.bared, c.strain) for c in choices), strict=True)
    return _Choices(*(np.concatenate(column) for column in columns))


def _strain(counts: np.ndarray) -> np.ndarray:
    """How much circles with so many penetrations (..., n) strain the fabric, in all."""
    nearly = np.maximum(counts - (MOST - 1), 0)
    over = np.maximum(counts - MOST, 0)
    return (nearly * nearly + _OVERFULL_COUNTS * over * over).sum(axis=-1)
