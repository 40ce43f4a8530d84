"""How an edge goes on beyond the last of it that is seen."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

_NEAR_MM = (1.6, 1.0, 0.6)
_NEAR_STRAYS_MM = 0.06
"""How much of the edge tells how it goes on there: less where a corner lies in it, which no
parabola follows within the second. Less than the first is too short to tell a bend."""

_FAR_MM = (5.0, 3.5, 2.5, 1.6)
_FAR_STRAYS_MM = 0.1
"""How much of it tells the way of a whole side. A hand trembles once every few millimetres and by
about the second, so that in less of a side its own bend is lost in the hand's."""


@dataclass(frozen=True, eq=False)
class Flank:
    """Where what is seen of an edge ends, (x, y) mm, evened out; the unit vector in which it runs
    there; and its bend in radians a mm, to the left positive."""

    place: np.ndarray
    direction: np.ndarray
    bend: float

    def back(self) -> Flank:
        """The same edge, run the other way."""
        return replace(self, direction=-self.direction, bend=-self.bend)


def near_flank(run: np.ndarray) -> Flank:
    """How a run of an edge, (n, 2) mm, begins, by a parabola through its first part, or by a
    straight line if that is short."""
    for reach_mm in _NEAR_MM:
        near, parabola, strays = _fit(run, reach_mm)
        if len(near) < _FEWEST:
            return Flank(run[0], _unit(run[-1] - run[0]), 0.0)
        if strays < _NEAR_STRAYS_MM:
            break
    chord = _unit(near[-1] - near[0])
    if reach_mm < _NEAR_MM[0]:
        return Flank(near[0], chord, 0.0)
    flank = _flank(parabola)
    # A parabola through so little is sure of the middle, less so of the end: lean to the chord.
    return flank if flank.direction @ chord > 0.8 else replace(flank, direction=chord)


def far_flank(run: np.ndarray) -> Flank | None:
    """How the side that begins with a run of an edge, (n, 2) mm, leads up to it, by a parabola
    through as much of it as one follows; None if a corner lies too near."""
    for reach_mm in _FAR_MM:
        near, parabola, strays = _fit(run, reach_mm)
        if len(near) >= _FEWEST and strays < _FAR_STRAYS_MM:
            return _flank(parabola)
    return None


_FEWEST = 4
"""A parabola goes through any three points."""


def _fit(run: np.ndarray, reach_mm: float) -> tuple[np.ndarray, np.ndarray, float]:
    """The first part of a run, the parabola by arc length through it, (3, 2), and how far it strays
    from it at most."""
    arc = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(run, axis=0).T))])
    near = run[arc <= reach_mm]
    s = arc[: len(near)]
    terms = np.stack([np.ones_like(s), s, s * s], axis=1)
    parabola = np.linalg.lstsq(terms, near, rcond=None)[0]
    return near, parabola, float(np.hypot(*(terms @ parabola - near).T).max())


def _flank(parabola: np.ndarray) -> Flank:
    place, slope, half_bend = parabola
    direction = _unit(slope)
    return Flank(place, direction, 2 * _cross(direction, half_bend))


def _unit(way: np.ndarray) -> np.ndarray:
    return way / max(float(np.hypot(*way)), 1e-9)


def unexplained(leaving: Flank, arriving: Flank) -> float:
    """By how much an edge turns from one flank to the next, in radians, beyond what their own bends
    explain on the way."""
    turn = np.arctan2(
        _cross(leaving.direction, arriving.direction), leaving.direction @ arriving.direction
    )
    length = np.hypot(*(arriving.place - leaving.place))
    return float(turn - (leaving.bend + arriving.bend) / 2 * length)


def meeting(leaving: Flank, arriving: Flank) -> np.ndarray | None:
    """Where one flank, carried on, and the next, carried back, meet; None if they don't."""
    onward, backward = leaving.direction, -arriving.direction
    across = _cross(onward, backward)
    if abs(across) < 1e-6:
        return None
    way = arriving.place - leaving.place
    ahead = _cross(way, backward) / across
    back = _cross(way, onward) / across
    return leaving.place + ahead * onward if ahead > 0 and back > 0 else None


def _cross(first: np.ndarray, second: np.ndarray) -> float:
    """The sine of the turn from one direction to another, times their lengths."""
    return float(first[0] * second[1] - first[1] * second[0])
