"""Chosen shapes put on one rectangular sheet: several strips raced, the fullest that fits taken."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import Polygon

from applique.cutting.nested import ANGLES_DEGREES, NestingTask, Placement, Stock
from applique.nesting.shapes import distinct_angles, solver_shape
from applique.nesting.solver import Effort, Layout, Run, SolverFailedError
from applique.nesting.strip import Strip, shaken_layout

_LOOKS_EVERY_S = 0.05
_NEARLY = 1.03
"""A strip no longer than this, against the room there is, is shaken to see whether it fits then."""


@dataclass(frozen=True, eq=False)
class Room:
    """A rectangular sheet's room for grown shapes, as a strip along its longer side, so that a
    piece of its full width is left over: `length` along it and `height` across it, both grown by
    the gap. `runs_down` says that it runs down the sheet; `shift` is from the room's corner to the
    sheet's."""

    stock: Stock
    length: float
    height: float
    runs_down: bool
    shift: float

    @property
    def area(self) -> float:
        """In mm2."""
        return self.length * self.height


def room_of(stock: Stock, gap_mm: float, margin_mm: float) -> Room:
    """The room on a rectangular sheet; its length or height is 0 or less if there is none."""
    across = along(stock, gap_mm, margin_mm)
    if across.height <= across.length:
        return across
    return replace(across, length=across.height, height=across.length, runs_down=True)


def along(stock: Stock, gap_mm: float, margin_mm: float) -> Room:
    """The room on a rectangular sheet as a strip from its left to its right."""
    width, height = stock.size_mm
    more = gap_mm - 2 * margin_mm
    return Room(stock, width + more, height + more, False, margin_mm - gap_mm / 2)


@dataclass(frozen=True, eq=False)
class Shapes:
    """All shapes of a task as the solver takes them, and the angles of each."""

    polygons: tuple[Polygon, ...]
    angles: tuple[tuple[float, ...] | None, ...]

    def areas(self, indices: Sequence[int]) -> list[float]:
        """Areas in mm2, the gap's half included."""
        return [float(self.polygons[k].area) for k in indices]

    def strip(self, indices: Sequence[int], room: Room) -> Strip:
        """Some of the shapes for a room; in one that runs down, what lies upright on the sheet lies
        turned back by a quarter."""
        polygons = tuple(self.polygons[k] for k in indices)
        angles = tuple(self.angles[k] for k in indices)
        if room.runs_down:
            angles = tuple(it and tuple((angle - 90.0) % 360.0 for angle in it) for it in angles)
        return Strip(polygons, angles, room.height)


def shapes_of(task: NestingTask) -> Shapes:
    """The shapes of a task."""
    polygons = tuple(solver_shape(shape, task.gap_mm) for shape in task.shapes)
    allowed = ANGLES_DEGREES[task.turn]
    return Shapes(polygons, tuple(distinct_angles(it, allowed) for it in polygons))


class _Try:
    """One choice of shapes at work in a process."""

    def __init__(
        self, shapes: Shapes, indices: Sequence[int], room: Room, effort: Effort, end: float
    ) -> None:
        self.indices = tuple(indices)
        self._strip = shapes.strip(indices, room)
        self._room = room
        self._end = end
        self._shaken: Layout | None = None
        self._run = Run(self._strip.items(), room.height, effort)

    def look(self) -> bool:
        """Take in what has been found; False once the process has ended."""
        return self._run.look(_LOOKS_EVERY_S)

    def fitting(self) -> Layout | None:
        """The best layout, if it fits the room."""
        best = self._run.best
        if best is None or best is self._shaken:
            return None
        if best.length_mm > self._room.length * _NEARLY:
            return None
        if best.length_mm > self._room.length:
            self._shaken = best
            best = shaken_layout(self._strip, best, lambda: time.monotonic() < self._end)
        return best if best.length_mm <= self._room.length else None

    @property
    def failed(self) -> bool:
        """Whether the solver has ended without a layout."""
        return self._run.failed

    def stop(self) -> None:
        """End it."""
        self._run.stop()


def fullest(
    shapes: Shapes,
    choices: Sequence[Sequence[int]],
    room: Room,
    seconds: float,
    seed: int,
    may_go_on: Callable[[], bool],
) -> tuple[Placement, ...]:
    """Of several choices of shapes, the fullest first, the first that fits the room within the
    time; none if none does. All are tried at once. Placements are in mm on the sheet.

    Raises SolverFailedError if the solver ends without a layout of any.
    """
    end = time.monotonic() + seconds
    effort = Effort(int(seconds) + 1, 0, 1, seed)
    tries = [_Try(shapes, choice, room, effort, end) for choice in choices]
    fits: list[Layout | None] = [None] * len(tries)
    working = set(range(len(tries)))
    try:
        while working and time.monotonic() < end and may_go_on():
            for k in sorted(working):
                goes_on = tries[k].look()
                fits[k] = fits[k] or tries[k].fitting()
                if fits[k] is not None:  # Nothing that holds less is of interest now.
                    working -= {other for other in working if other >= k}
                    break
                if not goes_on:
                    working.discard(k)
    finally:
        for each in tries:
            each.stop()
    if all(each.failed for each in tries):
        raise SolverFailedError
    for each, layout in zip(tries, fits, strict=True):
        if layout is not None:
            return on_sheet(layout, each.indices, room)
    return ()


def on_sheet(layout: Layout, indices: Sequence[int], room: Room) -> tuple[Placement, ...]:
    """A strip's layout as places on the sheet."""
    return tuple(_on_sheet(it, indices[it.index], room) for it in layout.placements)


def _on_sheet(it: Placement, index: int, room: Room) -> Placement:
    x, y, angle = it.x_mm, it.y_mm, it.angle_degrees
    if room.runs_down:  # A quarter turn, and back into the room.
        x, y, angle = room.height - y, x, angle + 90.0
    return Placement(index, angle % 360.0, x + room.shift, y + room.shift)


def fits_at_all(polygon: Polygon, angles: tuple[float, ...] | None, room: Room) -> bool:
    """Whether a grown shape surely fits a room alone, so that the solver won't fail for it."""
    if angles is None:
        turned = [polygon, shapely.affinity.rotate(polygon, 90.0)]
    else:
        turned = [shapely.affinity.rotate(polygon, angle) for angle in angles]
    sizes = [(box[2] - box[0], box[3] - box[1]) for box in (each.bounds for each in turned)]
    across, down = (room.height, room.length) if room.runs_down else (room.length, room.height)
    return any(width < across and height < down for width, height in sizes)
