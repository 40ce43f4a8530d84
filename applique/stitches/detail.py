"""All the stitches of one detail: running lines, narrow satin lines, spots."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from applique.geometry.rings import polygons_of
from applique.model import Detail, EdgeRun, LaidDetail, Step
from applique.report import Finding, warning
from applique.settings import Settings
from applique.stitches.line import SewnLine, from_lowest, plain_line
from applique.stitches.running import running
from applique.stitches.satinline import satin_along
from applique.stitches.spot import is_stroke_like, spot
from applique.stitches.steps import JOINED_MM, NEAREST_MM, Lines, steps_of
from applique.stitches.strokes import sew_strokes
from applique.stitches.underlay import RUN_MM


def sew_detail(laid: LaidDetail) -> tuple[tuple[Step, ...], tuple[Finding, ...]]:
    """The one step of a detail, in its own thread; none if it is hidden or too small to sew."""
    if laid.hidden:
        return (), ()
    lines = STYLES[laid.detail.style](laid)
    if not lines:
        return (), (_too_small(laid.detail),)
    kinds: Lines = [("detail", line) for line in lines]
    return tuple(steps_of(kinds, _joined(lines, laid.shape), laid.detail)), ()


def _run(laid: LaidDetail) -> list[SewnLine]:
    length = laid.detail.settings.detail_length_mm
    return [plain_line(running(line.points, line.closed, length)) for line in laid.lines]


def _there_and_back(laid: LaidDetail) -> list[SewnLine]:
    """Every line and the same way back: a bolder line that ends where it began."""
    sewn = (line.points for line in _run(laid))
    return [plain_line(np.vstack([points, points[-2::-1]])) for points in sewn]


def _line(laid: LaidDetail) -> list[SewnLine]:
    """A narrow satin along every line, over a run there and back."""
    detail = laid.detail
    sewn = []
    for line in laid.lines:
        run = from_lowest(line)
        (found,) = satin_along([run], detail.settings.detail_width_mm / 2, detail.settings)
        if found is not None:
            sewn.append(_over(_beneath(run), found))
    return sewn


def _spot(laid: LaidDetail) -> list[SewnLine]:
    """Bars in every part of a shape; or satin along its strokes where it consists of these."""
    found = [_part(part, laid.detail.settings) for part in polygons_of(laid.shape)]
    return [line for line in found if line is not None]


def _part(part: Polygon, settings: Settings) -> SewnLine | None:
    line = sew_strokes(part, settings) if is_stroke_like(part, settings) else None
    return line if line is not None else spot(part, settings)


def _beneath(run: EdgeRun) -> np.ndarray:
    """A run along the middle of a satin line that ends where the satin begins."""
    points = running(run.points, run.closed, RUN_MM)
    return points if run.closed else np.vstack([points, points[-2::-1]])


def _over(beneath: np.ndarray, line: SewnLine) -> SewnLine:
    return SewnLine(np.vstack([beneath, line.points]), beneath, line.end_line)


def _joined(lines: Sequence[SewnLine], shape: BaseGeometry) -> list[bool]:
    """For each line but the last whether the next one is sewn on without a trim: where it begins
    just there, or where the stitch between lies within a spot. Any other would stay in sight."""
    return [
        _goes_on(here.points[-1], after.points[0], shape)
        for here, after in itertools.pairwise(lines)
    ]


def _goes_on(end: np.ndarray, start: np.ndarray, shape: BaseGeometry) -> bool:
    way = math.dist(end, start)
    if way <= NEAREST_MM:
        return True
    return way <= JOINED_MM and bool(shapely.covers(shape, shapely.linestrings([end, start])))


def _too_small(detail: Detail) -> Finding:
    text = "is too small to be sewn, so it is left out; make it larger or delete it"
    return warning("too-small", detail.label, text)


STYLES: Mapping[str, Callable[[LaidDetail], list[SewnLine]]] = {
    "run": _run,
    "there-and-back": _there_and_back,
    "line": _line,
    "spot": _spot,
}
"""Every style of detail by its name in the tag."""
