"""A drawing at true size on as few pages as it takes, with what is needed to join them.

Neighbouring pages show the same 10 mm twice. A dashed line runs along the middle of that strip,
with crosses on it: laid over each other, the crosses of two pages coincide.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from applique.paper.bars import STRIP_MM, check_paper, check_strip, room_for_bars
from applique.paper.drawing import (
    FAINT,
    INK,
    BoxMm,
    Drawing,
    Group,
    Item,
    Page,
    PointMm,
    Text,
    line,
    rectangle,
)
from applique.paper.letters import text_width_mm, titled, wrapped
from applique.paper.sizes import HEAD_MM, MARGIN_MM, SIDE_MM, SizeMm
from applique.report import counted, in_letters

OVERLAP_MM = 10.0
"""What two neighbours show both: room for a strip of tape."""

_CROSS_MM = 3.0
_CROSSES_AT = (0.15, 0.85)
"""Where on a join its crosses stand, as shares of the page's window."""

_JOIN_DASH_MM = (1.5, 1.5)
_MAP_CELL_MM = 4.0
_WIDEST_MAP_MM = 60.0
_NAME_MM = 4.2
_TOLD_MM = 2.5


Place = tuple[int, int]
"""Row and column of a page, from 0."""


@dataclass(frozen=True)
class Grid:
    """How a drawing is divided: `page_mm` as the paper lies, the part of it that shows the drawing
    (`window_mm`, from the upper left), and the number of columns and rows."""

    page_mm: SizeMm
    window_mm: SizeMm
    columns: int
    rows: int

    @property
    def step_mm(self) -> SizeMm:
        """From the left of one page's window to that of the next; likewise down."""
        return self.window_mm[0] - OVERLAP_MM, self.window_mm[1] - OVERLAP_MM

    @property
    def cell_mm(self) -> SizeMm:
        """Width and height of a page on the map of all pages."""
        return (
            min(_MAP_CELL_MM, _WIDEST_MAP_MM / self.columns),
            min(_MAP_CELL_MM, (HEAD_MM - 1.5) / self.rows),
        )

    def name(self, row: int, column: int) -> str:
        """What a page is called: `A1` is the first of the upper row."""
        return f"{in_letters(row)}{column + 1}"


def grid_for(size_mm: SizeMm, paper_mm: SizeMm) -> Grid:
    """The grid with the fewest pages for a drawing of a size, the paper upright or lying.

    Raises ValueError for a paper too small for the check bars.
    """
    check_paper(paper_mm)
    pages = [page for page in (paper_mm, paper_mm[::-1]) if room_for_bars(page)]
    grids = [_grid(size_mm, page) for page in pages]
    return min(grids, key=lambda grid: grid.columns * grid.rows)


def tiles(drawing: Drawing, paper_mm: SizeMm) -> tuple[Page, ...]:
    """The pages of a drawing, row by row; together their windows show all of its box.

    Every page bears its row and column, a map of all pages, both check bars and how to print it.
    The first says how many were left out because they show nothing of what is to be seen.
    Raises ValueError for a paper too small for the check bars.
    """
    left, top, right, bottom = drawing.box_mm
    grid = grid_for((right - left, bottom - top), paper_mm)
    covered = [
        count * step + OVERLAP_MM
        for count, step in zip((grid.columns, grid.rows), grid.step_mm, strict=True)
    ]
    start = (left - (covered[0] - right + left) / 2, top - (covered[1] - bottom + top) / 2)
    kept = _kept(drawing, grid, start)
    return tuple(_page(drawing, grid, start, row, column, kept) for row, column in kept)


def _kept(drawing: Drawing, grid: Grid, start: PointMm) -> list[Place]:
    """The pages on which something that is to be seen is seen, at least one; without anything of
    that kind all pages."""
    places = [(row, column) for row in range(grid.rows) for column in range(grid.columns)]
    seen = [shape for shape in drawing.to_be_seen if not shape.is_empty]
    if not seen:
        return places
    corners = np.array(places)[:, ::-1] * grid.step_mm + start
    windows = shapely.STRtree(shapely.box(*np.hstack([corners, corners + grid.window_mm]).T))
    shown = np.unique(windows.query(seen, predicate="intersects")[1])
    return [places[k] for k in shown] or places[:1]


def window_of(grid: Grid) -> BoxMm:
    """The part of a page that shows the drawing, in mm on the page."""
    left, top = SIDE_MM, MARGIN_MM + HEAD_MM
    return left, top, left + grid.window_mm[0], top + grid.window_mm[1]


def _grid(size_mm: SizeMm, page_mm: SizeMm) -> Grid:
    window = (page_mm[0] - 2 * SIDE_MM, page_mm[1] - 2 * MARGIN_MM - HEAD_MM - STRIP_MM)
    columns, rows = (
        max(1, math.ceil((size - OVERLAP_MM) / (room - OVERLAP_MM) - 1e-9))
        for size, room in zip(size_mm, window, strict=True)
    )
    return Grid(page_mm, window, columns, rows)


def _page(
    drawing: Drawing, grid: Grid, start: PointMm, row: int, column: int, kept: Sequence[Place]
) -> Page:
    window = window_of(grid)
    step = grid.step_mm
    shift = (
        window[0] - start[0] - column * step[0],
        window[1] - start[1] - row * step[1],
    )
    rest = f": row {row + 1}, column {column + 1} ({grid.name(row, column)})"
    left_out = _left_out(grid.columns * grid.rows - len(kept)) if (row, column) == kept[0] else ""
    room = window[2] - window[0] - grid.columns * grid.cell_mm[0] - 4.0
    told_mm = text_width_mm(left_out, _TOLD_MM) + 3.0 if left_out else 0.0
    name = titled(drawing.name, rest, _NAME_MM, room - told_mm)
    items: list[Item] = [Group(drawing.items, shift, window)]
    items += _joins(grid, window, row, column, kept)
    items.append(rectangle(window, stroke=FAINT, stroke_mm=0.1))
    items += _head(drawing, grid, window, name, (row, column), kept)
    if left_out:
        x = window[0] + text_width_mm(name, _NAME_MM, bold=True) + 3.0
        items.append(Text((x, MARGIN_MM + 3.6), left_out, _TOLD_MM))
    items += check_strip(window[0], window[3], window[2])
    return Page(*grid.page_mm, tuple(items), name)


def _left_out(count: int) -> str:
    if not count:
        return ""
    return f"{counted(count, 'page', 'pages')} without pieces left out"


def _head(
    drawing: Drawing, grid: Grid, window: BoxMm, name: str, here: Place, kept: Sequence[Place]
) -> list[Item]:
    """The page's name, how to read the drawing, and the map of the pages."""
    left, _, right, _ = window
    map_width = grid.columns * grid.cell_mm[0]
    items: list[Item] = [Text((left, MARGIN_MM + 3.6), name, _NAME_MM, bold=True)]
    for k, text in enumerate(wrapped(drawing.told, _TOLD_MM, right - left - map_width - 4.0)[:2]):
        items.append(Text((left, MARGIN_MM + 7.4 + 3.2 * k), text, _TOLD_MM))
    if grid.columns * grid.rows > 1:
        items += _map(grid, (right - map_width, MARGIN_MM), here, kept)
    return items


def _map(grid: Grid, corner: PointMm, here: Place, kept: Sequence[Place]) -> list[Item]:
    """All printed pages as small boxes, this one filled, where others were left out in a frame."""
    (x, y), (width, height) = corner, grid.cell_mm
    items: list[Item] = []
    if len(kept) < grid.columns * grid.rows:
        whole = (x, y, x + grid.columns * width, y + grid.rows * height)
        items.append(rectangle(whole, stroke=FAINT, stroke_mm=0.1))
    for row, column in kept:
        left, top = x + column * width, y + row * height
        fill = INK if (row, column) == here else ""
        items.append(rectangle((left, top, left + width, top + height), fill, INK, 0.15))
    return items


def _joins(grid: Grid, window: BoxMm, row: int, column: int, kept: Sequence[Place]) -> list[Item]:
    """The lines along which this page meets its neighbours, their crosses, and whom it meets."""
    printed = set(kept)
    left, top, right, bottom = window
    half = OVERLAP_MM / 2
    across = [left + share * (right - left) for share in _CROSSES_AT]
    down = [top + share * (bottom - top) for share in _CROSSES_AT]
    items: list[Item] = []
    if (row, column - 1) in printed:
        x = left + half
        items += _join((x, top), (x, bottom), [(x, y) for y in down])
        items.append(_meets(grid.name(row, column - 1), (left + 1.3, down[0] + 5.0), 90.0))
    if (row, column + 1) in printed:
        x = right - half
        items += _join((x, top), (x, bottom), [(x, y) for y in down])
        items.append(_meets(grid.name(row, column + 1), (right - 1.3, down[1] - 5.0), -90.0))
    if (row - 1, column) in printed:
        y = top + half
        items += _join((left, y), (right, y), [(x, y) for x in across])
        items.append(_meets(grid.name(row - 1, column), (across[0] + 5.0, top + 3.3), 0.0))
    if (row + 1, column) in printed:
        y = bottom - half
        items += _join((left, y), (right, y), [(x, y) for x in across])
        items.append(_meets(grid.name(row + 1, column), (across[0] + 5.0, bottom - 1.6), 0.0))
    return items


def _join(start: PointMm, end: PointMm, crosses: list[PointMm]) -> list[Item]:
    items: list[Item] = [line([start, end], FAINT, 0.15, _JOIN_DASH_MM)]
    for x, y in crosses:
        items.append(line([(x - _CROSS_MM, y), (x + _CROSS_MM, y)], INK, 0.15))
        items.append(line([(x, y - _CROSS_MM), (x, y + _CROSS_MM)], INK, 0.15))
    return items


def _meets(name: str, place: PointMm, angle: float) -> Text:
    """Which page is laid on here, in the strip beyond the join."""
    return Text(place, f"meets {name} here", 2.4, colour="#5c5c5c", angle_degrees=angle)
