"""Where a sheet roughly lies in a photograph: bright quadrilaterals in a small copy of it.

Neither the paper nor the table has one brightness (the lamp, the lens and a hand's shadow see to
that), so no threshold parts the two. What holds everywhere is that the paper is brighter than the
table right beside it. Straight lines with the brighter side inward are gathered by voting (P. V. C.
Hough, US patent 3 069 654, 1962; voting along the gradient only: R. O. Duda and P. E. Hart, Comm.
ACM 15 (1972) 11), and of the quadrilaterals that four of them make the best kept is the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import cv2
import numpy as np

from applique.trace.light import LINEAR

_SMALL_PX = 640
"""The longer side of the small copy: a pen's line is some 4 pixels wide there, so that it can be
closed, and a sheet's side a few hundred long."""

_CLOSED_PX = 11
"""Dark marks narrower than this are filled: pen lines, numbers, and the grain of wood."""

_SMOOTH_PX = 1.2

_FLOOR = 0.02
"""Linear light that is added before taking logarithms, or noise in the dark would count as much as
the sheet's side."""

_STEP_GRADIENT = 0.28
"""A step of 1 is this steep, per pixel, after smoothing and shrinking (sigma about 1.4 pixels)."""

_LEAST_STEP = 0.11 * _STEP_GRADIENT
"""Steps under 12 % of the light are texture."""

_CLEAR_STEP = 0.7 * _STEP_GRADIENT
"""From paper twice as bright as the table a step counts in full: a black table is no better."""

_ANGLES = 180
"""Directions told apart when voting, 2 degrees each."""

_SPREAD = 2
"""A vote goes to so many directions on either side: a bowed side turns by 2 or 3 degrees."""

_SHIFT_PX = 2.0
"""The width of a class of lines of one direction."""

_LINES = 22
"""So many lines are kept; the four sides of two sheets and a dozen of the table's."""

_NEAR_PX = 4.0
"""A bowed side strays hardly further than this from its line in the small copy."""

_OUTSIDE = 0.35
"""Corners may lie outside the picture by this share of its longer side: the sheet is cut off."""

_SAMPLES = np.linspace(0.03, 0.97, 48)
_ASIDE = np.arange(-4.0, 4.1, 1.0)

LEAST_AREA = 0.02
"""A sheet takes up at least this share of the picture: at 6 pixels per millimetre even a postcard
does so in a photo of 12 megapixels."""

LEAST_SUPPORT = 0.5
"""The share of a clear step that a sheet has around it on average."""

_HALF_SUPPORT = 0.93
"""Each of two sheets stands out by this much where the two together make a quadrilateral."""

_LEAST_SIDE = 0.25
"""And on its faintest side."""


@dataclass(frozen=True, eq=False)
class Quad:
    """A bright quadrilateral: `corners_px` (4, 2) in pixels of the whole picture, clockwise as one
    sees it, from the upper left one; `support` from 0 to 1 is how clearly it stands out."""

    corners_px: np.ndarray
    support: float


def bright_quads(grey: np.ndarray) -> list[Quad]:
    """The bright quadrilaterals of a picture, (h, w) of uint8, that don't overlap, the one that
    stands out most first."""
    scale = max(1.0, max(grey.shape) / _SMALL_PX)
    light = np.log(_FLOOR + LINEAR[closed_copy(grey, scale)])
    smooth = cv2.GaussianBlur(light, (0, 0), _SMOOTH_PX)
    gradient = np.stack([cv2.Scharr(smooth, cv2.CV_32F, x, 1 - x) / 32 for x in (1, 0)], axis=-1)
    corners = _convex(_strong_lines(gradient), light.shape[::-1])
    support, area = _supports(corners, gradient), _areas(corners)
    worth = np.where(area > LEAST_AREA * light.size, support * area**0.25, 0)
    factors = np.array(grey.shape[::-1]) / light.shape[::-1]
    order = [i for i in np.argsort(-worth)[:400] if worth[i] > 0 and support[i] > LEAST_SUPPORT]
    found = [(_upright(corners[i]), float(support[i])) for i in order]
    kept = _picked(found)
    kept = _halves(kept[:1], found) + kept[1:]
    return [Quad(quad * factors, clear) for quad, clear in kept]


def closed_copy(grey: np.ndarray, scale: float) -> np.ndarray:
    """A picture reduced by `scale`, without its narrow dark marks."""
    size = (max(1, round(grey.shape[1] / scale)), max(1, round(grey.shape[0] / scale)))
    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (_CLOSED_PX, _CLOSED_PX))
    return cv2.morphologyEx(small, cv2.MORPH_CLOSE, disc)


def _strong_lines(gradient: np.ndarray) -> np.ndarray:
    """The lines (k, 3) with most of a step along them: a unit normal towards the brighter side,
    and how far from the origin it is along the normal."""
    size = np.hypot(gradient[..., 0], gradient[..., 1])
    rows, columns = np.nonzero(size > _LEAST_STEP)
    at = np.stack([columns, rows], axis=1) + 0.5
    pull = gradient[rows, columns]
    weight = np.minimum(size[rows, columns], _CLEAR_STEP)
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
        if not any(np.abs(line - known) @ (reach, reach, 1) < _NEAR_PX for known in lines):
            lines.append(line)
    return np.array(lines).reshape(-1, 3)


def _settled(line: np.ndarray, at: np.ndarray, pull: np.ndarray, weight: np.ndarray) -> np.ndarray:
    """A line moved to the middle of the pixels (n, 2) near it whose step faces as it does."""
    for _ in range(2):
        near = np.abs(at @ line[:2] - line[2]) < _NEAR_PX
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


def _convex(lines: np.ndarray, size: tuple[int, ...]) -> np.ndarray:
    """The corners (n, 4, 2) of all quadrilaterals with their inside on the bright side of four of
    the lines, in or not far outside a picture of `size` (width, height)."""
    facing = lines[:, :2] @ lines[:, :2].T
    pairs = [(i, j) for i, j in combinations(range(len(lines)), 2) if facing[i, j] < -0.7]
    sides = [
        (a, c, b, d)
        for (a, b), (c, d) in combinations(pairs, 2)
        if max(abs(facing[a, c]), abs(facing[a, d]), abs(facing[b, c]), abs(facing[b, d])) < 0.65
    ]
    chosen = lines[np.array(sides, int).reshape(-1, 4)]
    rays = np.concatenate([chosen[..., :2], -chosen[..., 2:]], axis=-1)
    met = np.cross(np.roll(rays, 1, axis=1), rays)
    corners = met[..., :2] / met[..., 2:]
    inside = np.einsum("nkx,nsx->nks", corners, chosen[..., :2]) > chosen[:, None, :, 2] - 1e-6
    near = np.abs(corners - np.array(size) / 2) < np.array(size) / 2 + _OUTSIDE * max(size)
    return corners[inside.all(axis=(1, 2)) & near.all(axis=(1, 2))]


def _supports(corners: np.ndarray, gradient: np.ndarray) -> np.ndarray:
    """How clear a step inward there is around quadrilaterals (n, 4, 2), from 0 to 1, (n,)."""
    height, width = gradient.shape[:2]
    along = np.roll(corners, -1, axis=1) - corners
    length = np.maximum(np.hypot(along[..., 0], along[..., 1]), 1e-9)
    normal = np.stack([-along[..., 1], along[..., 0]], -1) / length[..., None]
    centre = corners.mean(axis=1, keepdims=True)
    normal *= np.sign(np.sum((centre - corners) * normal, axis=-1))[..., None]
    places = corners[:, :, None] + _SAMPLES[:, None] * along[:, :, None]
    best = np.zeros(places.shape[:3], np.float32)
    for aside in _ASIDE:
        moved = (places + aside * normal[:, :, None]).astype(np.int32)
        x, y = np.clip(moved[..., 0], 0, width - 1), np.clip(moved[..., 1], 0, height - 1)
        step = gradient[y, x]
        rise = step[..., 0] * normal[:, :, None, 0] + step[..., 1] * normal[:, :, None, 1]
        np.maximum(best, rise, out=best)
    seen = ((places > 0) & (places < np.array([width, height]))).all(axis=-1)
    clear = np.minimum(best / _CLEAR_STEP, 1) * seen
    # What lies outside the picture says nothing, but a side mostly outside is no evidence either.
    side = clear.sum(axis=-1) / np.maximum(seen.sum(axis=-1), 0.5 * len(_SAMPLES))
    return np.where(side.min(axis=1) > _LEAST_SIDE, side.mean(axis=1), 0)


def _picked(found: list[tuple[np.ndarray, float]]) -> list[tuple[np.ndarray, float]]:
    """The first of the quadrilaterals found, and of the others those apart from all before."""
    kept: list[tuple[np.ndarray, float]] = []
    for quad, support in found:
        if all(_apart(quad, other) for other, _ in kept):
            kept.append((quad, support))
    return kept


def _halves(
    outer: list[tuple[np.ndarray, float]], found: list[tuple[np.ndarray, float]]
) -> list[tuple[np.ndarray, float]]:
    """What a quadrilateral is made of: two sheets side by side have an outline together."""
    within = []
    for quad, support in found:
        area, whole = _areas(np.stack([quad, outer[0][0]]))
        sized = support > _HALF_SUPPORT and 0.2 * whole < area < 0.75 * whole
        if sized and _shared(quad, outer[0][0]) > 0.95 * area:
            within.append((quad, support))
    return inner if len(inner := _picked(within)) > 1 else outer


def _areas(corners: np.ndarray) -> np.ndarray:
    """The areas (n,) of quadrilaterals (n, 4, 2)."""
    x, y = np.moveaxis(corners, -1, 0)
    return 0.5 * np.abs(np.sum(x * np.roll(y, -1, 1) - y * np.roll(x, -1, 1), axis=1))


def _shared(quad: np.ndarray, other: np.ndarray) -> float:
    """The area that two quadrilaterals share."""
    common, _ = cv2.intersectConvexConvex(quad.astype(np.float32), other.astype(np.float32))
    return float(common)


def _apart(quad: np.ndarray, other: np.ndarray) -> bool:
    """Whether two quadrilaterals share hardly any of the smaller one's area."""
    return _shared(quad, other) < 0.15 * float(_areas(np.stack([quad, other])).min())


def _upright(corners: np.ndarray) -> np.ndarray:
    """Corners (4, 2) clockwise as seen, starting so that the first side is the picture's top."""
    x, y = corners.T
    if np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) < 0:
        corners = corners[::-1]
    along = np.roll(corners, -1, axis=0) - corners
    rightward = along[:, 0] / np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    return np.roll(corners, -int(np.argmax(rightward)), axis=0)
