"""The fewest cubic Bezier curves through a traced outline.

Between two corners an outline is one smooth line. How many cubics it needs is found by trial: a
chain of a given number of cubics, its joints free to move, is settled onto the line (see
`curve_search`), and the smallest number that keeps to the tolerance wins. The number grows by as
many cubics as stray, as J. Schneider's splitting does ("An Algorithm for Automatically Fitting
Digitized Curves", Graphics Gems, 1990), but all joints move on together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from applique.geometry.fit import fit_line
from applique.trace.curve_search import Chains, Lines, bernstein, even_lines

TOLERANCE_MM = 0.05
"""Greatest distance between the curve and the line, either way."""

Segments = list[tuple[np.ndarray, bool]]
"""Cubics (4, 2) of mm in order, each with whether it is a straight line."""

_STRAIGHT = 0.5
"""A line that strays from its chord by no more than this share of the tolerance is straight."""

_GUESS_MM = 14.0
"""One cubic for so much of a line is the first guess: a bold one."""

_FEWEST_CLOSED = 2
_MOST_TRIALS = 24
_ROUNDS = 10
_HOPELESS = ((2, 2.5), (4, 1.6), (6, 1.25))
"""After so many steps a chain that strays by more than so many tolerances is given up."""

_STALLED = 2
_SAFE = 0.985
"""Samples of a chain are held to this share of the tolerance: between them it may stray more."""

_ENOUGH = 0.95
"""A chain that keeps to this share of the tolerance at its samples is done."""

_HINGE = 0.77
"""Distances beyond this share of the tolerance are drawn in: between the samples there may be a
little more."""

_CHECK_MM = 0.1
"""A curve is checked at places no further apart than this."""


@dataclass(frozen=True, eq=False)
class _Fit:
    """Control points (s, 4) complex that keep to a line."""

    controls: np.ndarray
    joints: np.ndarray
    places_mm: np.ndarray
    shift: float


def fewest_cubics(
    section: np.ndarray, tolerance_mm: float = TOLERANCE_MM, closed: bool = False
) -> Segments:
    """The fewest cubics through one smooth line, (n, 2) mm."""
    return fewest_cubics_each([section], tolerance_mm, closed)[0]


def fewest_cubics_each(
    sections: Sequence[np.ndarray], tolerance_mm: float = TOLERANCE_MM, closed: bool = False
) -> list[Segments]:
    """The fewest cubics through each of several smooth lines: all at once is several times faster
    than one by one."""
    found: list[Segments | None] = [
        None if closed else _straight(section, tolerance_mm) for section in sections
    ]
    bent = [k for k, segments in enumerate(found) if segments is None]
    if bent:
        curved = _curved([sections[k] for k in bent], tolerance_mm, closed)
        for k, segments in zip(bent, curved, strict=True):
            found[k] = segments
    return [segments for segments in found if segments is not None]


def _straight(section: np.ndarray, tolerance_mm: float) -> Segments | None:
    """One straight segment, if the line hardly strays from its chord."""
    chord = section[-1] - section[0]
    length = float(np.hypot(*chord))
    if len(section) > 2:
        if length <= tolerance_mm:
            return None
        offsets = section - section[0]
        along = offsets @ chord / length
        across = (chord[0] * offsets[:, 1] - chord[1] * offsets[:, 0]) / length
        if np.abs(across).max() > _STRAIGHT * tolerance_mm:
            return None
        if (along[1:] < along[:-1]).any():
            return None
    third = chord / 3
    return [(np.array([section[0], section[0] + third, section[-1] - third, section[-1]]), True)]


def _curved(sections: list[np.ndarray], tolerance_mm: float, closed: bool) -> list[Segments]:
    lines = even_lines(sections, closed)
    search = _Search(lines, sections, tolerance_mm)
    search.run()
    return [
        fit_line(section, tolerance_mm) if fit is None else _segments(fit.controls, section, closed)
        for fit, section in zip(search.fits, sections, strict=True)
    ]


def _segments(controls: np.ndarray, section: np.ndarray, closed: bool) -> Segments:
    points = np.stack([controls.real, controls.imag], axis=2)
    if not closed:
        points[0, 0], points[-1, 3] = section[0], section[-1]
    return [(segment, False) for segment in points]


class _Search:
    """The search for the smallest number of cubics that keeps to each line."""

    def __init__(self, lines: Lines, sections: list[np.ndarray], tolerance_mm: float) -> None:
        self.lines, self.sections, self.tolerance_mm = lines, sections, tolerance_mm
        smallest = np.full(len(sections), _FEWEST_CLOSED if lines.closed else 1)
        self.failed = smallest - 1
        self.best = np.full(len(smallest), np.iinfo(np.int64).max)
        self.next = np.maximum(np.rint(lines.lengths_mm / _GUESS_MM).astype(int), smallest)
        self.fits: list[_Fit | None] = [None] * len(smallest)
        self.rounds = 0

    def run(self) -> None:
        for _ in range(_MOST_TRIALS):
            wanted = np.flatnonzero(self.best > self.failed + 1)
            if len(wanted) == 0:
                break
            self.try_out(wanted)

    def try_out(self, wanted: np.ndarray) -> None:
        count = np.concatenate([self.next[wanted], self.next[wanted] + 1])
        line = np.concatenate([wanted, wanted])
        useful = (count > self.failed[line]) & (count < self.best[line])
        line, count = line[useful], count[useful]
        shift = np.zeros(len(line))
        if self.lines.closed:
            shift = np.repeat([0.0, 0.5], len(line))
            line, count = np.tile(line, 2), np.tile(count, 2)
        chains = Chains(self.lines, line, count, shift, _HINGE * self.tolerance_mm)
        chains.settle(_ROUNDS, _ENOUGH * self.tolerance_mm, _SAFE * self.tolerance_mm, self.going)
        for b in np.lexsort((chains.misses_mm, count)):
            self.judge(chains, int(b))
        for k in wanted:
            self.aim(chains, int(k))

    def going(self, chains: Chains, done: int) -> bool:
        self.rounds += 1
        allowed = _SAFE * self.tolerance_mm
        kept = chains.misses_mm <= _ENOUGH * self.tolerance_mm
        best = self.best.copy()
        np.minimum.at(best, chains.line[kept], chains.counts[kept])
        moot = chains.counts >= best[chains.line]
        moot |= (chains.stalled >= _STALLED) & ~kept
        for after, share in _HOPELESS:
            if done >= after:
                moot |= chains.misses_mm > share * allowed
        return not moot.all()

    def judge(self, chains: Chains, b: int) -> None:
        k, count = int(chains.line[b]), int(chains.counts[b])
        if chains.misses_mm[b] <= _SAFE * self.tolerance_mm and count < self.best[k]:
            fit = self.checked(chains, b)
            if fit is not None:
                self.best[k], self.fits[k] = count, fit

    def aim(self, chains: Chains, k: int) -> None:
        tried = np.flatnonzero(chains.line == k)
        lost = tried[chains.counts[tried] < self.best[k]]
        if len(lost):
            self.failed[k] = max(self.failed[k], chains.counts[lost].max())
            last = lost[np.argmax(chains.counts[lost])]
            straying = (
                chains.cubic_misses_mm[chains.chain_of_cubic == last] > self.tolerance_mm
            ).sum()
            self.next[k] = self.failed[k] + max(1, int(0.7 * straying))
        if self.best[k] < np.iinfo(np.int64).max:
            self.next[k] = min(self.next[k], self.best[k] - 1)
            if not len(lost):
                self.next[k] = self.best[k] - 2

    def checked(self, chains: Chains, b: int) -> _Fit | None:
        first, count = chains.first_cubic[b], chains.counts[b]
        cubics = slice(first, first + count)
        controls = chains.controls()[cubics]
        k = int(chains.line[b])
        if not _keeps_to(controls, chains.t, chains.places_mm[cubics], self.sections[k],
                         bool(self.lines.closed), self.tolerance_mm):
            return None
        size = count + (not self.lines.closed)
        joints = chains.joints[chains.first_joint[b] : chains.first_joint[b] + size]
        return _Fit(controls, joints, chains.places_mm[cubics], float(chains.shift[b]))


def _keeps_to(
    controls: np.ndarray,
    t: np.ndarray,
    places_mm: np.ndarray,
    section: np.ndarray,
    closed: bool,
    tolerance_mm: float,
) -> bool:
    """Whether line and curve keep to each other: every point of each has one of the other's near,
    in order along them."""
    rough = section[:, 0] + 1j * section[:, 1]
    arc = np.concatenate([[0.0], np.cumsum(np.abs(rough[1:] - rough[:-1]))])
    length = arc[-1]
    count = len(controls)
    per = int(np.ceil(length / count / _CHECK_MM)) + 1
    fine = np.arange(per) / per
    samples = np.append((controls @ bernstein(fine)).ravel(), controls[-1, 3])
    at = (np.arange(count)[:, None] + t).ravel()
    known = places_mm.ravel()
    start, stop = (places_mm[0, 0] - (known[-1] - length),) * 2 if closed else (0.0, length)
    if closed:
        middle = (known[0] + known[-1] - length) / 2
        start, stop = middle, middle + length
    ends = np.concatenate([[start], known, [stop]])
    if (ends[1:] < ends[:-1]).any():
        return False
    where = np.interp(np.arange(count * per + 1) / per, np.concatenate([[0.0], at, [count]]), ends)
    for _ in range(2):
        wrapped = where % length if closed else np.clip(where, 0, length)
        found = np.interp(wrapped, arc, rough)
        ahead = np.interp((wrapped + 0.05) % length if closed else np.minimum(wrapped + 0.05, length), arc, rough)
        behind = np.interp((wrapped - 0.05) % length if closed else np.maximum(wrapped - 0.05, 0), arc, rough)
        direction = ahead - behind
        direction /= np.maximum(np.abs(direction), 1e-12)
        where = where + ((samples - found) * direction.conj()).real
        if not closed:
            where = np.clip(where, 0, length)
    where = np.maximum.accumulate(where)
    found = np.interp(where % length if closed else where, arc, rough)
    if np.abs(samples - found).max() > tolerance_mm:
        return False
    back = np.concatenate([arc, arc + length]) if closed else arc
    if closed:
        back = arc + np.ceil((where[0] - arc) / length) * length
    near = np.interp(back, where, samples)
    return bool(np.abs(near - rough).max() <= tolerance_mm)
