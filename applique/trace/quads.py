"""Where a sheet roughly lies in a photograph: bright quadrilaterals in a small copy of it.

Neither the paper nor the table has one brightness (the lamp, the lens and a hand's shadow see to
that), so no threshold parts the two. What holds everywhere is that the paper is brighter than the
table right beside it, and that its sides end at its corners. Of the quadrilaterals that four
straight lines make (`straight`), the one that has this best is the sheet.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import cv2
import numpy as np
import shapely

from applique.trace.light import LINEAR
from applique.trace.straight import CLEAR_STEP, NEAR_PX, strong_lines

_SMALL_PX = 640
"""The longer side of the small copy: a pen's line is some 4 pixels wide there, so that it can be
closed, and a sheet's side a few hundred long."""

_CLOSED_PX = 11
"""Dark marks narrower than this are filled: pen lines, numbers, and the grain of wood."""

_OPENED_PX = 3
"""Bright marks narrower than this are taken away: the lines of a cutting mat."""

_SMOOTH_PX = 1.2

_FLOOR = 0.02
"""Linear light that is added before taking logarithms, or noise in the dark would count as much as
the sheet's side."""

_OUTSIDE = 0.35
"""Corners may lie outside the picture by this share of its longer side: the sheet is cut off."""

_SAMPLES = np.linspace(0.03, 0.97, 48)
_ASIDE = np.arange(-4.0, 4.1, 1.0)

_END_PX = np.arange(5.0, 15.0, 1.0)
"""Whether a side ends is seen so far from its corner: nearer, the corner's own blur is."""

_UNSEEN_ENDS = 0.25
"""A side that leaves the picture is little evidence of a corner."""

_LEAST_ENDS = 0.1
"""A sheet whose sides seem to go on everywhere isn't worthless yet."""

LEAST_AREA = 0.02
"""A sheet takes up at least this share of the picture: at 6 pixels per millimetre even a postcard
does so in a photo of 12 megapixels."""

LEAST_SUPPORT = 0.5
"""The share of a clear step that a sheet has around it on average."""

_LEAST_SIDE = 0.25
"""And on its faintest side."""

_HALF_SUPPORT = 0.93
"""Each of two sheets stands out by this much where the two together make a quadrilateral."""


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
    light = np.log(_FLOOR + LINEAR[closed_copy(grey, scale, _OPENED_PX)])
    smooth = cv2.GaussianBlur(light, (0, 0), _SMOOTH_PX)
    gradient = np.stack([cv2.Scharr(smooth, cv2.CV_32F, x, 1 - x) / 32 for x in (1, 0)], axis=-1)
    corners = _convex(strong_lines(gradient), light.shape[::-1])
    support, area = _supports(corners, gradient), _areas(np.clip(corners, 0, light.shape[::-1]))
    ends = _ends(corners, gradient)
    worth = np.where(area > LEAST_AREA * light.size, support * ends * area**0.25, 0)
    factors = np.array(grey.shape[::-1]) / light.shape[::-1]
    order = [i for i in np.argsort(-worth)[:400] if worth[i] > 0 and support[i] > LEAST_SUPPORT]
    found = [(_upright(corners[i]), float(support[i])) for i in order]
    kept = _picked(found)
    kept = _halves(kept[:1], found, gradient) + kept[1:]
    return [Quad(quad * factors, clear) for quad, clear in kept]


def closed_copy(grey: np.ndarray, scale: float, opened_px: int = 1) -> np.ndarray:
    """A picture reduced by `scale`, without its bright marks narrower than `opened_px` and then
    without its narrow dark ones."""
    size = (max(1, round(grey.shape[1] / scale)), max(1, round(grey.shape[0] / scale)))
    small = cv2.resize(grey, size, interpolation=cv2.INTER_AREA)
    for operation, width in ((cv2.MORPH_OPEN, opened_px), (cv2.MORPH_CLOSE, _CLOSED_PX)):
        disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (width, width))
        small = cv2.morphologyEx(small, operation, disc)
    return small


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
    along, inward = _directions(corners)
    places = corners[:, :, None] + _SAMPLES[:, None] * along[:, :, None]
    seen = _seen(places, gradient)
    clear = _clear_steps(places, inward[:, :, None], gradient) * seen
    # What lies outside the picture says nothing, but a side mostly outside is no evidence either.
    side = clear.sum(axis=-1) / np.maximum(seen.sum(axis=-1), 0.5 * len(_SAMPLES))
    return np.where(side.min(axis=1) > _LEAST_SIDE, side.mean(axis=1), 0)


def _ends(corners: np.ndarray, gradient: np.ndarray) -> np.ndarray:
    """How far the sides of quadrilaterals (n, 4, 2) end at their corners, from 0 to 1, (n,). Where
    a stripe of the table is taken for a side, two sides end before they reach it; where a ruler on
    the sheet is, they go on behind it."""
    along, inward = _directions(corners)
    onward = along / np.maximum(np.linalg.norm(along, axis=-1, keepdims=True), 1e-9)
    clear = []
    for way in (_END_PX, -_END_PX):  # within, then beyond
        from_start = corners[:, :, None] + way[:, None] * onward[:, :, None]
        from_end = np.roll(corners, -1, axis=1)[:, :, None] - way[:, None] * onward[:, :, None]
        places = np.concatenate([from_start, from_end], axis=2)
        steps = _clear_steps(places, inward[:, :, None], gradient)
        unseen = _UNSEEN_ENDS if way[0] > 0 else 0.0
        clear.append(np.where(_seen(places, gradient), steps, unseen).mean(axis=(1, 2)))
    return np.maximum(clear[0] - clear[1], _LEAST_ENDS)


def _directions(corners: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The sides of quadrilaterals (n, 4, 2), and their unit normals inward."""
    along = np.roll(corners, -1, axis=1) - corners
    length = np.maximum(np.linalg.norm(along, axis=-1, keepdims=True), 1e-9)
    normal = np.stack([-along[..., 1], along[..., 0]], -1) / length
    centre = corners.mean(axis=1, keepdims=True)
    return along, normal * np.sign(np.sum((centre - corners) * normal, axis=-1))[..., None]


def _seen(places: np.ndarray, gradient: np.ndarray) -> np.ndarray:
    """Which places (..., 2) are in the picture."""
    return np.all((places > 0) & (places < gradient.shape[1::-1]), axis=-1)


def _clear_steps(places: np.ndarray, inward: np.ndarray, gradient: np.ndarray) -> np.ndarray:
    """How clear a step in a direction (..., 2) there is beside places (..., 2), from 0 to 1."""
    height, width = gradient.shape[:2]
    best = np.zeros(places.shape[:-1], np.float32)
    for aside in _ASIDE:
        moved = (places + aside * inward).astype(np.int32)
        x, y = np.clip(moved[..., 0], 0, width - 1), np.clip(moved[..., 1], 0, height - 1)
        step = gradient[y, x]
        np.maximum(best, step[..., 0] * inward[..., 0] + step[..., 1] * inward[..., 1], out=best)
    return np.minimum(best / CLEAR_STEP, 1)


def _picked(found: list[tuple[np.ndarray, float]]) -> list[tuple[np.ndarray, float]]:
    """The first of the quadrilaterals found, and of the others those apart from all before."""
    kept: list[tuple[np.ndarray, float]] = []
    for quad, support in found:
        if all(_apart(quad, other) for other, _ in kept):
            kept.append((quad, support))
    return kept


def _halves(
    outer: list[tuple[np.ndarray, float]],
    found: list[tuple[np.ndarray, float]],
    gradient: np.ndarray,
) -> list[tuple[np.ndarray, float]]:
    """What a quadrilateral is made of: two sheets side by side have an outline together."""
    within = []
    for quad, support in found:
        area, whole = _areas(np.stack([quad, outer[0][0]]))
        sized = support > _HALF_SUPPORT and 0.2 * whole < area < 0.75 * whole
        if sized and shared_area(quad, outer[0][0]) > 0.95 * area:
            within.append((quad, support))
    inner = _picked(within)
    if len(inner) < 2 or _goes_on_between(outer[0][0], [quad for quad, _ in inner], gradient):
        return outer
    return inner


def _goes_on_between(outer: np.ndarray, inner: list[np.ndarray], gradient: np.ndarray) -> bool:
    """Whether the sides of a quadrilateral show between those within it as well: a narrow shadow
    lies across one sheet. Between two sheets there is table inside and outside."""
    (along,), (inward,) = _directions(outer[None])
    places = outer[:, None] + np.linspace(0, 1, 400)[:, None] * along[:, None]
    away = shapely.distance(shapely.multipolygons(shapely.polygons(inner)), shapely.points(places))
    between = away > NEAR_PX
    steps = _clear_steps(places, inward[:, None], gradient)[between]
    return bool(between.any() and np.median(steps) > _LEAST_SIDE)


def _areas(corners: np.ndarray) -> np.ndarray:
    """The areas (n,) of quadrilaterals (n, 4, 2)."""
    x, y = np.moveaxis(corners, -1, 0)
    return 0.5 * np.abs(np.sum(x * np.roll(y, -1, 1) - y * np.roll(x, -1, 1), axis=1))


def shared_area(quad: np.ndarray, other: np.ndarray) -> float:
    """The area that two convex quadrilaterals (4, 2) share."""
    # OpenCV's intersectConvexConvex fails, and gives -1, for some whose sides nearly coincide.
    return float(
        shapely.area(shapely.intersection(shapely.polygons(quad), shapely.polygons(other)))
    )


def _apart(quad: np.ndarray, other: np.ndarray) -> bool:
    """Whether two quadrilaterals share hardly any of the smaller one's area."""
    return shared_area(quad, other) < 0.15 * float(_areas(np.stack([quad, other])).min())


def _upright(corners: np.ndarray) -> np.ndarray:
    """Corners (4, 2) clockwise as seen, starting so that the first side is the picture's top."""
    x, y = corners.T
    if np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) < 0:
        corners = corners[::-1]
    along = np.roll(corners, -1, axis=0) - corners
    rightward = along[:, 0] / np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)
    return np.roll(corners, -int(np.argmax(rightward)), axis=0)
