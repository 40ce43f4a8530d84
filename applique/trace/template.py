"""What a page gives: its templates with everything that is doubtful about them, and the rest."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from applique.model import Curve
from applique.trace.line import Line
from applique.trace.whereabouts import BoxMm, PointMm

LeftKind = Literal["number", "mark", "speck", "page edge"]


@dataclass(frozen=True)
class Doubt:
    """Something to look at: a code, what was seen and done as a sentence without its subject, and
    the place in mm on the page."""

    code: str
    text: str
    place: PointMm


@dataclass(frozen=True)
class Gap:
    """A gap in a line that was closed: its width from ink to ink, and the place, in mm."""

    width_mm: float
    place: PointMm


@dataclass(frozen=True, eq=False)
class Template:
    """One traced template: its `curve` in mm on the page, the line it comes from, its box, the
    index of the template it lies inside, its gaps and doubts. `kept` are marks inside it, kept as
    lines, (n, 2) arrays of mm."""

    line: Line
    curve: Curve
    box: BoxMm
    inside: int | None
    gaps: tuple[Gap, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    kept: tuple[np.ndarray, ...] = ()

    @property
    def score(self) -> int:
        """How much of the outline the ink shows, in %."""
        return int(100 * self.line.seen)


@dataclass(frozen=True, eq=False)
class LeftOut:
    """Ink that is no outline: its border (n, 2) in mm, its box, what it was taken for, the index of
    the region that it lies in, if any, and where it touches the lines of regions, as pairs of a
    region's index and a place in mm."""

    kind: LeftKind
    border: np.ndarray
    box: BoxMm
    inside: int | None = None
    touches: tuple[tuple[int, PointMm], ...] = ()


@dataclass(frozen=True)
class OpenLine:
    """A line that closes nothing: its two loose ends, in mm."""

    start: PointMm
    stop: PointMm

    @property
    def width_mm(self) -> float:
        """How far the ends lie apart."""
        return float(np.hypot(self.stop[0] - self.start[0], self.stop[1] - self.start[1]))


@dataclass(frozen=True, eq=False)
class TracedPage:
    """A page's templates in reading order, what was left out, lines that close nothing, and the
    width of the pen, in mm."""

    templates: tuple[Template, ...]
    left_out: tuple[LeftOut, ...]
    open_lines: tuple[OpenLine, ...]
    pen_mm: float


def box_of(points: np.ndarray) -> BoxMm:
    """The box (left, top, right, bottom) around points (n, 2)."""
    (left, top), (right, bottom) = points.min(axis=0), points.max(axis=0)
    return float(left), float(top), float(right), float(bottom)


def point_of(place: np.ndarray) -> PointMm:
    """A place (2,) as a pair of plain numbers."""
    return float(place[0]), float(place[1])
