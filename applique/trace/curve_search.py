"""The search for the smallest number of cubics that keeps to a line, for several lines at once.

A first, bold guess comes from the line's length. Two numbers are tried at a time; where both fail
the next are higher by about as many cubics as strayed, as J. Schneider splits a curve where it
strays ("An Algorithm for Automatically Fitting Digitized Curves", Graphics Gems, 1990), only that
here all joints move on together. Where one holds, the numbers below it are tried until one fails.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.trace.curve_chains import Chains
from applique.trace.curve_lines import even_lines, keeps_to

_GUESS_MM = 16.0
"""One cubic for so much of a line is the first guess."""

_FEWEST_CLOSED = 2
_MOST_TRIALS = 40

_FEWEST_GIVEN_UP, _SHORTEST_MM = 8, 1.0
"""A line that needs more than so many cubics, and more than one for so much of it, is rough or has
a corner in it: smooth curves are not for it."""

_UNFOUND = np.iinfo(np.int64).max

_STRAYING_SHARE = 0.7
"""So many cubics more for each that strays: a new one often helps its neighbour too."""

_LEAST_GROWTH = 8
"""A number that fails grows by at least its eighth part."""

_HINGE = 0.77
"""Distances beyond this share of the tolerance are drawn in. Measured on traced outlines: drawing
in nothing but what is beyond the tolerance itself needs more steps and ends with more cubics."""

_ENOUGH = 0.95
_MOST = 0.985
"""A chain whose samples keep to the first share of the tolerance has made it; one that keeps to the
second may have. Between the samples it may stray a little more."""

_ROUNDS = 10
_HOPELESS = ((2, 2.5), (4, 1.6), (6, 1.25))
_LEFT = 0.3
"""After so many steps a chain that strays by more than so many tolerances is given up, unless the
last step left no more than this share of its cost."""

_STALLED = 2
"""A chain that so many steps in a row have got nowhere is given up too."""


def fewest_on(
    sections: Sequence[np.ndarray], tolerance_mm: float, closed: bool
) -> list[np.ndarray | None]:
    """The cubics (s, 4), complex mm, on each section, (n, 2) mm; none where the line is no smooth
    one and no number of cubics was found."""
    search = _Search(sections, tolerance_mm, closed)
    for _ in range(_MOST_TRIALS):
        wanted = np.flatnonzero((search.best > search.failed + 1) & (search.next <= search.most))
        if len(wanted) == 0:
            break
        search.try_out(wanted)
    return search.found


class _Search:
    """What is known so far: for each line the greatest number of cubics that failed, the best that
    held with its cubics, and the number to try next."""

    def __init__(self, sections: Sequence[np.ndarray], tolerance_mm: float, closed: bool) -> None:
        self.sections, self.tolerance_mm = sections, tolerance_mm
        self.lines = even_lines(sections, closed)
        smallest = _FEWEST_CLOSED if closed else 1
        guess = np.rint(self.lines.lengths_mm / _GUESS_MM).astype(int)
        self.next = np.maximum(guess, smallest)
        self.most = np.maximum(self.lines.lengths_mm / _SHORTEST_MM, _FEWEST_GIVEN_UP)
        self.failed = np.full(len(sections), smallest - 1)
        self.best = np.full(len(sections), _UNFOUND)
        self.found: list[np.ndarray | None] = [None] * len(sections)

    def try_out(self, wanted: np.ndarray) -> None:
        """Try the next two numbers for the lines that are wanted."""
        chains = self._chains(wanted)
        enough, most = _ENOUGH * self.tolerance_mm, _MOST * self.tolerance_mm
        chains.settle(_ROUNDS, enough, most, self._going)
        for b in np.lexsort((chains.misses_mm, chains.counts)):
            if chains.misses_mm[b] <= most and chains.counts[b] < self.best[chains.line[b]]:
                self._check(chains, int(b))
        for k in wanted:
            self._aim(chains, int(k))

    def _chains(self, wanted: np.ndarray) -> Chains:
        line = np.tile(wanted, 2)
        count = np.concatenate([self.next[wanted], self.next[wanted] + 1])
        open_ = (count > self.failed[line]) & (count < self.best[line])
        line, count = line[open_], count[open_]
        shift = np.zeros(len(line))
        if self.lines.closed:
            # Where to begin on a closed line is open too: two starts are tried.
            shift = np.repeat([0.0, 0.5], len(line))
            line, count = np.tile(line, 2), np.tile(count, 2)
        return Chains(self.lines, line, count, shift, _HINGE * self.tolerance_mm)

    def _going(self, chains: Chains, done: int) -> bool:
        """Whether a chain may still make it, and none as short or shorter has."""
        made_it = chains.misses_mm <= _ENOUGH * self.tolerance_mm
        best = np.full(len(self.best), _UNFOUND)
        np.minimum.at(best, chains.line[made_it], chains.counts[made_it])
        given_up = chains.stalled >= _STALLED
        for after, share in _HOPELESS:
            if done >= after:
                given_up |= (chains.misses_mm > share * self.tolerance_mm) & (chains.left > _LEFT)
        return bool((~given_up & (chains.counts < best[chains.line])).any())

    def _check(self, chains: Chains, b: int) -> None:
        """Take a chain for the best on its line, if it keeps to it between the samples too."""
        k, count = chains.line[b], chains.counts[b]
        cubics = slice(chains.first_cubic[b], chains.first_cubic[b] + count)
        controls, places_mm = chains.controls()[cubics], chains.places_mm[cubics]
        section, closed = self.sections[k], self.lines.closed
        if keeps_to(controls, places_mm, section, closed, self.tolerance_mm):
            self.best[k], self.found[k] = count, controls

    def _aim(self, chains: Chains, k: int) -> None:
        """Choose what to try next on a line, after a trial."""
        lost = np.flatnonzero((chains.line == k) & (chains.counts < self.best[k]))
        if len(lost) == 0:
            fewer = max(2, self.best[k] // 3)
            self.next[k] = max(self.best[k] - fewer, self.failed[k] + 1)
            return
        last = lost[np.argmax(chains.counts[lost])]
        self.failed[k] = failed = chains.counts[last]
        strays = chains.cubic_misses_mm[chains.chain_of_cubic == last] > self.tolerance_mm
        growth = max(1, int(_STRAYING_SHARE * strays.sum()), failed // _LEAST_GROWTH)
        self.next[k] = min(failed + growth, self.best[k] - 1)
