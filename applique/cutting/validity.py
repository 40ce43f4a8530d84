"""The check of a nesting before anything is written, by reckoning that no packer has a part in.

A nesting is taken as it stands: every shape is put in its place anew, by complex numbers, and held
against the others, the sheet's border and the holes of a scrap. What is found is told in sentences.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.cutting.nested import ANGLES_DEGREES, NestedSheet, NestingTask, Placement, Stock
from applique.geometry.curves import flatten_closed
from applique.model import Curve

TOLERANCE_MM = 0.001
"""What a gap or a margin may lack: the grid of all outlines, far below what any blade follows."""

FLATNESS_MM = 0.0005
"""Curves as written are checked as polylines this near to them: half the tolerance."""

_SAME_TURN_DEGREES = 1e-6
"""Turns this near to an allowed one are that one: 0.00002 mm at the far end of a metre."""


def faults_of(task: NestingTask, nesting: Sequence[NestedSheet]) -> list[str]:
    """Everything that is wrong with a nesting, a sentence each; an empty list if nothing is.

    Every shape must lie exactly once, turned as the task allows, on a sheet that is in stock; free
    of the others by the gap, and of the sheet's border and holes by the margin, each less 0.001 mm.
    """
    faults = [*_count_faults(task, nesting), *_stock_faults(task, nesting)]
    for number, sheet in enumerate(nesting, start=1):
        where = f"on sheet {number} ({sheet.stock.name})"
        known = [item for item in sheet.placements if 0 <= item.index < len(task.shapes)]
        names = [task.names[item.index] for item in known]
        faults += _turn_faults(task, known, where)
        shapes = np.array([_in_place(task.shapes[item.index], item) for item in known], object)
        faults += _faults_on_sheet(names, shapes, sheet.stock, task.gap_mm, task.margin_mm, where)
    return faults


def faults_of_curves(
    placed: Sequence[tuple[str, Sequence[Curve]]], stock: Stock, gap_mm: float, margin_mm: float
) -> list[str]:
    """What is wrong with the lines of one sheet just as they are written: `placed` are the names
    and the closed curves, in mm on the sheet; as `faults_of` otherwise."""
    where = f"on {stock.name}"
    names = [name for name, _ in placed]
    shapes = np.array([_enclosed(curves) for _, curves in placed], object)
    return _faults_on_sheet(names, shapes, stock, gap_mm, margin_mm, where)


def _count_faults(task: NestingTask, nesting: Sequence[NestedSheet]) -> Iterator[str]:
    """Shapes that lie not at all or more than once, and places of shapes that don't exist."""
    found = Counter(item.index for sheet in nesting for item in sheet.placements)
    for index, name in enumerate(task.names):
        times = found.pop(index, 0)
        if times == 0:
            yield f"{name} lies on no sheet"
        elif times > 1:
            yield f"{name} lies on the sheets {times} times, not once"
    for index in sorted(found):
        yield f"there is no shape number {index}, but it has a place"


def _stock_faults(task: NestingTask, nesting: Sequence[NestedSheet]) -> Iterator[str]:
    """Sheets that aren't in stock, and stocks of which more are used than there are."""
    used: Counter[tuple[str, bytes]] = Counter(_key(sheet.stock) for sheet in nesting)
    for key, in_stock in itertools.groupby(sorted(task.stocks, key=_key), _key):
        counts = [stock.count for stock in in_stock]
        times = used.pop(key, 0)
        there_are = sum(count for count in counts if count is not None)
        if None not in counts and times > there_are:
            yield f"{times} sheets of {key[0]} are used, but there are {there_are}"
    for name, _ in used:
        yield f"a sheet of {name} is used that is not in stock"


def _key(stock: Stock) -> tuple[str, bytes]:
    """What tells stocks apart: the name and the shape."""
    return stock.name, shapely.to_wkb(shapely.normalize(stock.shape))


def _turn_faults(task: NestingTask, placements: Sequence[Placement], where: str) -> Iterator[str]:
    allowed = ANGLES_DEGREES[task.turn]
    for item in placements:
        name = task.names[item.index]
        if not all(map(math.isfinite, (item.angle_degrees, item.x_mm, item.y_mm))):
            yield f"the place of {name} {where} is no number"
        elif allowed is not None:
            off = min(abs(math.remainder(item.angle_degrees - angle, 360.0)) for angle in allowed)
            if off > _SAME_TURN_DEGREES:
                may = " or ".join(f"{angle:g}" for angle in allowed)
                yield f"{name} {where} is turned by {item.angle_degrees:g} degrees, not by {may}"


def _in_place(shape: BaseGeometry, item: Placement) -> BaseGeometry:
    """A shape turned about (0, 0), then moved. Empty where it can't be reckoned."""
    turn = complex(np.exp(1j * np.radians(item.angle_degrees)))
    move = complex(item.x_mm, item.y_mm)
    if not (np.isfinite(turn) and np.isfinite(move)):
        return shapely.Polygon()

    def moved(points: np.ndarray) -> np.ndarray:
        plane = (points[:, 0] + 1j * points[:, 1]) * turn + move
        return np.stack([plane.real, plane.imag], axis=1)

    return shapely.transform(shape, moved)


def _enclosed(curves: Sequence[Curve]) -> BaseGeometry:
    """What closed curves enclose, counted from the outside in. Curves that cross, and those of too
    few points, give what is no valid polygon."""
    rings = [ring for ring in flatten_closed(curves, FLATNESS_MM) if len(ring) >= 3]
    lines = [shapely.linearrings(ring) for ring in rings]
    if len(lines) == 1:
        return shapely.Polygon(lines[0])
    whole = shapely.multilinestrings(lines)
    return shapely.build_area(whole) if whole.is_simple else whole


def _faults_on_sheet(
    names: Sequence[str],
    shapes: np.ndarray,
    stock: Stock,
    gap_mm: float,
    margin_mm: float,
    where: str,
) -> list[str]:
    sound = shapely.is_valid(shapes) & ~shapely.is_empty(shapes) & (shapely.area(shapes) > 0)
    faults = [
        f"the outline of {names[k]} {where} crosses itself or encloses nothing"
        for k in np.flatnonzero(~sound).tolist()
    ]
    names, shapes = [names[k] for k in np.flatnonzero(sound).tolist()], shapes[sound]
    faults += _border_faults(names, shapes, stock.shape, margin_mm, where)
    return [*faults, *_gap_faults(names, shapes, gap_mm, where)]


def _border_faults(
    names: Sequence[str], shapes: np.ndarray, sheet: BaseGeometry, margin_mm: float, where: str
) -> Iterator[str]:
    """Shapes that lie beyond the sheet's border, in a hole, or too near to either."""
    shapely.prepare(sheet)
    inside = shapely.covers(sheet, shapes)
    for k in np.flatnonzero(~inside).tolist():
        beyond = shapes[k].difference(sheet)
        if _has_width(beyond):
            yield f"{names[k]} {where} reaches {_furthest(beyond, sheet):.3f} mm beyond its border"
    border = sheet.boundary
    shapely.prepare(border)
    near = shapely.dwithin(border, shapes, max(margin_mm - TOLERANCE_MM, 0.0))
    for k in np.flatnonzero(inside & near).tolist():
        away = shapely.distance(border, shapes[k])
        if away < margin_mm - TOLERANCE_MM:
            yield f"{names[k]} {where} is {away:.3f} mm from the border, not {margin_mm:g} mm"


def _furthest(beyond: BaseGeometry, sheet: BaseGeometry) -> float:
    """How far what lies beyond a sheet is from it; or, over a hole, how far inside the hole."""
    outside = shapely.distance(sheet, shapely.points(shapely.get_coordinates(beyond)))
    if outside.max() > TOLERANCE_MM:
        return float(outside.max())
    spot = shapely.maximum_inscribed_circle(beyond, tolerance=TOLERANCE_MM)
    return float(spot.length)


def _gap_faults(
    names: Sequence[str], shapes: np.ndarray, gap_mm: float, where: str
) -> Iterator[str]:
    """Shapes that overlap or lie too near to each other."""
    least = max(gap_mm - TOLERANCE_MM, 0.0)
    first, second = shapely.STRtree(shapes).query(shapes, predicate="dwithin", distance=least)
    for a, b in sorted(zip(first.tolist(), second.tolist(), strict=True)):
        if a >= b:
            continue
        apart = shapely.distance(shapes[a], shapes[b])
        if apart > 0:
            if apart < least:
                yield (
                    f"{names[a]} and {names[b]} {where} are {apart:.3f} mm apart, not {gap_mm:g} mm"
                )
        elif _has_width(common := shapes[a].intersection(shapes[b])):
            yield f"{names[a]} and {names[b]} {where} overlap over {common.area:.3f} mm2"
        elif least > 0:
            yield f"{names[a]} and {names[b]} {where} touch; they must be {gap_mm:g} mm apart"


def _has_width(shape: BaseGeometry) -> bool:
    """Whether an overlap is wider than what is tolerated, so that touching is none."""
    return not shapely.buffer(shape, -TOLERANCE_MM / 2, quad_segs=2).is_empty
