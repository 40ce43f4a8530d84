"""Laying one outline over another: in which turns they may agree, then exactly.

Turns come from the phases of the signatures' moments: the correlation of two shapes over all
turns is a Fourier sum of products of moments, and its peaks are the turns worth a look. A turn is
then made exact by iterated closest points with the symmetric point-to-line distance of
S. Rusinkiewicz, "A symmetric objective function for ICP" (2019): (p - q) . (n_p + n_q) / 2, which
is nought for any two points of one circle, so that even steps of the outlines are enough.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from applique.library.signature import HARMONICS, Signatures

_TRIED = 2 * HARMONICS
"""At most so many ways are tried of a pair: those of the most symmetric shape that moments see, as
it lies and mirrored. A hole in it may leave only one of them right, and moments don't tell which.
"""

_WORSE_MM = 0.15
"""A way whose moments put the outlines further apart than the best's by this much is not tried: of
an exact copy of a heptagon they tell 0.09 mm, because angles are dealt to bins."""

_EQUAL_BY_MOMENTS_MM = 0.03
"""Ways to lay a shape that differ by less, told by moments, may be equally good: a symmetric
shape's."""

_EQUAL_MM = 0.05
"""Ways whose distances, once they are laid, differ by less are equally good: a hand's tremor
decides between them, and nobody turned a template over for that."""

_TURNS = 512
"""Turns at which the correlation is reckoned: sixteen to its shortest wave, so that a parabola
through three of them finds a peak and its height."""

_ROUNDS = 3
"""Rounds of closest points. Turns start within half a degree; after two rounds a third changes
distances by less than 0.001 mm."""

_EVERY = 4
"""Every fourth step of the first outline is laid on all steps of the second."""

_NORMAL_WEIGHT_MM = 3.0
"""Opposite directions count like 6 mm apart, so that a point finds its own side of a thin tip."""

_SAME_SIDE = 0.7
"""Points whose directions agree by less than 45 degrees (its cosine) are not of the same side."""

_STIFFNESS = 1e-3
"""Share of the trace added to the normal equations: a circle can be turned freely and isn't, while
turns that change distances are found as well (Levenberg 1944)."""

_STATES_AT_ONCE = 256
"""States are laid in batches of so many; their distances then take 17 MB."""


@dataclass(frozen=True, eq=False)
class States:
    """Ways to lay shapes `first` of one set over shapes `second` of another, (s,) each, those of
    one `pair` (s,) together and the pairs in order.

    The first is mirrored about the vertical axis through its centre if `mirrored`, turned by `turn`
    (radians, clockwise as seen with y down) and its centre laid on the second's centre plus
    `shift`, (s, 2) mm. `off` is then the root mean square and `most` the greatest of the distances
    of the outlines, mm, as far as is known.
    """

    pair: np.ndarray
    first: np.ndarray
    second: np.ndarray
    mirrored: np.ndarray
    turn: np.ndarray
    shift: np.ndarray
    off: np.ndarray
    most: np.ndarray

    def only(self, which: np.ndarray) -> States:
        """Those of an index or a mask."""
        return States(*(getattr(self, field.name)[which] for field in fields(self)))


def _first_of_each(states: States, count: int, equal_mm: float) -> States:
    """At most so many states of each pair, in the order of `off`; equally good ones in the order of
    mirrored or not and of how far they turn."""
    if len(states.pair) == 0:
        return states
    least = np.full(states.pair.max() + 1, np.inf)
    np.minimum.at(least, states.pair, states.off)
    worse = states.off - least[states.pair]
    turns_by = np.abs(np.remainder(states.turn + np.pi, 2 * np.pi) - np.pi)
    rank = (turns_by, states.mirrored, np.where(worse > equal_mm, worse, 0.0), states.pair)
    order = np.lexsort(rank)
    begins = np.searchsorted(states.pair[order], states.pair[order])
    return states.only(order[np.arange(len(order)) - begins < count])


def best_of_each(states: States) -> States:
    """The state of each pair of least `off`; of equally good ones one that is not mirrored, and of
    those the one that turns least."""
    return _first_of_each(states, 1, _EQUAL_MM)


def likely_turns(one: Signatures, other: Signatures, pairs: np.ndarray, within_mm: float) -> States:
    """The best ways to lay each pair, (p, 2) indexes into the two sets, to a degree or so.

    By Parseval's theorem the moments' differences, all together over the reach, tell how far
    outlines around a centre lie apart in the root mean square; at most `within_mm`.
    """
    mine, theirs = one.moments[pairs[:, 0]], other.moments[pairs[:, 1]]
    mirror = np.conj(mine) * (-1.0) ** np.arange(HARMONICS + 1)
    alike = np.stack([_correlation(mine, theirs), _correlation(mirror, theirs)], axis=1)
    pair, side, place, height = _peaks(alike)
    squares = (_power(mine) + _power(theirs))[pair] - 2 * height
    off = np.sqrt(np.maximum(squares, 0)) / one.reach[pairs[pair, 0]]
    least = np.full(len(pairs), np.inf)
    np.minimum.at(least, pair, off)
    near = (off <= within_mm) & (off <= least[pair] + _WORSE_MM)
    first, second = pairs[pair].T
    turn = place * (2 * np.pi / _TURNS)
    none = np.zeros(len(pair))
    shift = np.zeros((len(pair), 2))
    states = States(pair, first, second, side == 1, turn, shift, off, none)
    return _first_of_each(states.only(near), _TRIED, _EQUAL_BY_MOMENTS_MM)


def _peaks(alike: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Pair, side, place and height of the peaks of correlations (p, 2, _TURNS), by the parabola
    through three turns; and of each pair as it lies, which a circle should be told to."""
    before, after = np.roll(alike, 1, axis=2), np.roll(alike, -1, axis=2)
    peak = (alike > before) & (alike >= after)
    tried = peak.copy()
    tried[:, 0, 0] = True
    pair, side, turn = np.nonzero(tried)
    real, height, left, right = (v[pair, side, turn] for v in (peak, alike, before, after))
    bend = np.where(real, left - 2 * height + right, -1.0)
    between = np.where(real, (left - right) / (2 * bend), 0.0)
    return pair, side, turn + between, height - (left - right) * between / 4


def _power(moments: np.ndarray) -> np.ndarray:
    """Squares of the moments of all waves, those of negative number included."""
    squares = np.abs(moments) ** 2
    return 2 * squares.sum(axis=1) - squares[:, 0]


def _correlation(mine: np.ndarray, theirs: np.ndarray) -> np.ndarray:
    """Sums over all waves of one's moments times the other's, at each of _TURNS turns."""
    return np.fft.irfft(np.conj(mine) * theirs, n=_TURNS, axis=1) * _TURNS


def laid(one: Signatures, other: Signatures, states: States) -> States:
    """The states with turn and shift made exact and the distances reckoned from even steps."""
    if len(states.turn) == 0:
        return states
    every = np.arange(len(states.turn))
    batches = [
        _laid_at_once(one, other, states.only(every[k : k + _STATES_AT_ONCE]))
        for k in range(0, len(states.turn), _STATES_AT_ONCE)
    ]
    turn, shift, off, most = (np.concatenate(parts) for parts in zip(*batches, strict=True))
    return replace(states, turn=turn, shift=shift, off=off, most=most)


def _laid_at_once(
    one: Signatures, other: Signatures, states: States
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    points = flipped(one.points[states.first, ::_EVERY], states.mirrored)
    normals = flipped(one.normals[states.first, ::_EVERY], states.mirrored)
    targets, facing = other.points[states.second], other.normals[states.second]
    turn, shift = states.turn, states.shift
    for _ in range(_ROUNDS):
        here = turned(points, turn) + shift[:, None]
        step = _rigid_step(here, _pull(here, turned(normals, turn), targets, facing))
        turn = turn + step[:, 2]
        shift = turned(shift[:, None], step[:, 2])[:, 0] + step[:, :2]
    here = turned(points, turn) + shift[:, None]
    pull = _pull(here, turned(normals, turn), targets, facing)
    # What finds no outline that runs its way is far from it: a hole that lies turned, say.
    apart = np.where(pull.same, np.abs(pull.apart), pull.away)
    return turn, shift, np.sqrt(np.mean(apart**2, axis=1)), apart.max(axis=1)


def flipped(points: np.ndarray, mirrored: np.ndarray) -> np.ndarray:
    """Points (s, m, 2), those of the mirrored (s,) with x the other way."""
    return (
        points * np.stack([np.where(mirrored, -1.0, 1.0), np.ones(len(mirrored))], axis=1)[:, None]
    )


def turned(points: np.ndarray, turn: np.ndarray) -> np.ndarray:
    """Points (s, m, 2) turned clockwise as seen with y down, by radians (s,)."""
    cosine, sine = np.cos(turn)[:, None], np.sin(turn)[:, None]
    x, y = points[..., 0], points[..., 1]
    return np.stack([x * cosine - y * sine, x * sine + y * cosine], axis=-1)


@dataclass(frozen=True, eq=False)
class _Pull:
    """How far outside its nearest target each point lies, (s, m) mm, how far away from it, (s, m)
    mm, in which direction outside is, (s, m, 2), and whether the two are of the same side, (s, m).
    """

    apart: np.ndarray
    away: np.ndarray
    along: np.ndarray
    same: np.ndarray


def _pull(here: np.ndarray, outward: np.ndarray, targets: np.ndarray, facing: np.ndarray) -> _Pull:
    mine = np.concatenate([here, _NORMAL_WEIGHT_MM * outward], axis=2).astype(np.float32)
    theirs = np.concatenate([targets, _NORMAL_WEIGHT_MM * facing], axis=2).astype(np.float32)
    closeness = mine @ theirs.transpose(0, 2, 1)
    closeness -= 0.5 * np.einsum("smc,smc->sm", theirs, theirs)[:, None]
    nearest = np.argmax(closeness, axis=2)[..., None]
    target = np.take_along_axis(targets, nearest, axis=1)
    normal = np.take_along_axis(facing, nearest, axis=1)
    along = 0.5 * (outward + normal)
    way = here - target
    apart, away = np.einsum("smc,smc->sm", way, along), np.hypot(way[..., 0], way[..., 1])
    return _Pull(apart, away, along, np.einsum("smc,smc->sm", outward, normal) > _SAME_SIDE)


def _rigid_step(here: np.ndarray, pull: _Pull) -> np.ndarray:
    """The shift (mm) and the turn (radians) that lessen the squares of `pull.apart` most, (s, 3).
    Turns are weighed by the shape's size, so that they and shifts are lengths alike."""
    size = np.sqrt(np.mean(np.sum(here**2, axis=2), axis=1))
    arm = here[..., 0] * pull.along[..., 1] - here[..., 1] * pull.along[..., 0]
    rows = np.concatenate([pull.along, (arm / size[:, None])[..., None]], axis=2)
    rows *= pull.same[..., None]
    normal = rows.transpose(0, 2, 1) @ rows
    stiff = _STIFFNESS * np.trace(normal, axis1=1, axis2=2) + np.finfo(float).tiny
    wanted = -np.einsum("smc,sm->sc", rows, pull.apart)
    step = np.linalg.solve(normal + stiff[:, None, None] * np.eye(3), wanted[..., None])[..., 0]
    step[:, 2] /= size
    return step
