"""The light around a tip of bare paper, and the tip that would look like it.

A tip is two straight sides and an arc that touches both, blurred by a Gaussian. Where its sides
meet, how round it is and how dark its ink are found by least squares over all the light around it
(D. W. Marquardt, "An Algorithm for Least-Squares Estimation of Nonlinear Parameters", J. SIAM 11
(1963) 431). Lengths here are in standard deviations of the blur, unless they say px.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from applique.trace.light import Light

_REACH_BACK, _REACH_IN, _REACH_ACROSS = 6.5, 14.0, 8.5
_BESIDE = 3.5
_SAMPLED = 1.0
"""Light is compared from so far out in the ink to so far in along the tip, and to either side;
nowhere further into the ink beside the tip than the fourth; at points at the last distance."""

_FROM_FAR_EDGE, _LEAST_INK = 2.0, 3.0
"""Nor so near to the ink's far edge that paper beyond it shows through the blur; but so far into
the ink at least, or else its level would not be seen."""

_FINE, _TAIL = 0.4, 3.5
_WITHIN = _FINE * (np.arange(8) - 3.5) / 8
"""Blur along the tip is summed up in such steps, as far as a Gaussian reaches; a tip's width is
averaged over each, or else an arc shorter than a step would not show."""

_NOISE = 0.03
"""The standard deviation of a marker's ink: streaks of a few hundredths of the paper's light."""

_MEETING_STRAY, _ANGLE_STRAY, _LEVEL_STRAY = 1.0, 0.05, 0.05
"""How far, usually, a side lies from where it was seen beyond the blur, half the sides' angle in
radians from that seen there, and the levels of ink and paper from those around."""

HALF_OF_A_SLIT = 0.674
"""In a wedge of bare paper the light falls to one half where it is twice this wide (the normal
distribution's upper quartile)."""

_RADII = (0.4, 0.8, 1.5, 2.5, 4.0, 6.0)
"""The search starts from the best of tips that are nearly sharp to quite round."""

_ROUNDS, _SETTLED, _STEP = 20, 3e-3, 1e-3
_LEAST_SCALE = 1e-6

MEETING, ASIDE, HALF_ANGLE, RADIUS, INK, PAPER = range(6)
"""The numbers (6,) of a tip: where its sides meet, inward and to the left of it; half the angle
between them, in radians; the radius of the arc; the levels of ink and paper, as shares of the
paper's light."""

_LEAST = np.array([-np.inf, -np.inf, 0.08, 0.1, 0.0, 0.85])
_MOST = np.array([np.inf, np.inf, 1.45, 25.0, 0.9, 1.15])
_TOLD = [MEETING, ASIDE, HALF_ANGLE, INK, PAPER]
_STRAYS = np.array([_MEETING_STRAY, _MEETING_STRAY, _ANGLE_STRAY, _LEVEL_STRAY, _LEVEL_STRAY])


@dataclass(frozen=True, eq=False)
class TipLight:
    """The light around a tip: its `share` (i, j) of the paper's at `inward` (i,) and `across` (j,)
    from about where the tip seems to end, and what `counts` of it. `weights` (i, k) blur what is at
    `fine` (k,). `usual` are the numbers (6,) of a sharp tip with the sides that were seen."""

    share: np.ndarray
    counts: np.ndarray
    inward: np.ndarray
    across: np.ndarray
    fine: np.ndarray
    weights: np.ndarray
    usual: np.ndarray

    @classmethod
    def around(
        cls,
        light: Light,
        place_px: np.ndarray,
        inward_px: np.ndarray,
        meeting: float,
        half_angle: float,
        pen: float,
    ) -> TipLight:
        """The light around a place (2,), where it falls to one half. `inward_px` (2,) leads into
        the tip and is as long as a standard deviation of the blur; the sides, with half so large an
        angle, were seen to meet `meeting` further in; the ink is as wide as the `pen`."""
        inward = np.arange(-_REACH_BACK, _REACH_IN + 1e-9, _SAMPLED)
        across = np.arange(-_REACH_ACROSS, _REACH_ACROSS + 1e-9, _SAMPLED)
        left_px = left_of(inward_px)
        places = place_px + inward[:, None, None] * inward_px + across[None, :, None] * left_px
        share = light.at(places) / light.of_paper(place_px[None])[0]
        counts = _telling(inward, across, half_angle, pen)
        fine = np.arange(inward[0] - _TAIL, inward[-1] + _TAIL, _FINE)
        weights = np.exp(-0.5 * (inward[:, None] - fine[None, :]) ** 2)
        weights /= weights.sum(axis=1, keepdims=True)
        ink = float(np.median(share[counts & (inward < -2)[:, None]]))
        usual = np.array([meeting, 0.0, half_angle, 0.0, ink, 1.0])
        return cls(share, counts, inward, across, fine, weights, usual)

    def fitted(self) -> np.ndarray:
        """The numbers (6,) of the tip that looks most like it."""
        starts = np.stack([self._start(radius) for radius in _RADII])
        costs = np.sum(self._residuals(starts) ** 2, axis=1)
        return self._fitted_from(starts[np.argmin(costs)])

    def stray(self, numbers: np.ndarray) -> float:
        """How far the light strays from that of a tip, on the root mean square."""
        apart = (self._light_of(numbers[None])[0] - self.share)[self.counts]
        return float(np.sqrt(np.mean(apart**2)))

    def _start(self, radius: float) -> np.ndarray:
        """The numbers (6,) of a tip of that radius that seems to end where this one does."""
        numbers = self.usual.copy()
        numbers[MEETING], numbers[RADIUS] = -_retreat(numbers[HALF_ANGLE], radius), radius
        return numbers

    def _fitted_from(self, best: np.ndarray) -> np.ndarray:
        """The numbers (6,) that steps downhill lead to from others."""
        residual, damping = self._residuals(best[None])[0], 1e-2
        slope = self._slope(best, residual)
        for _ in range(_ROUNDS):
            normal = slope.T @ slope
            scale = damping * np.diag(np.maximum(np.diag(normal), _LEAST_SCALE))
            step = np.linalg.solve(normal + scale, -slope.T @ residual)
            tried = np.clip(best + step, _LEAST, _MOST)
            left = self._residuals(tried[None])[0]
            if left @ left >= residual @ residual:
                damping *= 8
                continue
            moved = float(np.abs(tried - best).max())
            best, residual, damping = tried, left, damping / 5
            if moved < _SETTLED:
                break
            slope = self._slope(best, residual)
        return best

    def _slope(self, numbers: np.ndarray, residual: np.ndarray) -> np.ndarray:
        """How what is left (r,) changes with each of the numbers, (r, 6)."""
        nearby = self._residuals(numbers + _STEP * np.eye(len(numbers)))
        return (nearby - residual).T / _STEP

    def _residuals(self, numbers: np.ndarray) -> np.ndarray:
        """What sets of numbers (b, 6) leave of the light and of what is usual, (b, r), each against
        its standard deviation."""
        apart = (self._light_of(numbers) - self.share)[:, self.counts] / _NOISE
        usual = (numbers - self.usual)[:, _TOLD] / _STRAYS
        # Sides that run side by side tell where they lie, but hardly where they meet.
        usual[:, MEETING] *= math.tan(self.usual[HALF_ANGLE])
        return np.concatenate([apart, usual], axis=1)

    def _light_of(self, numbers: np.ndarray) -> np.ndarray:
        """The light (b, i, j) of tips with these numbers, (b, 6)."""
        aside, ink, paper = numbers.T[[ASIDE, INK, PAPER], :, None, None]
        half = self._half_widths(numbers)
        within = half > 0
        bare = np.zeros((*half.shape, len(self.across)))
        across = np.broadcast_to(self.across - aside, bare.shape)[within]
        ahead = half[within, None]
        bare[within] = _normal(ahead - across) - _normal(-ahead - across)
        return ink + (paper - ink) * (self.weights @ bare)

    def _half_widths(self, numbers: np.ndarray) -> np.ndarray:
        """Half the width of tips around the fine places, (b, k), on the mean over each; none before
        their apex."""
        meeting, half_angle, radius = numbers.T[[MEETING, HALF_ANGLE, RADIUS], :, None]
        middle = radius / np.sin(half_angle)
        place = (self.fine[:, None] + _WITHIN).ravel() - meeting
        in_arc = np.sqrt(np.maximum(radius**2 - (place - middle) ** 2, 0.0))
        beyond_arc = place > middle - radius * np.sin(half_angle)
        half = np.where(beyond_arc, place * np.tan(half_angle), in_arc)
        half = np.where(place > middle - radius, half, 0.0)
        return half.reshape(len(numbers), -1, len(_WITHIN)).mean(axis=2)


def _telling(inward: np.ndarray, across: np.ndarray, half_angle: float, pen: float) -> np.ndarray:
    """Which places inward (i,) and across (j,) tell of a tip, (i, j): its paper, and the ink around
    it as far as a pen of that width leaves no paper near."""
    inked = max(pen - _FROM_FAR_EDGE, _LEAST_INK)
    beside = min(_BESIDE, inked) + np.maximum(inward, 0) * math.tan(half_angle)
    off = np.hypot(inward[:, None], across[None, :])
    ahead = inward[:, None] >= 0
    return (np.abs(across)[None, :] < beside[:, None]) & (ahead | (off < inked))


def left_of(vector: np.ndarray) -> np.ndarray:
    """A vector (2,) turned by a right angle, to the left if y points up."""
    return np.array([-vector[1], vector[0]])


def _retreat(half_angle: float, radius: float) -> float:
    """About how far inward from where its sides meet the light of a tip falls to one half."""
    sharp = HALF_OF_A_SLIT / math.tan(half_angle)
    return max(sharp, radius * (1 / math.sin(half_angle) - 1) + 1 / (2 * radius + 1))


_GRAIN = np.linspace(-6.0, 6.0, 2401)
_CURVE = np.array([(1 + math.erf(x / math.sqrt(2))) / 2 for x in _GRAIN])


def _normal(x: np.ndarray) -> np.ndarray:
    """The normal distribution's share below x, from a table right to 1e-6."""
    return np.interp(x, _GRAIN, _CURVE)
