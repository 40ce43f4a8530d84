"""Paths as they can be cut: where, with how much overlap, and what must then lie in one window.

A path is known by its penetrations alone. Satins and zigzags are told by the needle's going to and
fro, the bites of a blanket stitch by its coming back to the hole it came from.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from applique.geometry.walk import step_lengths, without_repeats

OVERLAP_MM = 3.0
"""The later of two fragments of an edge begins so far before the place where the earlier one ends
(common practice: some stitches over a join)."""

CUTS_APART_MM = 0.5
"""Places where a path may be cut are looked at no closer together than this. At 1 mm a wave with a
wide satin that two windows just hold took three."""

_ARC_STEP_MM = 1.0
"""Lengths along a spine are measured in such steps, so that the short stitches of a satin, whose
middles wobble, don't make it longer."""

_SAME_HOLE_MM = 0.02
"""Needle points this near to each other are one hole: below the 0.1 mm step of a frame, above the
rounding of what was written."""

_REVERSAL_DEGREES = 100.0
"""From this turn on the needle comes back: a zigzag whose pitch is its width turns by 127."""

_LOOKED_AT = 7
_FEWEST_REVERSALS = 4
"""Of so many needle points in a row, about the one looked at, the second number are reversals in a
satin or a zigzag; a run has one at a sharp tip."""

_TIE_POINTS = 4
"""The first and last needle points of a path may be its ties."""

_NEEDLE_CLEAR_MM = 0.5
"""A tie on the middles of rungs begins no nearer to the last needle point than this: the shortest
satin stitch."""

_TIE_RUNGS = 40
"""Ties lie along the middles of so many rungs, as those of an uncut satin do."""

_DENSE_MM = 0.6
"""Up to this pitch on one rail rungs hide a tie along their middles: a satin's is 0.5 mm at most
(docs/sources.md), an open zigzag's about 1."""


@dataclass(frozen=True, eq=False)
class Way:
    """A path (n, 2) of mm and how it can be cut.

    `spine` (n, 2) is the middle of what is sewn at each penetration, `arc` (n,) how far along it
    that is, in mm. `rungs` (n,) marks satin and zigzag, `bites` (n,) the inner ends of a blanket's
    bites. `cuts` (k,) are the penetrations at which the path may be cut, its first and last ones
    included; `begins` (k,) is where a fragment that starts at each of them begins.
    """

    points: np.ndarray
    spine: np.ndarray
    arc: np.ndarray
    rungs: np.ndarray
    bites: np.ndarray
    cuts: np.ndarray
    begins: np.ndarray

    @property
    def closed(self) -> bool:
        """Whether it ends where it began."""
        return bool(np.hypot(*(self.spine[-1] - self.spine[0])) <= OVERLAP_MM)

    def boxes(self) -> np.ndarray:
        """What must lie in one window, (k - 1, 4): left, top, right and bottom of the stitches from
        each place to the next one, with the overlap before it. The first and last ones of a closed
        path are one."""
        spans = np.stack([self.begins[:-1], self.cuts[1:] + 1], axis=1).ravel()
        # A row more than there are, so that the last span has an end to stop before.
        points = np.vstack([self.points, self.points[-1:]])
        low = np.minimum.reduceat(points, spans, axis=0)[::2]
        high = np.maximum.reduceat(points, spans, axis=0)[::2]
        found = np.hstack([low, high])
        if self.closed:
            ends = found[[0, -1]]
            found[[0, -1]] = [*ends[:, :2].min(axis=0), *ends[:, 2:].max(axis=0)]
        return found

    def middles(self) -> np.ndarray:
        """The needle points halfway between each two neighbouring cuts, (k - 1,)."""
        return (self.cuts[:-1] + self.cuts[1:]) // 2


def way_of(points: np.ndarray, overlap_mm: float) -> Way:
    """How a path (n, 2) of mm can be cut, each later fragment beginning `overlap_mm` before."""
    reversals, bites = _reversals(points)
    rungs = _among_reversals(reversals & ~bites)
    spine = _spine(points, rungs, bites)
    arc = _arc(spine)
    may = (~rungs | reversals) & ~bites
    may[:_TIE_POINTS] = may[-_TIE_POINTS:] = False
    cuts = _apart(arc, np.flatnonzero(may))
    begins = _begins(spine, may, cuts, overlap_mm)
    return Way(points, spine, arc, rungs, bites, cuts, begins)


def tie_line(way: Way, first: int, last: int) -> np.ndarray:
    """Where a tie lies (m, 2) that leads from the penetration `first` of a path towards `last`,
    onwards or back: along the middles of a satin's rungs, or along the line that is sewn there,
    without its bites."""
    step = 1 if last > first else -1
    index = np.arange(first, last + step, step)
    beginning = way.points[index[: _TIE_RUNGS + 1]]
    if way.rungs[first] and _is_dense(beginning):
        return _middles(beginning)
    line = without_repeats(way.points[index[~way.bites[index]]], _SAME_HOLE_MM)
    return line if len(line) > 1 else way.points[index]


def _is_dense(points: np.ndarray) -> bool:
    """Whether rungs (n, 2) lie so close that they hide what lies along their middles."""
    pitch = np.hypot(*(points[2:] - points[:-2]).T)
    return len(pitch) > 0 and bool(np.median(pitch) <= _DENSE_MM)


def _middles(points: np.ndarray) -> np.ndarray:
    """The middles of rungs, from the first one on that is clear of the first needle point."""
    middles = (points[:-1] + points[1:]) / 2
    clear = np.hypot(*(middles - points[0]).T) >= _NEEDLE_CLEAR_MM
    return middles[int(np.argmax(clear)) :]


def _reversals(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Where the needle comes back, and where it does to the very hole it came from: (n,) each."""
    back = np.zeros(len(points), dtype=bool)
    same = np.zeros(len(points), dtype=bool)
    if len(points) > 2:
        coming, going = points[1:-1] - points[:-2], points[2:] - points[1:-1]
        lengths = np.hypot(*coming.T) * np.hypot(*going.T)
        along = (coming * going).sum(axis=1)
        back[1:-1] = along < np.cos(np.radians(_REVERSAL_DEGREES)) * lengths
        same[1:-1] = np.hypot(*(points[2:] - points[:-2]).T) <= _SAME_HOLE_MM
    return back, same & back


def _among_reversals(reversals: np.ndarray) -> np.ndarray:
    """Whether each penetration (n,) is one of a satin or zigzag."""
    counts = np.concatenate([[0], np.cumsum(reversals)])
    count = len(reversals)
    first = np.clip(np.arange(count) - _LOOKED_AT // 2, 0, max(count - _LOOKED_AT, 0))
    last = np.minimum(first + _LOOKED_AT, count)
    return np.asarray(counts[last] - counts[first] >= _FEWEST_REVERSALS)


def _spine(points: np.ndarray, rungs: np.ndarray, bites: np.ndarray) -> np.ndarray:
    """The middle of what is sewn at each penetration, (n, 2)."""
    spine = points.copy()
    inner = np.flatnonzero(rungs[1:-1]) + 1
    spine[inner] = (points[inner - 1] + 2 * points[inner] + points[inner + 1]) / 4
    bitten = np.flatnonzero(bites)
    spine[bitten] = points[bitten - 1]
    for end, beside in ((0, 1), (-1, -2)):
        if rungs[end]:
            spine[end] = (points[end] + points[beside]) / 2
    return spine


def _arc(spine: np.ndarray) -> np.ndarray:
    """How far along a spine its points (n, 2) lie, in mm."""
    kept = [0]
    plain = spine.tolist()
    x, y = plain[0]
    for k, (to_x, to_y) in enumerate(plain):
        if (to_x - x) ** 2 + (to_y - y) ** 2 >= _ARC_STEP_MM**2:
            kept.append(k)
            x, y = to_x, to_y
    if kept[-1] != len(plain) - 1:
        kept.append(len(plain) - 1)
    along = np.concatenate([[0.0], np.cumsum(step_lengths(spine[kept]))])
    return np.interp(np.arange(len(plain)), kept, along)


def _apart(arc: np.ndarray, index: np.ndarray) -> np.ndarray:
    """The first and last penetration and, between, those of `index` that don't lie too close."""
    kept = [0]
    for k in index.tolist():
        if arc[k] - arc[kept[-1]] >= CUTS_APART_MM:
            kept.append(k)
    return np.array([*kept, len(arc) - 1])


def _begins(spine: np.ndarray, may: np.ndarray, cuts: np.ndarray, overlap_mm: float) -> np.ndarray:
    """Where a fragment begins that starts at each cut (k,): at the nearest penetration before it
    where the path may be cut and that is so far away, else at the path's first one."""
    begins = np.zeros(len(cuts), dtype=int)
    if overlap_mm == 0:
        return cuts
    waiting = np.arange(1, len(cuts))
    back = 1
    while len(waiting):
        place = cuts[waiting] - back
        waiting, place = waiting[place > 0], place[place > 0]
        away = np.hypot(*(spine[place] - spine[cuts[waiting]]).T)
        found = may[place] & (away >= overlap_mm)
        begins[waiting[found]] = place[found]
        waiting = waiting[~found]
        back += 1
    return begins
