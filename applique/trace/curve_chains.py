"""Chains of cubics that settle onto lines, many at once.

The joints of a chain are free to move. Each has its place, one direction for both sides and two
handle lengths, so that a chain is smooth by build. It settles onto its line by damped Gauss-Newton
steps (Levenberg 1944, Marquardt 1963) on the distances of evenly spaced samples of its cubics,
measured along the line's normals (Wang, Pottmann and Liu, "Fitting B-spline curves to point clouds
by curvature-based squared distance minimization", 2006, call that tangent distance). What counts is
the square of the excess over a share of the tolerance; plain squares count a little besides, and
more once the chain keeps to its line, which draws it nearer on the whole.

All chains of a batch are stepped together: at a few hundred samples numpy's calls cost more than
their arithmetic.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from applique.trace.curve_lines import Lines, bernstein

_SAMPLE_MM = 0.4
_SAMPLES = (16, 48)
"""A cubic is measured this often along it, within these bounds: the shortest waves that the pen's
smoothed edge has are 1.5 mm long."""

_SHORTEST_HANDLE_MM = 0.1
"""Handles shorter than this make a joint that looks like a corner."""

_EASE = 0.02
_POLISHING_EASE = 0.5
"""What a square counts, as against the square of an excess: next to nothing until a chain keeps to
its line."""

_STALLING = 0.75
"""A step that leaves more than this share of the cost has got a chain nowhere."""

_POLISHING = 2
"""So many last rounds only draw nearer the chains that are done."""

_FIRST_DAMPING, _LEAST_DAMPING, _MOST_DAMPING = 1e-2, 1e-4, 1e6
_LESS_DAMPING, _MORE_DAMPING = 0.2, 8.0

_LONGEST_SLIP_MM = 5.0
"""The foot of a sample on its line moves by no more than this at a step."""

_OF_BEFORE, _OF_AFTER = [0, 1, 2, 4], [0, 1, 2, 3]
"""What a cubic takes of its joints' (x, y, direction, handle in, handle out)."""

Going = Callable[["Chains", int], bool]
"""Whether any chain of a batch is worth another step, after so many."""


class _Measured(NamedTuple):
    """What is known of cubics: of their samples (s, m) the places along the lines, the feet there,
    the lines' directions mirrored, and the signed distances; the directions at their ends (s,)."""

    places_mm: np.ndarray
    feet: np.ndarray
    mirrored: np.ndarray
    leaving: np.ndarray
    arriving: np.ndarray
    off_mm: np.ndarray


class Chains:
    """A batch of chains: chain b lays `counts[b]` cubics along line `line[b]`, its joints shifted
    along a closed line by `shift[b]` cubics.

    `joints` (j, 5) holds x, y, direction and the handles in and out of every joint. Of each chain
    `misses_mm` (b,) tells how far it strays at most, `left` (b,) which share of its cost the last
    step left, and `stalled` (b,) how many steps in a row got it nowhere. `places_mm` (s, m) tells
    how far along the lines the feet of the cubics' samples are. The rest is bookkeeping: which
    chain, joints and line a cubic has, where its unknowns stand in its chain's normal equations.
    """

    def __init__(
        self, lines: Lines, line: np.ndarray, counts: np.ndarray, shift: np.ndarray, hinge_mm: float
    ) -> None:
        self.lines, self.line, self.counts, self._hinge_mm = lines, line, counts, hinge_mm
        self._size = size = counts + (not lines.closed)
        self.first_joint, self.first_cubic = np.cumsum(size) - size, np.cumsum(counts) - counts
        self._chain_of_joint = np.repeat(np.arange(len(size)), size)
        self.chain_of_cubic = of = np.repeat(np.arange(len(size)), counts)
        self._nth_joint = np.arange(size.sum()) - self.first_joint[self._chain_of_joint]
        self._nth_cubic = np.arange(len(of)) - self.first_cubic[of]
        self._nth_after = (self._nth_cubic + 1) % size[of]
        self._before = self.first_joint[of] + self._nth_cubic
        self._after = self.first_joint[of] + self._nth_after
        self._first = lines.first[line[of], None]
        self._steps = lines.steps[line[of], None]
        self._per_mm = 1 / lines.step_mm[line[of], None]
        self._number_unknowns()
        self._begin(shift)
        self._damping = np.full(len(counts), _FIRST_DAMPING)
        self.misses_mm = np.full(len(counts), np.inf)
        self.left, self.stalled = np.zeros(len(counts)), np.zeros(len(counts), dtype=int)

    def _number_unknowns(self) -> None:
        of = self._chain_of_joint
        width = self._width = 5 * int(self._size.max())
        self._unknowns = (of * width + 5 * self._nth_joint)[:, None] + np.arange(5)
        self._fixed = np.ones(len(self._size) * width, dtype=bool)
        self._fixed[self._unknowns] = False
        if not self.lines.closed:
            # The ends of an open line are given, and have one handle each.
            start, stop = self.first_joint, self.first_joint + self._size - 1
            self._fixed[self._unknowns[start][:, [0, 1, 3]]] = True
            self._fixed[self._unknowns[stop][:, [0, 1, 4]]] = True
        before, after = self._unknowns[self._before], self._unknowns[self._after]
        rows = np.hstack([before[:, _OF_BEFORE], after[:, _OF_AFTER]])
        fixed = self._fixed[rows]
        # What belongs to no unknown is added up beyond the end.
        whole = self._whole = len(self._size) * width * width
        matrix = rows[:, :, None] * width + (rows % width)[:, None, :]
        self._in_matrix = np.where(fixed[:, :, None] | fixed[:, None, :], whole, matrix).ravel()
        self._in_vector = np.where(fixed, len(self._fixed), rows).ravel()

    def _begin(self, shift: np.ndarray) -> None:
        """Lay the joints evenly along the lines."""
        of = self._chain_of_joint
        apart = self.lines.lengths_mm[self.line] / self.counts
        place_mm = (self._nth_joint + shift[of]) * apart[of]
        place, direction = self.lines.met(self.line[of], place_mm)
        third = apart[of] / 3
        self.joints = np.stack([place.real, place.imag, direction, third, third], axis=1)
        self._shortest = np.minimum(_SHORTEST_HANDLE_MM, apart / 10)[of, None]
        samples = int(np.clip(np.ceil(apart.max() / _SAMPLE_MM), *_SAMPLES))
        t = (np.arange(samples) + 0.5) / samples
        self._weights = bernstein(t)
        self._mixing = self._weights.astype(complex)
        start = (self._nth_cubic + shift[self.chain_of_cubic])[:, None]
        self.places_mm = (start + t) * apart[self.chain_of_cubic, None]

    def controls(self) -> np.ndarray:
        """The control points of all cubics, (s, 4) complex."""
        return self._controls(self.joints)[0]

    def _controls(self, joints: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """The control points, and the directions at which the cubics leave and arrive."""
        place, direction = joints[:, 0] + 1j * joints[:, 1], np.exp(1j * joints[:, 2])
        leaving, arriving = direction[self._before], direction[self._after]
        start, stop = place[self._before], place[self._after]
        second = start + joints[self._before, 4] * leaving
        third = stop - joints[self._after, 3] * arriving
        return np.stack([start, second, third, stop], axis=1), leaving, arriving

    def _looked_up(self, places_mm: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The lines' points at places (s, m), and their directions mirrored."""
        at = places_mm * self._per_mm
        if self.lines.closed:
            at %= self._steps
        else:
            at = np.minimum(np.maximum(at, 0.0), self._steps)
        index = np.minimum(at.astype(int), self._steps - 1)
        share = at - index
        index += self._first
        start, stop = self.lines.points[index], self.lines.points[index + 1]
        return start + share * (stop - start), self.lines.mirrored[index + (share > 0.5)]

    def _measured(
        self, joints: np.ndarray, places_mm: np.ndarray, feet: np.ndarray, mirrored: np.ndarray
    ) -> _Measured:
        """The chains with new joints measured; the samples' feet move on from where they were."""
        controls, leaving, arriving = self._controls(joints)
        samples = controls @ self._mixing
        slip = ((samples - feet) * mirrored).real
        places_mm = places_mm + np.minimum(np.maximum(slip, -_LONGEST_SLIP_MM), _LONGEST_SLIP_MM)
        feet, mirrored = self._looked_up(places_mm)
        off_mm = ((samples - feet) * mirrored).imag
        return _Measured(places_mm, feet, mirrored, leaving, arriving, off_mm)

    def settle(self, rounds: int, enough_mm: float, most_mm: float, going: Going) -> None:
        """Step the chains until none is `going` on, and a little more, or for so many rounds.

        Chains that stray by no more than `enough_mm` are drawn nearer on the whole, as long as they
        keep to `most_mm`.
        """
        known = self._measured(self.joints, self.places_mm, *self._looked_up(self.places_mm))
        sums, self.misses_mm = self._sums(known.off_mm)
        left = rounds
        while left > 0:
            if left > _POLISHING and not going(self, rounds - left):
                left = _POLISHING
            left -= 1
            ease = np.where(self.misses_mm <= enough_mm, _POLISHING_EASE, _EASE)
            joints = self._stepped(known, ease)
            new = self._measured(joints, *known[:3])
            new_sums, misses = self._sums(new.off_mm)
            cost, new_cost = sums[0] + ease * sums[1], new_sums[0] + ease * new_sums[1]
            self.left = new_cost / np.maximum(cost, 1e-300)
            self.stalled = np.where(self.left > _STALLING, self.stalled + 1, 0)
            worse = ~(new_cost < cost)
            worse |= (misses > most_mm) & (self.misses_mm <= most_mm)
            self._damping *= np.where(worse, _MORE_DAMPING, _LESS_DAMPING)
            self._damping = np.minimum(np.maximum(self._damping, _LEAST_DAMPING), _MOST_DAMPING)
            if worse.any():
                bad_cubics, bad_joints = worse[self.chain_of_cubic], worse[self._chain_of_joint]
                for after, before in zip(new, known, strict=True):
                    after[bad_cubics] = before[bad_cubics]
                joints[bad_joints] = self.joints[bad_joints]
                new_sums[:, worse], misses[worse] = sums[:, worse], self.misses_mm[worse]
            self.joints, known, sums, self.misses_mm = joints, new, new_sums, misses
        self.places_mm = known.places_mm
        self.cubic_misses_mm = np.abs(known.off_mm).max(axis=1)

    def _sums(self, off: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The sums (2, b) of each chain's squares beyond the hinge and of all its squares, and its
        greatest distance."""
        size = np.abs(off)
        excess = np.maximum(size - self._hinge_mm, 0.0)
        squares = np.stack([(excess * excess).sum(axis=1), (off * off).sum(axis=1)])
        return (
            np.add.reduceat(squares, self.first_cubic, axis=1),
            np.maximum.reduceat(size.max(axis=1), self.first_cubic),
        )

    def _stepped(self, known: _Measured, ease: np.ndarray) -> np.ndarray:
        """The joints after one damped Gauss-Newton step."""
        mirrored, off = known.mirrored, known.off_mm
        out, into = self.joints[self._before, 4, None], self.joints[self._after, 3, None]
        leaving = mirrored * known.leaving[:, None]
        arriving = mirrored * known.arriving[:, None]
        first, second = self._weights[1], self._weights[2]
        late, early = second + self._weights[3], first + self._weights[0]
        # How the distance of each sample changes with the cubic's eight unknowns.
        change = np.empty((len(off), 8, off.shape[1]))
        change[:, 0], change[:, 1] = early * mirrored.imag, early * mirrored.real
        change[:, 2], change[:, 3] = first * out * leaving.real, first * leaving.imag
        change[:, 4], change[:, 5] = late * mirrored.imag, late * mirrored.real
        change[:, 6], change[:, 7] = -second * into * arriving.real, -second * arriving.imag
        excess = np.maximum(np.abs(off) - self._hinge_mm, 0.0)
        ease = ease[self.chain_of_cubic, None]
        weighted = change * (ease + (excess > 0))[:, None]
        squares = weighted @ change.transpose(0, 2, 1)
        slopes = change @ (ease * off + np.copysign(excess, off))[:, :, None]
        chains, width = len(self.counts), self._width
        matrix = np.bincount(self._in_matrix, squares.ravel(), self._whole + 1)[:-1]
        matrix = matrix.reshape(chains, width, width)
        vector = np.bincount(self._in_vector, slopes.ravel(), chains * width + 1)[:-1]
        diagonal = np.einsum("bii->bi", matrix)
        level = diagonal + 1e-3 * (diagonal.sum(axis=1) / width)[:, None] + 1e-9
        # Unknowns that a chain doesn't have stay as they are.
        diagonal += self._damping[:, None] * level + self._fixed.reshape(chains, width)
        step = np.linalg.solve(matrix, vector.reshape(chains, width, 1)).ravel()
        joints = self.joints - step[self._unknowns]
        joints[:, 3:] = np.maximum(joints[:, 3:], self._shortest)
        return joints
