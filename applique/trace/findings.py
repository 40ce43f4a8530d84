"""What is in the way of a page from a photograph, and the sentences that tell so: what was found
and what to do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import cv2
import numpy as np

from applique.trace.lens import Frame, page_doubt
from applique.trace.light import LINEAR
from applique.trace.quads import Quad, closed_copy

_MARGIN_PX = 4.0
"""A corner closer to the picture's border counts as cut off: there is no table to tell it from."""

_OTHER_AREA = 0.3
_OTHER_LIGHT = 0.6
"""Another quadrilateral is a second sheet if it has this share of the first one's area and light;
an envelope or a phone beside the sheet is smaller or darker."""

_DOUBTED = 4.0
_BETTER = 3.0
"""A paper is not the one given if it would be so many standard deviations off, or if another is
this much likelier (difference of the squares). In 2 of 100 photos, tilted about just one side, A4
and Letter stay closer than that."""

LEAST_TABLE = 0.08
"""A photo of a sheet shows at least this share of table; a scan skewed by 3 degrees has less beyond
the paper."""

DARK = 0.55
"""A table is darker than this share of the paper's light, where no side of a sheet tells."""

NO_SHEET = (
    "No sheet of paper stands out in the photo. Lay the sheet on a table that is clearly darker "
    "than the paper, and take the photo so that all four of its sides show."
)

TWO_SHEETS = (
    "The photo shows more than one sheet of paper. Clear the others away and photograph one sheet "
    "at a time."
)

SIDES = ("top", "right", "bottom", "left")
"""The sides of a picture, and of a sheet in it, in the order in which corners are counted."""


def is_second_sheet(grey: np.ndarray, first: Quad, other: Quad) -> bool:
    """Whether a quadrilateral is as large and as bright as a sheet beside another."""
    areas = [cv2.contourArea(q.corners_px.astype(np.float32)) for q in (first, other)]
    lights = [_light_within(grey, q) for q in (first, other)]
    return areas[1] > _OTHER_AREA * areas[0] and lights[1] > _OTHER_LIGHT * lights[0]


def _light_within(grey: np.ndarray, quad: Quad) -> float:
    """The linear light of most of a quadrilateral: its paper's."""
    scale = max(1.0, max(grey.shape) / 320)
    light = closed_copy(grey, scale)
    inside = np.zeros_like(light)
    cv2.fillConvexPoly(inside, np.round(quad.corners_px / scale).astype(np.int32), 1)
    return float(np.median(LINEAR[light[inside > 0]])) if inside.any() else 0.0


def sides_beyond(corners: np.ndarray, grey: np.ndarray) -> list[int]:
    """The sides of the picture, in the order of `SIDES`, that a corner is beyond."""
    low, high = corners.min(axis=0), corners.max(axis=0)
    room = (low[1], grey.shape[1] - high[0], grey.shape[0] - high[1], low[0])
    return [side for side in range(4) if room[side] < _MARGIN_PX]


def open_sides(grey: np.ndarray) -> list[int]:
    """The sides of the picture that something large and bright runs off, with a table beside it."""
    small = closed_copy(grey, max(1.0, max(grey.shape) / 320))
    _, bright = cv2.threshold(small, 0, 1, cv2.THRESH_BINARY | cv2.THRESH_OTSU)
    if not LEAST_TABLE < bright.mean() < 1 - LEAST_TABLE:
        return []
    light = LINEAR[small]
    if np.median(light[bright == 0]) > DARK * np.median(light[bright == 1]):
        return []
    _, labels, stats, _ = cv2.connectedComponentsWithStats(bright)
    largest = 1 + int(np.argmax(stats[1:, cv2.CC_STAT_AREA]))
    borders = (labels[0], labels[:, -1], labels[-1], labels[:, 0])
    return [s for s in range(4) if np.mean(borders[s] == largest) > LEAST_TABLE]


def wrong_paper(
    frame: Frame, page: tuple[float, float], papers_mm: Mapping[str, tuple[float, float]]
) -> str | None:
    """That the sheet isn't the page given, if so."""
    upright = page[1] >= page[0]
    given = page_doubt(frame.corners, frame.lens, page)
    doubts = {
        name: page_doubt(frame.corners, frame.lens, _laid(size, upright))
        for name, size in papers_mm.items()
    }
    likeliest = min(doubts, key=lambda name: doubts[name], default=None)
    if likeliest is not None and doubts[likeliest] < _DOUBTED:
        if given**2 - doubts[likeliest] ** 2 > _BETTER:
            return other_paper(page, likeliest, papers_mm[likeliest])
        return None
    return no_paper(page) if given > _DOUBTED else None


def _laid(size_mm: tuple[float, float], upright: bool) -> tuple[float, float]:
    """A paper's width and height, upright or sideways."""
    short, long = sorted(size_mm)
    return (short, long) if upright else (long, short)


def cut_off(beyond: Sequence[int]) -> str:
    """That the sheet runs off these sides of the picture."""
    return (
        f"The sheet is cut off at the {_listed(beyond)} of the photo. Step back so that all four "
        "corners show, with some table around them."
    )


def faint_side(faint: Sequence[int]) -> str:
    """That these sides of the sheet can't be measured."""
    return (
        f"The {_listed(faint)} of the sheet can't be seen well enough. Take away whatever covers "
        "it or lies beside it, and lay the sheet on a table that is clearly darker than the paper."
    )


def too_small(px_per_mm: float, least: float) -> str:
    """That the sheet has too few pixels."""
    return (
        f"The sheet is too small in the photo: it has {px_per_mm:.1f} pixels to a millimetre and "
        f"needs {least:g}. Go closer until the sheet nearly fills the photo, or set the camera to "
        "a finer picture."
    )


def other_paper(given_mm: tuple[float, float], looks_like: str, size_mm: Sequence[float]) -> str:
    """That the sheet has the proportions of another paper."""
    return (
        f"The sheet in the photo has the proportions of {looks_like} ({_size(size_mm)}), not those "
        f"of the paper given ({_size(given_mm)}). Give the paper that was used."
    )


def no_paper(given_mm: tuple[float, float]) -> str:
    """That the sheet has the proportions of no paper known."""
    return (
        f"The sheet in the photo doesn't have the proportions of the paper given "
        f"({_size(given_mm)}). Measure the sheet and give its true size; if the photo was cropped, "
        "use it as the camera took it."
    )


def bent(bend_mm: float) -> str:
    """That the paper isn't flat."""
    return (
        f"The paper doesn't lie flat: its sides stray by up to {bend_mm:.1f} mm from straight, and "
        "what is drawn on it is as uncertain. Press it flat and hold the camera right above it."
    )


def partly_shown(faint: Sequence[int]) -> str:
    """That these sides of the sheet could be measured only in part."""
    return f"The {_listed(faint)} of the sheet shows only in part, so the size is less certain."


def _listed(sides: Sequence[int]) -> str:
    names = [SIDES[side] for side in sides]
    if len(names) == 1:
        return f"{names[0]} side"
    return f"{', '.join(names[:-1])} and {names[-1]} sides"


def _size(size_mm: Sequence[float]) -> str:
    return f"{min(size_mm):g} × {max(size_mm):g} mm"
