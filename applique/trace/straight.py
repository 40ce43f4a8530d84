"""Straight steps of light in the small copy of a picture: lines with a brighter side.

They are gathered by voting (P. V. C. Hough, US patent 3 069 654, 1962; voting along the gradient
only: R. O. Duda and P. E. Hart, Comm. ACM 15 (1972) 11), and each is then moved to where its step
is.
"""

from __future__ import annotations

import cv2
import numpy as np

_STEP_GRADIENT = 0.28
"""A step of 1 is this steep, per pixel, after smoothing and shrinking (sigma about 1.4 pixels)."""

_LEAST_STEP = 0.11 * _STEP_GRADIENT
"""Steps under 12 % of the light are texture."""

CLEAR_STEP = 0.7 * _STEP_GRADIENT
"""From paper twice as bright as the table a step counts in full: a black table is no better."""

_ANGLES = 180
"""Directions told apart when voting, 2 degrees each."""

_SPREAD = 2
"""A vote goes to so many directions on either side: a bowed side turns by 2 or 3 degrees."""

_SHIFT_PX = 2.0
"""The width of a class of lines of one direction."""

_LINES = 22
"""So many lines are kept; the four sides of two sheets and a dozen of the table's."""

NEAR_PX = 4.0
"""A bowed side strays hardly further than this from its line in the small copy."""

_SETTLINGS = 4
"""A direction is known to 2 degrees, so that a long side is near its line in part only at first:
after 2 settlings a corner is off by up to 5 pixels, after 4 by less than 1, after 8 no better."""


def strong_lines(gradient: np.ndarray) -> np.ndarray:
    """The lines (k, 3) with most of a step along them: a unit normal towards the brighter side,
    and how far from the origin it is along the normal."""
    size = np.hypot(gradient[..., 0], gradient[..., 1])
    rows, columns = np.nonzero(size > _LEAST_STEP)
    at = np.stack([columns, rows], axis=1) + 0.5
    pull = gradient[rows, columns]
    weight = np.minimum(size[rows, columns], CLEAR_STEP)
    turn = np.arctan2(pull[:, 1], pull[:, 0])
    reach = float(np.hypot(*gradient.shape[:2])) + 2 * _SHIFT_PX
    shifts = int(2 * reach / _SHIFT_PX) + 1
    votes = np.zeros(_ANGLES * shifts)
    middle = np.round(turn / (2 * np.pi) * _ANGLES).astype(int)
    for extra in range(-_SPREAD, _SPREAD + 1):
        angle = (middle + extra) % _ANGLES
        facing = angle * (2 * np.pi / _ANGLES)
        shift = at[:, 0] * np.cos(facing) + at[:, 1] * np.sin(facing)
        cell = angle * shifts + ((shift + reach) / _SHIFT_PX).astype(int)
        votes += np.bincount(cell, weight, len(votes))
    grid = cv2.GaussianBlur(votes.reshape(_ANGLES, shifts), (0, 0), 1.0)
    lines: list[np.ndarray] = []
    for _ in range(_LINES):
        angle, place = np.unravel_index(int(np.argmax(grid)), grid.shape)
        if grid[angle, place] <= 0:
            break
        around = np.arange(angle - 3, angle + 4) % _ANGLES
        grid[around, max(0, place - 4) : place + 5] = 0
        facing, shift = angle * (2 * np.pi / _ANGLES), (place + 0.5) * _SHIFT_PX - reach
        line = _settled(np.array([np.cos(facing), np.sin(facing), shift]), at, pull, weight)
        if not any(np.abs(line - known) @ (reach, reach, 1) < NEAR_PX for known in lines):
            lines.append(line)
    return np.array(lines).reshape(-1, 3)


def _settled(line: np.ndarray, at: np.ndarray, pull: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """A line moved to the middle of the pixels (n, 2) near it whose step faces as it does."""
    for _ in range(_SETTLINGS):
        near = np.abs(at @ line[:2] - line[2]) < NEAR_PX
        near &= pull @ line[:2] > 0.95 * np.hypot(pull[:, 0], pull[:, 1])
        if np.count_nonzero(near) < 20:
            break
        points, mass = at[near], weight[near]
        centre = (mass @ points) / mass.sum()
        spread = (points - centre).T @ ((points - centre) * mass[:, None])
        normal = np.linalg.eigh(spread)[1][:, 0]
        normal *= np.sign(normal @ line[:2]) or 1.0
        line = np.array([*normal, normal @ centre])
    return line
