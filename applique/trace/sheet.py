"""A photograph of a sheet of paper becomes a flat page at true size.

The sheet's own size is the ruler. Its sides are located to a few hundredths of a pixel at hundreds
of places each, and a camera is fitted to them: where it stands and how much its lens bows straight
lines (`lens`). What the photo can't give is told in a sentence: see `Sighting`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import cv2
import numpy as np

from applique.papers import TOLD_APART_MM
from applique.trace import findings
from applique.trace.lens import (
    Frame,
    Lens,
    fitted_frame,
    homography,
    lens_of,
    mapped,
    page_doubt,
    resampled,
)
from applique.trace.light import LINEAR
from applique.trace.quads import Quad, bright_quads, closed_copy, shared_area
from applique.trace.sides import STATIONS, side_points

LEAST_PX_PER_MM = 6.0
"""Below this a pen's edge can't be located to a few hundredths of a millimetre."""

RIM_MM = 0.5
"""The flat page's outermost strip repeats the paper just inside: blur mixes the table into it."""

_LEAST_SHOWN = 0.25
"""A side must show along this share of its length."""

_WELL_SHOWN = 0.6
_FLAT_MM = 0.1
"""Sides that bend by less are as straight as a sheet on a table gets."""

_RING = 0.04
"""How far within the picture's border one looks for a table, as a share of its longer side:
beyond what a skewed scan shows of the scanner's lid."""

_DARK_RING = 0.4
"""Where this share of the ring is dark, it is a table."""


@dataclass(frozen=True, eq=False)
class Sheet:
    """A sheet of paper in a photograph.

    `page_mm` (width, height) as it lies in the picture; the `homography` (3, 3) maps millimetres
    of the page (x to the right, y down, from its upper left corner) to pixels of a straight
    picture, which the `lens` bends to those of the photograph; `corners_px` (4, 2) in the
    photograph, clockwise from the upper left; `rms_px` is how far measured points of the sides are
    off the fit; `bend_mm` is how far a side strays from straight; `remarks` are worth telling."""

    page_mm: tuple[float, float]
    homography: np.ndarray
    lens: Lens
    corners_px: np.ndarray
    rms_px: float
    bend_mm: float
    px_per_mm: float
    remarks: tuple[str, ...] = ()

    @property
    def bow(self) -> float:
        """The lens's radial coefficient, in units of half the picture's diagonal."""
        return self.lens.bow

    def to_pixels(self, page_mm: np.ndarray) -> np.ndarray:
        """Where points (n, 2) of the page are in the photograph."""
        return self.lens.bent(mapped(self.homography, page_mm))

    def to_page(self, pixels: np.ndarray) -> np.ndarray:
        """Where points (n, 2) of the photograph are on the page, in millimetres."""
        return mapped(np.linalg.inv(self.homography), self.lens.straightened(pixels))


@dataclass(frozen=True, eq=False)
class Sighting:
    """What a photograph gives: a sheet, or else the `fault` that says what is in the way and what
    to do about it."""

    sheet: Sheet | None = None
    fault: str | None = None


def look_for_sheet(
    grey: np.ndarray,
    paper_mm: tuple[float, float],
    papers_mm: Mapping[str, tuple[float, float]] = TOLD_APART_MM,
) -> Sighting:
    """The sheet of paper of size `paper_mm` in a photograph, (h, w) of uint8, or why there is none.
    `papers_mm` are papers, by name, that it may be instead."""
    quads = bright_quads(grey)
    if not quads:
        beyond = findings.open_sides(grey)
        return Sighting(fault=findings.cut_off(beyond) if beyond else findings.NO_SHEET)
    first, *others = quads
    if any(findings.is_second_sheet(grey, first, other) for other in others):
        return Sighting(fault=findings.TWO_SHEETS)
    beyond = findings.sides_beyond(first.corners_px, grey)
    if beyond:
        return Sighting(fault=findings.cut_off(beyond))
    return _measured(grey, first, paper_mm, papers_mm)


def shows_a_sheet(grey: np.ndarray) -> bool:
    """Whether a picture, (h, w) of uint8, is a photograph of a sheet on a darker table rather than
    a flat scan, which the paper fills. The sheet may yet be cut off or one of several."""
    picture = np.array([[0, 0], [grey.shape[1], 0], grey.shape[::-1], [0, grey.shape[0]]])
    for quad in bright_quads(grey)[:1]:
        if shared_area(quad.corners_px, picture) < (1 - findings.LEAST_TABLE) * grey.size:
            return True
    light = LINEAR[closed_copy(grey, max(1.0, max(grey.shape) / 320))]
    inset = round(_RING * max(light.shape))
    inner = light[inset : light.shape[0] - inset, inset : light.shape[1] - inset]
    if inner.size == 0:  # A strip so narrow shows no sheet.
        return False
    ring = np.concatenate([inner[0], inner[-1], inner[:, 0], inner[:, -1]])
    return bool(np.mean(ring < findings.DARK * np.quantile(light, 0.9)) > _DARK_RING)


def flattened(grey: np.ndarray, sheet: Sheet, mm_per_px: float = 25.4 / 300) -> np.ndarray:
    """The page that a photograph shows, (h, w) of uint8, at true size with square pixels of
    `mm_per_px`."""
    size = (round(sheet.page_mm[0] / mm_per_px), round(sheet.page_mm[1] / mm_per_px))
    to_straight = sheet.homography @ np.diag([mm_per_px, mm_per_px, 1.0])
    return resampled(grey, to_straight, sheet.lens, size, RIM_MM / mm_per_px)


def _measured(
    grey: np.ndarray,
    quad: Quad,
    paper_mm: tuple[float, float],
    papers_mm: Mapping[str, tuple[float, float]],
) -> Sighting:
    """The sheet that lies about where a quadrilateral is."""
    points = side_points(grey, quad.corners_px)
    side = np.repeat(np.arange(4), [len(p) for p in points])
    missing = _faint(np.bincount(side, minlength=4), _LEAST_SHOWN)
    if missing:
        return Sighting(fault=findings.faint_side(missing))
    lens = lens_of((grey.shape[1], grey.shape[0]))
    frame = fitted_frame(np.concatenate(points), side, quad.corners_px, lens)
    if frame is None:
        return Sighting(fault=findings.NO_SHEET)
    shown = np.bincount(side[frame.weight > 0], minlength=4)
    missing = _faint(shown, _LEAST_SHOWN)
    if missing:
        return Sighting(fault=findings.faint_side(missing))
    short, long = sorted(paper_mm)
    page = min(
        ((short, long), (long, short)), key=lambda p: page_doubt(frame.corners, frame.lens, p)
    )
    px_per_mm = float(np.sqrt(cv2.contourArea(frame.corners.astype(np.float32)) / (short * long)))
    if px_per_mm < LEAST_PX_PER_MM:
        return Sighting(fault=findings.too_small(px_per_mm, LEAST_PX_PER_MM))
    fault = findings.wrong_paper(frame, page, papers_mm)
    if fault:
        return Sighting(fault=fault)
    on_page = np.array([[0.0, 0.0], [page[0], 0.0], page, [0.0, page[1]]])
    bend_mm = _bend(frame, side) / px_per_mm
    sheet = Sheet(
        page,
        homography(on_page, frame.corners),
        frame.lens,
        frame.lens.bent(frame.corners),
        frame.rms_px,
        bend_mm,
        px_per_mm,
        _remarks(bend_mm, _faint(shown, _WELL_SHOWN)),
    )
    return Sighting(sheet)


def _faint(shown: np.ndarray, least: float) -> list[int]:
    """The sides that were measured at less than a share of their stations."""
    return [side for side in range(4) if shown[side] < least * len(STATIONS)]


def _bend(frame: Frame, side: np.ndarray) -> float:
    """How far the sides stray from straight, in pixels: the most that a run of points is off."""
    runs = [
        abs(float(np.median(run)))
        for number in range(4)
        for run in np.array_split(frame.off_px[(side == number) & (frame.weight > 0)], 12)
        if len(run) > 2
    ]
    return max(runs, default=0.0)


def _remarks(bend_mm: float, faint: list[int]) -> tuple[str, ...]:
    """What is worth telling about a sheet that was found."""
    remarks = [findings.bent(bend_mm)] if bend_mm > _FLAT_MM else []
    return (*remarks, findings.partly_shown(faint)) if faint else tuple(remarks)
