"""Photos for tests: a drawn page on a table, through a lens that is known.

The page's scan comes from `drawn`; what a lens does to it is reckoned pixel by pixel, in linear
light.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from tests.trace.drawn import WHITE, Colour, developed

_VALUES = np.arange(256) / 255
_LINEAR = np.where(_VALUES <= 0.04045, _VALUES / 12.92, ((_VALUES + 0.055) / 1.055) ** 2.4)


@dataclass(frozen=True, eq=False)
class Camera:
    """A photo of `size_px` (width, height) on which the corners of a sheet lie at `corners_px`
    (4, 2), clockwise from the upper left, before the lens moves a place that is r half diagonals
    off the middle away from it by `bow` r^2 of that. `table` is the table's light."""

    size_px: tuple[int, int]
    corners_px: np.ndarray
    bow: float = 0.0
    table: Colour = (0.16, 0.10, 0.06)
    blur_px: float = 0.7
    noise: float = 2.0
    seed: int = 1

    def straight(self) -> np.ndarray:
        """Where a straight lens would show what each pixel shows, (h, w, 2)."""
        width, height = self.size_px
        off = np.stack(np.meshgrid(np.arange(width), np.arange(height)), -1) + 0.5
        off -= np.array(self.size_px) / 2
        unbent = off
        for _ in range(5):
            away = (unbent**2).sum(-1, keepdims=True) / (np.hypot(width, height) / 2) ** 2
            unbent = off / (1 + self.bow * away)
        return unbent + np.array(self.size_px) / 2


def seen_from_above(
    size_mm: tuple[float, float],
    size_px: tuple[int, int],
    px_per_mm: float,
    tilt: tuple[float, float, float] = (4.0, -5.0, 1.0),
) -> np.ndarray:
    """The corners (4, 2) in a photo of a sheet in its middle, turned by degrees about the photo's
    x, y and z; the focal length is 0.8 of the diagonal."""
    turn, _ = cv2.Rodrigues(np.radians(tilt))
    focus = 0.8 * np.hypot(*size_px)
    corners = (np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) - 0.5) * size_mm
    there = np.column_stack([corners, np.zeros(4)]) @ turn.T + [0, 0, focus / px_per_mm]
    return there[:, :2] / there[:, 2:] * focus + np.array(size_px) / 2


def photographed(
    page: np.ndarray, camera: Camera, beside: tuple[np.ndarray, ...] = ()
) -> np.ndarray:
    """A photo (h, w, 3) of uint8 of a page's coloured scan on a grained table, and of bare sheets
    `beside` it, by their corners."""
    straight = camera.straight()
    light = np.ones((*straight.shape[:2], 3)) * camera.table
    grain = np.random.default_rng(camera.seed).normal(1, 0.08, (light.shape[0] // 4, 12))
    light *= cv2.resize(grain, camera.size_px, interpolation=cv2.INTER_CUBIC)[:, :, None]
    size = np.array(page.shape[1::-1], float)
    flat = (np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * size).astype(np.float32)
    for corners in (*beside, camera.corners_px):
        seen = corners.astype(np.float32)
        to_page = cv2.getPerspectiveTransform(seen, flat)
        place = cv2.perspectiveTransform(straight, to_page)
        finer = np.sqrt(cv2.contourArea(seen) / size.prod())
        deep = np.minimum(place, size - place).min(axis=2, keepdims=True) * finer
        light *= 1 - 0.5 * np.exp(np.minimum(deep, 0) / (0.006 * size.max()))
        shown = np.array(WHITE)
        if corners is camera.corners_px:
            x, y = (place - 0.5).astype(np.float32).transpose(2, 0, 1)
            shown = cv2.remap(
                _LINEAR[page], x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
            )
        light += np.clip(deep + 0.5, 0, 1) * (shown - light)
    return developed(light, camera.blur_px, camera.noise, camera.seed)
