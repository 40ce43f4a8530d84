"""How much fabric and fusible web to buy: pieces nested on them, not their area alone."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import shapely

from applique.cutting.bound import least_sheets
from applique.cutting.needed import FabricNeeded, fat_quarter
from applique.cutting.nested import NestingTask, Placement
from applique.errors import InputError
from applique.nesting import solver
from applique.nesting.bolt import Bolt
from applique.nesting.boxes import nest_in_rows
from applique.nesting.plain import count_plainly
from applique.nesting.sheets import nest
from applique.nesting.solver import Effort, Layout, Run
from applique.nesting.strip import Strip, shaken_layout

_LENGTHS_SHARE = 0.6
"""Of the time, for the lengths; the rest is for fat quarters."""

_FIRST_S, _FIRST_S_A_SHAPE, _LONGEST_FIRST_S = 1.0, 0.05, 20.0
"""The solver's first layout is waited for so long beyond the time: the plain packer would take as
long for a longer one (measured: 60 shapes 1 to 2 s)."""

_SHAKING_SHARE = 0.25
"""Of that, for shaking the layouts down."""

_PLAINLY_FULL = 0.75
"""How full the plain packer gets a fat quarter at most: of pieces of 40 mm, 12 times 50 to 80, it
got 71 to 72 % (measured). Rectangles, which fill more, lie in rows."""

_LOOKS_EVERY_S = 0.02
_SEED = 1


@dataclass(frozen=True)
class Needed:
    """What to buy of a fabric, and of fusible web for its pieces, if it is used."""

    fabric: FabricNeeded
    web: FabricNeeded | None


def needed_of(
    lot_name: str,
    task: NestingTask,
    width_mm: float,
    web_width_mm: float | None,
    seconds: float,
    may_go_on: Callable[[], bool],
) -> Needed:
    """How much fabric of a usable width, and fusible web of another, a task's shapes (one at least)
    take.

    Shapes keep the task's gap from each other and none from the selvedges, which the usable width
    leaves out. On web they turn as on the fabric: it may be fused before they are cut. The search
    lasts about so many seconds, or until what is to be bought can't get less; with no seconds rows
    and the plain packer tell, the same each time, and no solver is started. What is returned is
    always what a layout takes that stands the check.

    Raises InputError naming the pieces that are too wide, and how wide they need it to be.
    """
    bolts = [Bolt(lot_name, replace(task, stocks=(), margin_mm=0.0), width_mm)]
    if web_width_mm is not None:
        bolts.append(replace(bolts[0], what=f"fusible web for {lot_name}", width_mm=web_width_mm))
    for bolt in bolts:
        bolt.refuse_too_wide()
    end = time.monotonic() + seconds
    layouts: list[tuple[Placement, ...]] = [()] * len(bolts)
    if seconds > 0:
        layouts = _solved(bolts, seconds * _LENGTHS_SHARE, may_go_on)
    lengths = [bolt.length_of(layout) for bolt, layout in zip(bolts, layouts, strict=True)]
    quarters = _fat_quarters(task, end - time.monotonic(), may_go_on)
    fabric, *webs = [bolt.needed(length) for bolt, length in zip(bolts, lengths, strict=True)]
    return Needed(replace(fabric, fat_quarters=quarters), webs[0] if webs else None)


def _solved(
    bolts: Sequence[Bolt], seconds: float, may_go_on: Callable[[], bool]
) -> list[tuple[Placement, ...]]:
    """The solver's shortest layouts, all bolts at once, found within so many seconds or until less
    needn't be bought; nothing for a bolt for which it found none."""
    begun = time.monotonic()
    strips = [bolt.strip() if solver.is_there() else None for bolt in bolts]
    enough = [bolt.enough_mm() if strip else 0.0 for bolt, strip in zip(bolts, strips, strict=True)]
    patience = seconds + max(_first_s(len(bolt.task.shapes)) for bolt in bolts)
    effort = Effort(math.ceil(patience), 1, 1, _SEED)
    runs = [Run(it.items(), it.height, effort) if it else None for it in strips]
    working = {k: run for k, run in enumerate(runs) if run}
    try:
        while working and may_go_on():
            passed = time.monotonic() - begun
            for k, run in list(working.items()):
                goes_on = run.look(_LOOKS_EVERY_S / len(working))
                length = run.best.length_mm - bolts[k].task.gap_mm if run.best else math.inf
                due = passed >= (seconds * (1 - _SHAKING_SHARE) if run.best else patience)
                if not goes_on or due or length <= enough[k]:
                    run.stop()
                    del working[k]
    finally:
        for run in working.values():
            run.stop()
    gap_mm = bolts[0].task.gap_mm
    return [
        _turned_back(_shaken(strip, run.best, begun + seconds), gap_mm) if strip and run else ()
        for strip, run in zip(strips, runs, strict=True)
    ]


def _shaken(strip: Strip, layout: Layout | None, end: float) -> Layout | None:
    """A layout shaken down as long as there is time."""
    if layout is None:
        return None
    return shaken_layout(strip, layout, lambda: time.monotonic() < end)


def _first_s(shapes: int) -> float:
    """How long to wait for the solver's first layout at most."""
    return min(_FIRST_S + _FIRST_S_A_SHAPE * shapes, _LONGEST_FIRST_S)


def _turned_back(layout: Layout | None, gap_mm: float) -> tuple[Placement, ...]:
    """Places in a strip, half the gap wider on either side than the fabric, as places on this: a
    quarter turn back. None of them if there is no layout."""
    if layout is None:
        return ()
    return tuple(replace(it, x_mm=it.y_mm - gap_mm / 2, y_mm=-it.x_mm) for it in layout.placements)


def _fat_quarters(task: NestingTask, seconds: float, may_go_on: Callable[[], bool]) -> int | None:
    """How many fat quarters the shapes take; None if one is too large for them."""
    quarters = replace(task, stocks=(fat_quarter(),), margin_mm=0.0)
    try:
        if seconds <= 0:
            return _quarters_plainly(quarters)
        found = nest(
            quarters,
            seconds,
            lambda progress: progress.found > progress.bound and may_go_on(),
        )
    except InputError:
        return None
    return len(found.sheets)


def _quarters_plainly(task: NestingTask) -> int:
    """How many fat quarters the shapes take in rows, or as the plain packer lays them where these
    may be fewer. Raises InputError if one is too large for them."""
    in_rows = len(nest_in_rows(task))
    fewest = least_sheets(task) if in_rows > 1 else 1
    if 0 < in_rows <= max(fewest, _hopefully(task)):
        return in_rows
    found = count_plainly(task)
    return min(found, in_rows) if in_rows else found


def _hopefully(task: NestingTask) -> int:
    """How many fat quarters the plain packer needs at least, gaps counted as pieces."""
    half_mm = task.gap_mm / 2
    pieces_mm2 = float(shapely.area(shapely.buffer(list(task.shapes), half_mm)).sum())
    return math.ceil(pieces_mm2 / (_PLAINLY_FULL * task.stocks[0].shape.buffer(half_mm).area))
