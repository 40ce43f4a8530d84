"""The fewest cubic Bezier curves through a traced outline.

Between two corners an outline is one smooth line, and so is an outline without corners as a whole.
The number of cubics is found by trial (`curve_search`): chains of cubics with free, smooth joints
settle onto the line (`curve_chains`), and the smallest that keeps to it is taken (`curve_lines`).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from applique.geometry.fit import fit_line
from applique.trace.curve_search import fewest_on

TOLERANCE_MM = 0.05
"""Greatest distance between the curves and the line, either way."""

Segments = list[tuple[np.ndarray, bool]]
"""Cubics (4, 2) of mm in order, each with whether it is a straight line."""

_STRAIGHT = 0.5
"""A line that strays from its chord by no more than this share of the tolerance is straight."""


def fewest_cubics(
    section: np.ndarray, tolerance_mm: float = TOLERANCE_MM, closed: bool = False
) -> Segments:
    """The fewest cubics through one smooth line, (n, 2) mm.

    An open line's ends are hit exactly. A closed line repeats its first point at the end; its
    curves begin where it suits them, and join smoothly there too. A line with a corner inside is no
    task for smooth curves: it goes to `fit_line`.
    """
    return fewest_cubics_each([section], tolerance_mm, closed)[0]


def fewest_cubics_each(
    sections: Sequence[np.ndarray], tolerance_mm: float = TOLERANCE_MM, closed: bool = False
) -> list[Segments]:
    """The fewest cubics through each of several smooth lines, all open or all closed.

    The sections of an outline are best given together: that takes half the time of one by one.
    """
    whole = [None if closed else _straight(section, tolerance_mm) for section in sections]
    bent = [section for section, straight in zip(sections, whole, strict=True) if not straight]
    curved = iter(_curved(bent, tolerance_mm, closed))
    return [straight or next(curved) for straight in whole]


def _straight(section: np.ndarray, tolerance_mm: float) -> Segments | None:
    """One straight segment, if the line hardly strays from its chord and never goes back on it."""
    start, stop = section[0], section[-1]
    chord = stop - start
    length = float(np.hypot(*chord))
    if len(section) > 2:
        offsets = section - start
        along = offsets @ chord
        across = chord[0] * offsets[:, 1] - chord[1] * offsets[:, 0]
        strays = np.abs(across).max() > _STRAIGHT * tolerance_mm * length
        if length == 0 or strays or (along[1:] < along[:-1]).any():
            return None
    return [(np.array([start, start + chord / 3, stop - chord / 3, stop]), True)]


def _curved(sections: list[np.ndarray], tolerance_mm: float, closed: bool) -> list[Segments]:
    """The cubics through sections that are not straight."""
    if not sections:
        return []
    found = fewest_on(sections, tolerance_mm, closed)
    return [
        fit_line(section, tolerance_mm) if cubics is None else _segments(cubics, section, closed)
        for section, cubics in zip(sections, found, strict=True)
    ]


def _segments(cubics: np.ndarray, section: np.ndarray, closed: bool) -> Segments:
    """Cubics (s, 4) of complex numbers as segments; an open line's ends are its very own."""
    points = np.stack([cubics.real, cubics.imag], axis=2)
    if not closed:
        points[0, 0], points[-1, 3] = section[0], section[-1]
    return [(segment, False) for segment in points]
