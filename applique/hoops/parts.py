"""A block's pieces as the parts that the search shares out among hoopings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from applique.errors import InputError
from applique.hoops.boxes import box_of_steps
from applique.hoops.by_machine import without_machine
from applique.hoops.layered import Layered
from applique.hoops.problem import BoxMm, Problem, SizeMm
from applique.hoops.stretching.joins import Join
from applique.hoops.stretching.stretches import stretches
from applique.layering.details import sewn_shape
from applique.model import EMPTY, Laid, LaidDetail, LaidPiece, Step
from applique.report import Finding, error
from applique.sequence.keep import RANK
from applique.sequence.precedence import Before

_MOST_DIVISIONS = 6
"""So many windows are tried, the largest first."""

NEAR_MM = 3.0
"""A stretch of a piece comes before what is laid within so much of its stitches."""


@dataclass(frozen=True, eq=False)
class Part:
    """What one hooping sews of a piece or detail: all of it, or, of a piece larger than every hoop,
    one of `count` stretches, numbered from 1."""

    laid: Laid
    steps: tuple[Step, ...]
    number: int = 1
    count: int = 1

    @property
    def label(self) -> str:
        """The piece's label."""
        return self.laid.part.label

    @property
    def name(self) -> str:
        """What it is called in the plan: `17`, or `17, stretch 2 of 3`."""
        if self.count == 1:
            return self.label
        return f"{self.label}, stretch {self.number} of {self.count}"

    @property
    def points(self) -> np.ndarray:
        """All its penetrations, (n, 2) in mm on the page."""
        return np.vstack([path for step in self.steps for path in step.paths])

    @property
    def box(self) -> BoxMm:
        """Left, top, right and bottom of its stitches."""
        return box_of_steps(self.steps)


@dataclass(frozen=True, eq=False)
class Parts:
    """The parts in stacking order, the joins between stretches with their pieces' labels, and the
    labels of the pieces of whose placement line a part is left out."""

    parts: tuple[Part, ...]
    joins: tuple[tuple[str, Join], ...]
    shortened: tuple[str, ...]

    @property
    def boxes(self) -> tuple[BoxMm, ...]:
        """The box of each part's stitches."""
        return tuple(part.box for part in self.parts)


def divisions_of(
    layered: Layered, windows: Sequence[SizeMm], on_the_machine: frozenset[str]
) -> list[Parts]:
    """The parts of a block in all ways that are worth a look. Which division of a piece that fits
    no window leads to the fewest hoopings can't be told beforehand: it is divided for all windows
    together, and for each of the largest alone.

    Raises InputError, naming the piece, where it can't be divided at all.
    """
    found = [parts_of(layered, windows, windows, on_the_machine)]
    if all(part.count == 1 for part in found[0].parts):
        return found
    largest = sorted(windows, key=lambda size: -size[0] * size[1])[:_MOST_DIVISIONS]
    for window in largest:
        try:
            other = parts_of(layered, windows, [window], on_the_machine)
        except InputError:  # The piece fits in stretches of other windows alone.
            continue
        if all(other.boxes != known.boxes for known in found):
            found.append(other)
    return found


def parts_of(
    layered: Layered,
    windows: Sequence[SizeMm],
    divided_for: Sequence[SizeMm],
    on_the_machine: frozenset[str],
) -> Parts:
    """The parts of a block, given in stacking order, without the pieces `on_the_machine`; whatever
    fits no window is sewn in stretches that fit one of those it is `divided_for`.

    Raises InputError, naming the piece, where even that can't be.
    """
    parts: list[Part] = []
    joins: list[tuple[str, Join]] = []
    shortened: list[str] = []
    faults: list[Finding] = []
    for item in layered.laid:
        label = item.part.label
        own = layered.steps_of(label)
        if not own or label in on_the_machine:
            continue
        whole = Part(item, own)
        if fits_one(whole.box, windows):
            parts.append(whole)
            continue
        try:
            found = stretches(own, divided_for, _outline(item), _above(item), _tie_mm(item))
        except ValueError as problem:
            faults.append(error("too-large", label, f"{problem}; give a larger field"))
            continue
        sewn = _worth_a_hooping([stretch.steps for stretch in found.parts])
        parts += [
            Part(item, share, number, len(sewn)) for number, share in enumerate(sewn, start=1)
        ]
        joins += [(label, join) for join in found.joins]
        if len(sewn) < len(found.parts):
            shortened.append(label)
    if faults:
        raise InputError("some pieces fit no field, not even in stretches", faults)
    return Parts(tuple(parts), tuple(joins), tuple(shortened))


def larger_than_all(layered: Layered, windows: Sequence[SizeMm]) -> frozenset[str]:
    """The labels of the pieces, not details, whose stitches fit no window."""
    pieces = [item for item in layered.laid if isinstance(item, LaidPiece)]
    wholes = [Part(item, layered.steps_of(item.piece.label)) for item in pieces]
    return frozenset(
        part.label for part in wholes if part.steps and not fits_one(part.box, windows)
    )


def problem_of(
    parts: Sequence[Part],
    before: Before,
    on_the_machine: frozenset[str],
    windows: Sequence[SizeMm],
    fixed: Mapping[str, int],
    keep_out: Sequence[BoxMm],
) -> Problem:
    """The search's question. `fixed` gives the hooping, from 1, of some labels."""
    places: dict[str, list[int]] = {}
    for index, part in enumerate(parts):
        places.setdefault(part.label, []).append(index)
    same, apart = without_machine(before, on_the_machine)
    return Problem(
        boxes=np.array([part.box for part in parts]).reshape(-1, 4),
        windows=tuple(windows),
        below=[_indices(part, same[part.label], parts, places) for part in parts],
        apart=[_indices(part, apart[part.label], parts, places) for part in parts],
        colours=tuple(part.laid.part.thread.colour for part in parts),
        fixed={k: number - 1 for label, number in fixed.items() for k in places.get(label, ())},
        keep_out=tuple(keep_out),
    )


def _indices(
    part: Part, lowers: frozenset[str], parts: Sequence[Part], places: Mapping[str, list[int]]
) -> tuple[int, ...]:
    """The parts of lower pieces that must be sewn before a part."""
    met = [
        _met(part, [parts[k] for k in places[lower]], places[lower])
        for lower in lowers & places.keys()
    ]
    return tuple(sorted(index for indices in met for index in indices))


def fits_one(box: BoxMm, windows: Sequence[SizeMm]) -> bool:
    """Whether a box is no larger than one of some windows."""
    left, top, right, bottom = box
    size = np.array([right - left, bottom - top])
    return bool((size <= np.array(windows) + 1e-6).all(axis=1).any())


def _worth_a_hooping(shares: Sequence[tuple[Step, ...]]) -> list[tuple[Step, ...]]:
    """Stretches without those of which there is nothing but a placement line, if there is more of
    others: the piece is laid with one of these."""
    more = [steps for steps in shares if any(step.kind != "placement" for step in steps)]
    return more or list(shares)


def _met(upper: Part, lower: Sequence[Part], indices: Sequence[int]) -> list[int]:
    """Which parts of a lower piece must be sewn before a part of an upper one: those whose
    stitches what is laid of the upper would cover, at least the nearest."""
    if len(lower) == 1 or upper.count > 1:
        # The upper's whole fabric is laid with its first stretch, whichever that is.
        return list(indices)
    fabric = _as_laid(upper.laid)
    away = np.array([shapely.distance(fabric, shapely.MultiPoint(one.points)) for one in lower])
    near = away <= max(NEAR_MM, float(away.min()))
    return [index for index, meets in zip(indices, near, strict=True) if meets]


def _as_laid(laid: Laid) -> shapely.Geometry:
    return sewn_shape(laid) if isinstance(laid, LaidDetail) else laid.cut


def _outline(laid: Laid) -> shapely.Geometry:
    return laid.shape if isinstance(laid, LaidDetail) else laid.piece.outline.shape


def _above(laid: Laid) -> shapely.Geometry:
    return EMPTY if isinstance(laid, LaidDetail) else laid.above


def _tie_mm(laid: Laid) -> float:
    return laid.part.settings.tie_length_mm


def merged_steps(parts: Sequence[Part]) -> dict[str, tuple[Step, ...]]:
    """The steps of each piece that one hooping sews, stretches of one piece put together."""
    merged: dict[str, list[Step]] = {}
    for part in parts:
        merged.setdefault(part.label, []).extend(part.steps)
    return {
        label: tuple(sorted(steps, key=lambda step: RANK[step.kind]))
        for label, steps in merged.items()
    }


def laid_already(part: Part) -> Part:
    """A stretch of a piece whose fabric lies already: without a placement line, unless it has
    nothing else."""
    rest = tuple(step for step in part.steps if step.kind != "placement")
    return replace(part, steps=rest or part.steps)
