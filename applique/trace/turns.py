"""Sharp turns of a line, told apart from bends and from a hand's tremor."""

from __future__ import annotations

import numpy as np

SPACING_MM = 0.1
"""Edges are looked at in points at this distance."""

_NEAR_MM = ((0.2, 1.0), (0.4, 1.2))
"""The direction on either side of a corner is taken between two places so far from it, whichever
pair shows it sharper: in a tip the light of both sides runs together over more than the first."""

_FAR_MM = (0.6, 2.0)
"""So far from it a corner still turns the line; what a tremor turns has been turned back there."""

_LEAST_DEGREES = 33.0
"""A smaller turn is a bend: a hand's tremor turns a line by up to ten degrees in a millimetre."""

_MOST_DEGREES = 165.0
"""A line that turns back on itself is no side of a template: a speck beside the line looks so."""

_ROUNDEST = 0.72
_SURELY_DEGREES = 70.0
"""A turn as even as this is a bend, unless it turns by more than the second: between the chords
that is as tight as a corner."""

TREMOR_MM = 0.02
"""By as much an edge may stray from the meeting point of its sides without being round."""

APART_MM = 1.25
"""Turns nearer to each other than this are one corner."""


def evenly(points: np.ndarray) -> np.ndarray:
    """A closed line, (n, 2) mm, with points at equal distances."""
    around = np.vstack([points, points[:1]])
    arc = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(around, axis=0).T))])
    count = max(16, round(arc[-1] / SPACING_MM))
    places = np.linspace(0, arc[-1], count, endpoint=False)
    return np.stack([np.interp(places, arc, axis) for axis in around.T], axis=1)


def sharp_turns(
    line: np.ndarray, sign: float, roundest_mm: float, tremor_mm: float = TREMOR_MM
) -> list[tuple[int, float]]:
    """Where an evenly spaced closed line turns sharply to one side, with the turn in radians. It
    strays from the meeting point of its sides by `tremor_mm` without being round."""
    near = [_turns(line, *between_mm, tremor_mm) for between_mm in _NEAR_MM]
    turns, radii, evenness = (np.stack(figures) for figures in zip(*near, strict=True))
    radius, roundness = radii.min(axis=0), evenness.min(axis=0)
    turn = np.take_along_axis(turns, radii.argmin(axis=0)[None], axis=0)[0]
    degrees, most = np.degrees(sign * turn), np.degrees(sign * turns).max(axis=0)
    lasting = np.degrees(sign * _turns(line, *_FAR_MM, tremor_mm)[0])
    meant = (degrees > _LEAST_DEGREES) & (degrees < _MOST_DEGREES)
    pointed = (roundness < _ROUNDEST) & (lasting > _LEAST_DEGREES) | (most > _SURELY_DEGREES)
    sharp = np.flatnonzero(meant & pointed & (radius < roundest_mm))
    rank = np.abs(turn[sharp]) * (1.5 - radius[sharp] / roundest_mm)
    chosen = _strongest(sharp, rank, len(line))
    return [(k, float(turn[k])) for k in chosen]


def _turns(
    line: np.ndarray, near_mm: float, far_mm: float, tremor_mm: float
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """By how much an evenly spaced closed line turns at each point, in radians, between chords
    from so near it to so far; the radius in mm of the arc that would lead from one to the other, as
    near to their meeting point as the line is; and that nearness against that of an even bend which
    turns as much between the chords: 1 for such a bend, 0 for a point."""
    guard = round(near_mm / SPACING_MM)
    far = guard + min(round((far_mm - near_mm) / SPACING_MM), len(line) // 8)
    before = np.roll(line, guard, axis=0) - np.roll(line, far, axis=0)
    after = np.roll(line, -far, axis=0) - np.roll(line, -guard, axis=0)
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.arctan2(cross, (before * after).sum(axis=1))
    way = np.roll(line, -guard, axis=0) - np.roll(line, guard, axis=0)
    safe = np.where(np.abs(cross) > 1e-9, cross, 1e-9)
    ahead = (way[:, 0] * after[:, 1] - way[:, 1] * after[:, 0]) / safe
    meeting = np.roll(line, guard, axis=0) + ahead[:, None] * before
    short = np.hypot(*(meeting - line).T)
    half = np.clip(np.abs(turn) / 2, 1e-3, 1.55)
    # An arc of radius r stays r (1 / cos(turn / 2) - 1) inside the corner of its tangents.
    radius = np.maximum(short - tremor_mm, 0) / (1 / np.cos(half) - 1)
    # An even bend, of radius m / half for chords whose middles lie m from it along the line.
    middle_mm, chord_mm = (guard + far) / 2 * SPACING_MM, (far - guard) * SPACING_MM
    bend = middle_mm / half
    inside = bend * (np.cos(chord_mm / 2 / bend) / np.cos(half) - 1)
    roundness = np.maximum(short - tremor_mm / 2, 0) / np.maximum(inside, 1e-6)
    return turn, radius, roundness


def _strongest(places: np.ndarray, rank: np.ndarray, count: int) -> list[int]:
    """Of places close to each other along a closed line the one that ranks highest."""
    chosen: list[int] = []
    for index in places[np.argsort(-rank, kind="stable")]:
        apart = [min((index - k) % count, (k - index) % count) for k in chosen]
        if all(gap * SPACING_MM > APART_MM for gap in apart):
            chosen.append(int(index))
    return chosen
