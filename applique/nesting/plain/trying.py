"""As much as goes on one sheet, tried in several ways."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from applique.cutting.nested import NestingTask, Placement, Stock
from applique.nesting.plain.kit import Kit
from applique.nesting.plain.search import Liking

_GOLDEN = (5**0.5 - 1) / 2
"""Multiples of the golden section spread evenly over 0..1: orders are shuffled by it, without
chance."""

_SWAY = 0.5
"""Shapes whose sizes differ by less than this share may change places in an order."""

_LIKINGS = tuple(Liking(contact_mm, (1e-4, 1e-4)) for contact_mm in (8.0, 12.0, 6.0))
"""Touching much counts, the upper left only between places that touch as much. 8 mm pack best
(found by trial)."""

_UPWARD = Liking(8.0, (0.001, 0.01))
"""A tenth of the edge touching is worth as much as lying 10 mm farther up."""

_ANGLES = 16
"""Angles beside the upright ones, in every second try."""

_EACH = 200
_IMPATIENCE = 1 / 150
"""Of so many shapes each is tried. Where there are more, after each one in a row that found no room
more of the next are passed over, by this share of the number: some of each size are tried."""

_MOST_TRIES = 256
"""Tries of one sheet at most."""


@dataclass(frozen=True)
class Filled:
    """What was laid on a sheet, and the area of it in mm2."""

    placements: tuple[Placement, ...]
    area_mm2: float


def lay_on(
    task: NestingTask,
    indices: Sequence[int],
    stock: Stock,
    may_go_on: Callable[[], bool],
) -> tuple[Placement, ...]:
    """As much of some shapes as goes on one sheet, the largest first; the rest is left.

    `may_go_on` is asked before every try but the first. What lies on the sheet keeps gap and
    margin to 0.0005 mm.
    """
    if not indices:
        return ()
    kit = Kit(task, indices, (stock,))
    return best_filled(kit, indices, stock, _MOST_TRIES, may_go_on).placements


def lay_upward(task: NestingTask, stock: Stock) -> tuple[Placement, ...]:
    """All shapes of a task on one sheet, towards its upper side; none if they find no room. The
    same each time, as `lay_on` otherwise."""
    indices = range(len(task.shapes))
    found = moved_up(Kit(task, indices, (stock,)), indices, stock)
    return found.placements if len(found.placements) == len(indices) else ()


def best_filled(
    kit: Kit, indices: Sequence[int], stock: Stock, tries: int, may_go_on: Callable[[], bool]
) -> Filled:
    """The fullest of some tries."""
    best = filled(kit, indices, stock, 0)
    for number in range(1, tries):
        if len(best.placements) == len(indices) or not may_go_on():
            break
        found = filled(kit, indices, stock, number)
        if found.area_mm2 > best.area_mm2:
            best = found
    return best


def filled(kit: Kit, indices: Sequence[int], stock: Stock, number: int) -> Filled:
    """A sheet filled once. Each `number` is another way: another order, another liking, more
    angles."""
    order = _ordered(kit, indices, number)
    liking = _LIKINGS[number % len(_LIKINGS)]
    return _laid(kit, order, stock, liking, _ANGLES * (number % 2))


def moved_up(kit: Kit, indices: Sequence[int], stock: Stock) -> Filled:
    """A sheet filled from the top, so that what is left over is in one piece: for sheets that hold
    all there is."""
    return _laid(kit, _ordered(kit, indices, 0), stock, _UPWARD, 0)


def _laid(kit: Kit, order: Sequence[int], stock: Stock, liking: Liking, more: int) -> Filled:
    """Shapes laid on a sheet in an order, as far as they find room."""
    laying = kit.laying(stock)
    hopeless: set[bytes] = set()
    area = 0.0
    at = failures = 0
    while at < len(order):
        index = order[at]
        shape = kit.shape(index)
        at += 1
        if kit.key(index) in hopeless or shape.radius_mm > laying.largest_free_mm + kit.step_mm:
            continue
        if laying.lay(index, shape, kit.turned(index, more), liking):
            area += shape.area_mm2
            failures = 0
        else:
            hopeless.add(kit.key(index))
            failures += 1
            at += int(failures * max(len(order) - _EACH, 0) * _IMPATIENCE)
    return Filled(tuple(laying.placements), area)


def _ordered(kit: Kit, indices: Sequence[int], number: int) -> list[int]:
    """Shapes by size, the largest first: by area, by their largest disc, or swaying."""
    areas = np.array([kit.task.shapes[k].area for k in indices])
    sizes = areas if number != 1 else np.array([kit.shape(k).radius_mm for k in indices])
    if number > 1:
        sizes = sizes * (1 + _SWAY * ((np.arange(len(indices)) + 1) * number * _GOLDEN % 1))
    return [indices[k] for k in np.argsort(-sizes, kind="stable")]
