"""Strokes that lie along a drawn line: nothing of them sticks out, but the line is wider there.

A line grows wider and thinner by itself, slowly; where it does so at a step, and its near edge
steps or bulges into the shape by as much, a bar or a hair lies against its inside. A step of the
outline itself leaves the line as wide as it was, and in a notch, where any line is wider, the edge
turns.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from applique.trace.edge import outward, smoothed
from applique.trace.near_line import NearLine

_WIDER_MM = 0.28
_WIDER_PENS = 0.19
"""A line that is wider than usual by more than the greater of these is no longer its pen's own: a
hand and a pen's ink make it wider by less, and a line drawn anew for that would be worse."""

_STEP_PX = 1.0
_FURTHEST_PENS = 2.5
_EVERY = 2
"""Across a line its ink is followed so far, in such steps and from every so manieth pixel: a stroke
beside it is seldom wider than itself."""

_GRAIN_MM = 0.25
"""Widths are evened out over so much along the line."""

_SHORTEST_MM = 1.0
_SHORTEST_PENS = 1.0
"""What lies along a line does so for as long as the greater of these; a speck is shorter, and so is
the arc of a nib in a notch."""

_CLEAR_MM = 0.4
_FLANK_MM = 1.8
"""The edge before a step and after it is looked at between these distances: nearer to it the end of
the stroke is round."""

_BACK_MM = (0.0, 1.5, 3.0, 5.0)
"""The end of a bar may stand off from a hollow line for so long, a crevice between the two."""

_INTO_MM = (0.0, 0.8, 1.6, 3.0)
"""So far from its end a wide bar may still be round."""

_LONGEST_BULGE_MM = 10.0
_MOST_BULGE_TURN = np.radians(40.0)
"""Further than this, or past a greater turn, what is before and after does not tell the way."""

_MOST_TURN = np.radians(25.0)
"""An edge that turns by more from one side of a step to the other has a corner or a notch there."""

_BULGE_LIMITS = 1.5
"""A bulge has no step, so that it must be so much larger than what a pen does."""

_SHARE = 0.5
"""An edge that steps in by so much of what the line is wider has got all of it on this side, since
the hand has its share in a step as well."""

Window = tuple[float, float]
"""From where to where along a line, in mm."""

_FEWEST = 100
"""Shorter edges, in pixels, have no room for a step."""

_MOST_WIDE = 0.6
"""A line that is wider than usual for more of its way than this has no usual width."""


def lying_along(
    mask: np.ndarray, pixels: np.ndarray, seen: np.ndarray, mm_per_px: float, pen_px: float
) -> np.ndarray:
    """Where a stroke lies along the inside of a line, (n,) bool for the bare pixels along its near
    edge, (n, 2) columns and rows of the page, whose ink is `mask`. `seen` (n,) says where there is
    a line, as there is none in a gap; the pen is about `pen_px` wide."""
    nothing = np.zeros(len(pixels), bool)
    if len(pixels) < _FEWEST:
        return nothing
    inward = -outward(pixels)
    # The end of a line at a gap is round, and across it the ink goes on.
    clear = ~_widened(~seen, min(round(pen_px) + 1, len(pixels)))
    widths_px = smoothed(_widths(mask, pixels, inward, pen_px)[:, None], _GRAIN_MM / mm_per_px)
    width_mm = widths_px[:, 0] * mm_per_px
    usual_mm = float(np.median(width_mm))
    limit_mm = max(_WIDER_MM, _WIDER_PENS * usual_mm)
    excess = np.where(clear, width_mm - usual_mm, np.inf)
    wide = clear & (excess > limit_mm)
    if not wide.any() or wide.mean() > _MOST_WIDE:
        return nothing
    line = NearLine.of(pixels, inward, excess, mm_per_px)
    along = nothing.copy()
    shortest_mm = max(_SHORTEST_MM, _SHORTEST_PENS * usual_mm)
    for begin, length in _runs(wide & ~line.in_notches(usual_mm), line, shortest_mm):
        for window in _taken_up(line, begin, length, limit_mm):
            along[line.within(*window)] = True
    for begin, length in _runs(wide, line, shortest_mm):
        if length <= _LONGEST_BULGE_MM and _bulges_in(line, begin, begin + length, limit_mm):
            along[line.within(begin - _CLEAR_MM, begin + length + _CLEAR_MM)] = True
    return along


def _widened(flags: np.ndarray, by: int) -> np.ndarray:
    """A closed row of flags, each of them carried on by so many places to both sides."""
    count = np.cumsum(np.concatenate([flags[-by:], flags, flags[:by]]).astype(int))
    count = np.concatenate([[0], count])
    return count[2 * by + 1 :] > count[: -2 * by - 1]


def _widths(mask: np.ndarray, pixels: np.ndarray, inward: np.ndarray, pen_px: float) -> np.ndarray:
    """How far the ink goes behind each of some bare pixels along an edge, (n,) in pixels."""
    reach = np.arange(0, _FURTHEST_PENS * pen_px, _STEP_PX)
    looked_at = slice(None, None, _EVERY)
    places = pixels[looked_at, None, :] - reach[None, :, None] * inward[looked_at, None, :]
    columns, rows = np.rint(places).astype(np.int32).transpose(2, 0, 1)
    height, width = mask.shape
    inked = mask[np.clip(rows, 0, height - 1), np.clip(columns, 0, width - 1)] > 0
    begun = np.maximum.accumulate(inked, axis=1)
    ended = begun & ~inked
    last = np.where(ended.any(axis=1), ended.argmax(axis=1), len(reach))
    width_px = (last - inked.argmax(axis=1)) * _STEP_PX
    return np.repeat(width_px, _EVERY)[: len(pixels)]


def _runs(wide: np.ndarray, line: NearLine, shortest_mm: float) -> Iterator[tuple[float, float]]:
    """Where each long run of wide places begins along the line, and how long it is, in mm."""
    total = float(line.arc[-1])
    firsts = np.flatnonzero(wide & ~np.roll(wide, 1))
    lasts = np.flatnonzero(wide & ~np.roll(wide, -1))
    if len(firsts) and lasts[0] < firsts[0]:  # A run across the end.
        lasts = np.roll(lasts, -1)
    for first, last in zip(firsts, lasts, strict=True):
        length = float(line.arc[last] - line.arc[first]) % total
        if length >= shortest_mm:
            yield float(line.arc[first]), length


def _taken_up(
    line: NearLine, begin: float, length: float, limit_mm: float
) -> Iterator[tuple[float, float]]:
    """The windows along a line that a stroke takes up whose wide run begins at a place and is so
    long: one for each of its ends where the edge steps in."""
    for sign, at in ((1.0, begin), (-1.0, begin + length)):
        for back in _BACK_MM:
            beside = _ordered(at - sign * back, -sign)
            if any(
                _steps_in(line, beside, _ordered(at + sign * into, sign), limit_mm)
                for into in _INTO_MM
                if into == 0 or into + _FLANK_MM <= length
            ):
                yield _hull(at - sign * (back + _CLEAR_MM), at + sign * length)
                break


def _ordered(at: float, sign: float) -> Window:
    """The window of a flank that leads on from a place, ahead or, with -1, back."""
    return _hull(at + sign * _CLEAR_MM, at + sign * _FLANK_MM)


def _hull(first: float, second: float) -> Window:
    return min(first, second), max(first, second)


def _steps_in(line: NearLine, beside: Window, within: Window, limit_mm: float) -> bool:
    """Whether the edge lies further in within a window than beside it, by what the line is wider
    there."""
    outside, inside = line.within(*beside), line.within(*within)
    if not line.is_usual(outside, limit_mm):
        return False
    first, second = (_direction(line.points[part]) for part in (outside, inside))
    if first @ second < np.cos(_MOST_TURN):
        return False
    # Along an arc the way from place to place runs in the mean of both directions.
    across = line.inward_across(first + second, outside)
    way = line.points[inside].mean(axis=0) - line.points[outside].mean(axis=0)
    wider = float(np.median(line.excess[inside]) - np.median(line.excess[outside]))
    further_in = float(way @ across)
    stepping = wider > limit_mm and line.steps(outside, inside, limit_mm)
    return stepping and further_in > _SHARE * wider


def _bulges_in(line: NearLine, begin: float, end: float, limit_mm: float) -> bool:
    """Whether the edge lies further in between two places than the way from what is before them to
    what is after, by what the line is wider there."""
    before, after = line.within(*_ordered(begin, -1.0)), line.within(*_ordered(end, 1.0))
    if not (line.is_usual(before, limit_mm) and line.is_usual(after, limit_mm)):
        return False
    leaving, arriving = _direction(line.points[before]), _direction(line.points[after])
    if leaving @ arriving < np.cos(_MOST_BULGE_TURN):
        return False
    start, stop = line.points[before].mean(axis=0), line.points[after].mean(axis=0)
    course = _course(start, leaving, stop, arriving)
    inside = line.within(begin, end)
    apart = line.points[inside][:, None] - course[None]
    nearest = np.argmin((apart**2).sum(axis=2), axis=1)
    across = apart[np.arange(len(inside)), nearest]
    further_in = (across * line.inward[inside]).sum(axis=1)
    most = int(np.argmax(further_in))
    wider = float(line.excess[inside[most]])
    least = _BULGE_LIMITS * limit_mm
    return wider > least and float(further_in[most]) > max(limit_mm, _SHARE * wider)


def _course(
    start: np.ndarray, leaving: np.ndarray, stop: np.ndarray, arriving: np.ndarray
) -> np.ndarray:
    """Points (n, 2) of the cubic from one place and direction to another."""
    reach = float(np.hypot(*(stop - start))) / 3
    first, second = start + reach * leaving, stop - reach * arriving
    t = np.linspace(0, 1, _COURSE_POINTS)[:, None]
    s = 1 - t
    return s**3 * start + 3 * s * s * t * first + 3 * s * t * t * second + t**3 * stop


_COURSE_POINTS = 50


def _direction(points: np.ndarray) -> np.ndarray:
    way = points[-1] - points[0]
    return way / max(float(np.hypot(*way)), 1e-9)
