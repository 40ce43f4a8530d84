"""A plan of three hoopings, its templates as PDFs, and what an independent reader (pdfplumber)
finds on their pages."""

import io
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import product
from typing import Any

import numpy as np
import pdfplumber
import pytest

from applique.geometry.curves import polyline
from applique.hoops.fields import Field
from applique.hoops.frame import FrameSetting
from applique.hoops.plan import Cross, Hooping, HoopingPlan
from applique.hoops.problem import Certificate
from applique.model import Frame
from applique.paper.hooping import hooping_printout
from applique.paper.hooping_pieces import ShownPiece
from applique.paper.pdf import pdf_bytes
from applique.paper.sizes import sheet_mm

MM_PER_POINT = 25.4 / 72
NEAR_MM = 0.05
SETTING = FrameSetting(20.0, 25.4)
SMALL, LARGE = Field(130.0, 180.0), Field(260.0, 400.0)
CENTRE = (180.0, 210.0)
WHITE = (1.0, 1.0, 1.0)

# Polygons of 3, 5 and 6 corners about the middle of the field, so that a reader tells them apart.
SAIL = np.array([[190.0, 150.0], [215.0, 195.0], [195.0, 190.0]])
HULL = np.array([[150.0, 205.0], [230.0, 207.0], [222.0, 228.0], [190.0, 231.0], [160.0, 226.0]])
ROCK = np.array(
    [[140.0, 240.0], [170.0, 236.0], [185.0, 250.0], [180.0, 270.0], [150.0, 274.0], [138.0, 260.0]]
)
CROSSES = {"A": (135.0, 170.0), "B": (228.0, 252.0), "C": (232.0, 170.0)}


def outline(points: np.ndarray, closed: bool = True) -> tuple:
    return (polyline(points, closed),)


SHOWN = (
    ShownPiece("rock", "#7d7f80", outline(ROCK), 1),
    ShownPiece("hull", "#8a5a3b", outline(HULL), 2),
    ShownPiece("sail", "#b2392f", outline(SAIL), 3),
)


def plan_with(field: Field, turned: bool, labels: tuple[str, ...] = ("hull",)) -> HoopingPlan:
    """The second of three hoopings is that of the tests: it makes B and is lined up by A; C is
    another's."""
    hoopings = [
        Hooping(1, field, False, CENTRE, ("rock",), (), (), ("A",), (), 0.0),
        Hooping(2, field, turned, CENTRE, labels, (), (), ("B",), ("A",), 0.3),
        Hooping(3, field, False, CENTRE, ("sail",), (), (), (), ("B", "C"), 0.4),
    ]
    crosses = [
        Cross("A", CROSSES["A"], "thread", 1, (2,)),
        Cross("B", CROSSES["B"], "thread", 2, (3,)),
        Cross("C", CROSSES["C"], "pen", 0, (3,)),
    ]
    return HoopingPlan(
        name="Sailboat",
        frame=Frame(60.0, 90.0, 250.0, 250.0, 6.35),
        block_centre=(185.0, 215.0),
        hoopings=tuple(hoopings),
        crosses=tuple(crosses),
        parts=(),
        windows=(),
        certificate=Certificate((), 1),
        bound=3,
        finished=True,
    )


@dataclass(frozen=True)
class Sheet:
    """What a page of the PDF shows, in mm from its upper left corner."""

    place: tuple[int, int]
    words: tuple[str, ...]
    window: np.ndarray
    crosses: dict[float, np.ndarray]
    corners: dict[int, np.ndarray]
    rectangles: tuple[np.ndarray, ...]
    lengths: tuple[float, ...]

    def sees(self, points: np.ndarray) -> np.ndarray:
        low, high = self.window
        return ((points >= low) & (points <= high)).all(axis=1)


@cache
def pdf(paper: str, field: Field, turned: bool) -> bytes:
    plan = plan_with(field, turned)
    return pdf_bytes(hooping_printout(plan, plan.hoopings[1], SHOWN, SETTING, sheet_mm(paper)))


@cache
def sheets(paper: str, field: Field, turned: bool) -> tuple[Sheet, ...]:
    with pdfplumber.open(io.BytesIO(pdf(paper, field, turned))) as document:
        return tuple(sheet(page) for page in document.pages)


def points_of(item: dict[str, Any]) -> np.ndarray:
    return np.array(item["pts"]) * MM_PER_POINT


def sheet(page: Any) -> Sheet:
    words = [word["text"] for word in page.extract_words()]
    row, column = (int(words[words.index(k) + 1].rstrip(",")) for k in ("row", "column"))
    boxes = [points_of(item) for item in page.rects if item["stroke"]]
    framed = [item for item in page.rects if item["linewidth"] == pytest.approx(0.1 / MM_PER_POINT)]
    (window,) = (points_of(item) for item in framed)
    lines = [points_of(item) for item in page.lines if item["stroking_color"] != WHITE]
    stroked = [points_of(item) for item in page.curves if item["stroke"] and not item["fill"]]
    rings = [without_repeats(points) for points in stroked if np.allclose(points[0], points[-1])]
    return Sheet(
        (row - 1, column - 1),
        tuple(words),
        np.array([window.min(axis=0), window.max(axis=0)]),
        {length: crosses_of(lines, length) for length in (6.0, 10.0, 24.0)},
        {len(points): points for points in rings},
        tuple(boxes),
        tuple(np.hypot(*(line[-1] - line[0])) for line in lines),
    )


def without_repeats(points: np.ndarray) -> np.ndarray:
    return points[np.hypot(*(points - np.roll(points, -1, axis=0)).T) > 1e-6]


def crosses_of(lines: list[np.ndarray], length: float) -> np.ndarray:
    """The middles (n, 2) of level and upright lines of a length that cross in their middles."""
    long = [x for x in lines if np.hypot(*(x[1] - x[0])) == pytest.approx(length, abs=0.01)]
    level = [x.mean(axis=0) for x in long if abs(x[1] - x[0])[1] < 0.01]
    upright = [x.mean(axis=0) for x in long if abs(x[1] - x[0])[0] < 0.01]
    found = [a for a, b in product(level, upright) if np.hypot(*(a - b)) < 0.01]
    return np.array(found).reshape(-1, 2)


def join(sheet: Sheet, axis: int, last: bool) -> np.ndarray:
    """The two registration crosses nearest to a side of the page, in order along that side."""
    crosses = sheet.crosses[6.0]
    order = np.argsort(crosses[:, axis])
    pair = crosses[order[-2:] if last else order[:2]]
    return pair[np.argsort(pair[:, 1 - axis])]


def laid_out(pages: tuple[Sheet, ...]) -> dict[tuple[int, int], np.ndarray]:
    """Where each page's corner lies when its registration crosses are laid on its neighbour's."""
    by_place = {page.place: page for page in pages}
    corners = {(0, 0): np.zeros(2)}
    for row, column in sorted(by_place)[1:]:
        axis = 0 if column else 1
        before = (row, column - 1) if column else (row - 1, column)
        here, there = join(by_place[row, column], axis, False), join(by_place[before], axis, True)
        shifts = corners[before] + there - here
        assert np.hypot(*(shifts[1] - shifts[0])) < NEAR_MM
        corners[row, column] = shifts.mean(axis=0)
    return corners


def seen(pages: tuple[Sheet, ...], points: Callable[[Sheet], np.ndarray]) -> np.ndarray:
    """Points in the order of the drawing, each where any page shows it, on the pages laid out."""
    corners = laid_out(pages)
    found: dict[int, list[np.ndarray]] = {}
    for page in pages:
        there = points(page)
        for k in np.flatnonzero(page.sees(there)):
            found.setdefault(int(k), []).append(corners[page.place] + there[k])
    for places in found.values():
        assert np.ptp(np.array(places), axis=0).max() < NEAR_MM
    return np.array([found[k][0] for k in sorted(found)])


def field_of(page: Sheet, size: tuple[float, float]) -> np.ndarray:
    (found,) = (box for box in page.rectangles if np.allclose(np.ptp(box, axis=0), size, atol=0.01))
    return found
