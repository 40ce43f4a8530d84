"""How large a picture is: a scan by its resolution, a photograph by its sheet of paper."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from applique.errors import InputError
from applique.report import Finding, note, warning
from applique.trace.page import Page, Picture
from applique.trace.sheet import flattened, look_for_sheet, shows_a_sheet
from applique.units import MM_PER_INCH

_DPI_MEANT = (50.0, 2400.0)
_SAME_SHAPE = 0.01
"""A picture whose proportions are within this of a paper's may be a scan of the whole sheet."""

_USUAL_DPI = (100.0, 150.0, 200.0, 240.0, 300.0, 400.0, 600.0, 1200.0)
_USUAL_WITHIN = 0.004
"""Scanners cut the last millimetre off: a resolution so near to a usual one is that."""

_PHOTO_DPI = 300.0
"""A flattened photograph has pixels as small as a good scan's."""


@dataclass(frozen=True)
class Asked:
    """What the user has said of the size: dots an inch, the paper (width, height) in mm."""

    dpi: float | None = None
    paper_mm: tuple[float, float] | None = None

    def tells(self, picture: Picture) -> bool:
        """Whether the size of a picture can be known."""
        return not (self.dpi is None and self.paper_mm is None and picture.dpi is None)


def unscaled_page(picture: Picture) -> Page:
    """A picture whose scale only an object on it can tell, at that of a whole page."""
    return Page(picture.name, picture.grey, _USUAL_HEIGHT_MM / max(picture.grey.shape))


_USUAL_HEIGHT_MM = 288.0
"""Between Letter's and A4's: near enough to tell a template from a speck."""


def page_of(picture: Picture, asked: Asked) -> tuple[Page, tuple[Finding, ...]]:
    """The picture as a page at true size. Raises InputError where no size can be known."""
    if asked.dpi is not None:
        return _scan(picture, asked.dpi), ()
    if shows_a_sheet(picture.grey):
        return _photograph(picture, asked)
    if picture.dpi is not None:
        return _scan(picture, picture.dpi), ()
    if asked.paper_mm is not None:
        return _whole_sheet(picture, asked.paper_mm)
    text = (
        f"{picture.name}: its file does not say how large it is; give --dpi (300, say) if it is a "
        "scan, or --paper if it shows a whole sheet"
    )
    raise InputError(text)


def _scan(picture: Picture, dpi: float) -> Page:
    if not _DPI_MEANT[0] <= dpi <= _DPI_MEANT[1]:
        low, high = _DPI_MEANT
        raise InputError(f"{picture.name}: {dpi:g} dpi is no scan; give {low:g} to {high:g}")
    return Page(picture.name, picture.grey, MM_PER_INCH / dpi)


def _photograph(picture: Picture, asked: Asked) -> tuple[Page, tuple[Finding, ...]]:
    if asked.paper_mm is None:
        text = (
            f"{picture.name}: shows a sheet on a table; give its size with --paper (a4, letter, "
            "WIDTHxHEIGHT), or --dpi if it is a flat scan"
        )
        raise InputError(text)
    found = look_for_sheet(picture.grey, asked.paper_mm)
    if found.sheet is None:
        raise InputError(f"{picture.name}: {found.fault}")
    mm_per_px = MM_PER_INCH / _PHOTO_DPI
    grey = flattened(picture.grey, found.sheet, mm_per_px)
    remarks = [warning("sheet", picture.name, remark) for remark in found.sheet.remarks]
    text = (
        f"is a photo; its scale comes from the paper, {asked.paper_mm[0]:g} x "
        f"{asked.paper_mm[1]:g} mm, which paper itself keeps within a millimetre or two"
    )
    return Page(picture.name, grey, mm_per_px, True), (*remarks, note("photo", picture.name, text))


def _whole_sheet(
    picture: Picture, paper_mm: tuple[float, float]
) -> tuple[Page, tuple[Finding, ...]]:
    """A scan without a resolution, if it has the paper's proportions."""
    height, width = picture.grey.shape
    upright = sorted((width, height))
    short, long = sorted(paper_mm)
    if abs(upright[1] / upright[0] / (long / short) - 1) > _SAME_SHAPE:
        text = (
            f"{picture.name}: has {width} x {height} pixels, which is not the shape of a paper of "
            f"{short:g} x {long:g} mm; give --dpi instead"
        )
        raise InputError(text)
    dpi = MM_PER_INCH * (upright[0] / short + upright[1] / long) / 2
    usual = min(_USUAL_DPI, key=lambda value: abs(value - dpi))
    if abs(usual / dpi - 1) <= _USUAL_WITHIN:
        dpi = usual
    text = f"was taken for a scan of the whole sheet, {dpi:.0f} dpi; measure one outline to be sure"
    page = Page(picture.name, np.ascontiguousarray(picture.grey), MM_PER_INCH / dpi)
    return page, (warning("whole-sheet", picture.name, text),)
