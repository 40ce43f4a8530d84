"""Two machine files, or a file and a plan: does the needle go to the same places in the same order?

Both are held against each other penetration by penetration, each from its own origin.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from applique.export.formats import FORMATS, Colours
from applique.export.machine import as_filed
from applique.export.reading import Reading
from applique.export.threads import block_colours
from applique.model import Plan, Thread
from applique.pictures.colours import hexadecimal

TOLERANCE_MM = 0.05
"""Half a step of the frame: files that say the same differ by nothing, others by a step or more."""

Place = tuple[float, float]


@dataclass(frozen=True, eq=False)
class Sewn:
    """What one side of a comparison sews: a plan around its origin, and of its colours which format
    holds them (`title`) and how."""

    plan: Plan
    colours: Colours
    title: str


@dataclass(frozen=True)
class Difference:
    """The first penetration that differs: its number from 1, after how many stops it comes, and
    where it is on either side, in mm from the origin; None on the side that has ended."""

    number: int
    after_stops: int
    first_mm: Place | None
    second_mm: Place | None


@dataclass(frozen=True)
class Comparison:
    """How two sides differ; pairs are (first, second).

    `same_stops` and `same_trims` say whether these come after the same numbers of stitches;
    `same_colours` is None where not both hold them alike. `largest_mm` and `mean_mm` are the
    distances between the penetrations that both have. `offset_mm` is how far right and down the
    second lies of the first where it is the same but for that, None where it is not.
    """

    stitches: tuple[int, int]
    stops: tuple[int, int]
    trims: tuple[int, int]
    same_stops: bool
    same_trims: bool
    same_colours: bool | None
    first: Difference | None
    largest_mm: float
    mean_mm: float
    offset_mm: Place | None

    @property
    def equal(self) -> bool:
        """Whether both sew the same."""
        return (
            self.first is None
            and self.same_stops
            and self.same_trims
            and self.same_colours is not False
        )

    def as_dict(self) -> dict[str, Any]:
        """For a JSON report."""
        return {
            "equal": self.equal,
            **asdict(self),
            "largest_mm": round(self.largest_mm, 3),
            "mean_mm": round(self.mean_mm, 4),
        }


def sewn_from_file(reading: Reading) -> Sewn:
    """A machine file as one side of a comparison."""
    return Sewn(reading.plan, reading.colours, reading.title)


def sewn_from_plan(plan: Plan) -> Sewn:
    """A plan as one side of a comparison, in the frame steps and the colours of its file."""
    exact = next(format for format in FORMATS.values() if format.colours == "exact")
    shown = block_colours(plan.blocks, exact, [])
    filed = as_filed(plan)
    blocks = tuple(
        replace(block, thread=Thread(hexadecimal(colour)))
        for block, colour in zip(filed.blocks, shown, strict=True)
    )
    return Sewn(replace(filed, blocks=blocks), "exact", "plan")


def compare(first: Sewn, second: Sewn, tolerance_mm: float = TOLERANCE_MM) -> Comparison:
    """Hold two sides against each other; penetrations within the tolerance count as the same."""
    one, other = _points(first.plan), _points(second.plan)
    both = min(len(one), len(other))
    moved = other[:both] - one[:both]
    distance = np.hypot(moved[:, 0], moved[:, 1])
    stops = _stops(first.plan), _stops(second.plan)
    trims = _trims(first.plan), _trims(second.plan)
    return Comparison(
        stitches=(len(one), len(other)),
        stops=(len(stops[0]), len(stops[1])),
        trims=(len(trims[0]), len(trims[1])),
        same_stops=stops[0] == stops[1],
        same_trims=trims[0] == trims[1],
        same_colours=_same_colours(first, second),
        first=_first_difference(one, other, distance > tolerance_mm, stops[0]),
        largest_mm=float(distance.max()),
        mean_mm=float(distance.mean()),
        offset_mm=_offset(moved, tolerance_mm) if len(one) == len(other) else None,
    )


def _points(plan: Plan) -> np.ndarray:
    """All penetrations (n, 2), in mm from the origin."""
    return np.vstack([run for block in plan.blocks for run in block.runs]) - plan.centre


def _stops(plan: Plan) -> list[int]:
    """How many penetrations come before each stop."""
    counts = [sum(map(len, block.runs)) for block in plan.blocks]
    return np.cumsum(counts)[:-1].tolist()


def _trims(plan: Plan) -> list[int]:
    """How many penetrations come before each trim that is not at a stop: there not every format
    tells it."""
    counts = [len(run) for block in plan.blocks for run in block.runs]
    return sorted({*np.cumsum(counts)[:-1].tolist()} - {*_stops(plan)})


def _same_colours(first: Sewn, second: Sewn) -> bool | None:
    """Whether the colours are the same, None where that can't be told: two palettes differ."""
    alike = first.colours == second.colours
    if not alike or first.colours == "none":
        return None
    if first.colours == "palette" and first.title != second.title:
        return None
    return _colours(first.plan) == _colours(second.plan)


def _colours(plan: Plan) -> list[str]:
    return [block.thread.colour for block in plan.blocks]


def _first_difference(
    one: np.ndarray, other: np.ndarray, differs: np.ndarray, stops: list[int]
) -> Difference | None:
    both = len(differs)
    index = int(np.argmax(differs)) if differs.any() else both
    if index == max(len(one), len(other)):
        return None
    return Difference(
        number=index + 1,
        after_stops=int(np.searchsorted(stops, index, side="right")),
        first_mm=_place(one, index),
        second_mm=_place(other, index),
    )


def _place(points: np.ndarray, index: int) -> Place | None:
    if index >= len(points):
        return None
    x, y = np.round(points[index], 3).tolist()
    return x, y


def _offset(moved: np.ndarray, tolerance_mm: float) -> Place | None:
    """How far everything was moved, if by the same way everywhere and by more than nothing."""
    low, high = moved.min(axis=0), moved.max(axis=0)
    middle = (low + high) / 2
    is_rigid = float((high - low).max()) <= 2 * tolerance_mm
    if not is_rigid or float(np.hypot(*middle)) <= tolerance_mm:
        return None
    x, y = np.round(middle, 3).tolist()
    return x, y
