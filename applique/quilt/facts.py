"""What one block comes to, in plain numbers that can be kept from one build to the next.

Everything is for one block; copies are reckoned with in `totals`.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields
from itertools import pairwise
from typing import Any

from applique.model import Plan, Thread
from applique.proof.thread import ThreadUse, tails_use, thread_by_spool
from applique.proof.time import USUAL_PACE, Pace, sewing_time
from applique.report import Finding

SizeMm = tuple[float, float]


@dataclass(frozen=True)
class ThreadLength:
    """A thread and how much of it a block takes, in metres: from the spool, and from the bobbin
    beneath it. Tails are in it, what is wasted isn't."""

    name: str
    colour: str
    needle_m: float
    bobbin_m: float


@dataclass(frozen=True)
class BlockFacts:
    """What a block comes to. `finished_mm` and `background_mm` are widths and heights, the latter
    as the background is cut; `hoopings` the size of what is hooped each time, stabiliser included.
    `machine_minutes` are the machine's own, `hand_minutes` the user's."""

    name: str
    finished_mm: SizeMm
    seam_allowance_mm: float
    pieces: int
    stitches: int
    stops: int
    trims: int
    thread_changes: int
    hoopings: tuple[SizeMm, ...]
    machine_minutes: float
    hand_minutes: float
    threads: tuple[ThreadLength, ...]
    background: str
    background_mm: SizeMm
    errors: int = 0
    warnings: int = 0
    notes: int = 0

    def as_dict(self) -> dict[str, Any]:
        """The facts for JSON; `from_dict` gives back the same."""
        made: dict[str, Any] = {item.name: getattr(self, item.name) for item in fields(self)}
        made["finished_mm"] = list(self.finished_mm)
        made["background_mm"] = list(self.background_mm)
        made["hoopings"] = [list(size) for size in self.hoopings]
        made["threads"] = [[it.name, it.colour, it.needle_m, it.bobbin_m] for it in self.threads]
        return made

    @classmethod
    def from_dict(cls, kept: object) -> BlockFacts:
        """Facts that were kept as JSON. Raises ValueError for anything odd in them."""
        names = {item.name for item in fields(cls)}
        if not isinstance(kept, dict) or set(kept) != names:
            raise ValueError("these are no facts of a block")
        return cls(
            name=_text(kept, "name"),
            finished_mm=_size(kept["finished_mm"]),
            seam_allowance_mm=_amount(kept["seam_allowance_mm"]),
            hoopings=tuple(_size(size) for size in _several(kept["hoopings"])),
            machine_minutes=_amount(kept["machine_minutes"]),
            hand_minutes=_amount(kept["hand_minutes"]),
            threads=tuple(_thread(each) for each in _several(kept["threads"])),
            background=_text(kept, "background"),
            background_mm=_size(kept["background_mm"]),
            **{name: _count(kept[name]) for name in _COUNTS},
        )


_COUNTS = (
    *("pieces", "stitches", "stops", "trims", "thread_changes"),
    *("errors", "warnings", "notes"),
)


def facts_of(
    *,
    name: str,
    finished_mm: SizeMm,
    seam_allowance_mm: float,
    pieces: int,
    plans: Sequence[Plan],
    hand_minutes: float,
    hoopings: Sequence[SizeMm],
    background: str,
    background_mm: SizeMm,
    findings: Sequence[Finding] = (),
    pace: Pace = USUAL_PACE,
) -> BlockFacts:
    """The facts of a block from the plans of its stitch files, one for each hooping.

    A change of thread from one file to the next counts as well; the stops are those at which the
    machine waits within a file.
    """
    times = [sewing_time(plan.blocks, pace) for plan in plans]
    between = sum(
        one.blocks[-1].thread != other.blocks[0].thread
        for one, other in pairwise(plans)
        if one.blocks and other.blocks
    )
    told = Counter(finding.severity for finding in findings)
    return BlockFacts(
        name=name,
        finished_mm=finished_mm,
        seam_allowance_mm=seam_allowance_mm,
        pieces=pieces,
        stitches=sum(time.stitches for time in times),
        stops=sum(time.stops for time in times),
        trims=sum(time.trims for time in times),
        thread_changes=sum(time.thread_changes for time in times) + between,
        hoopings=tuple(hoopings),
        machine_minutes=sum(time.machine_minutes for time in times),
        hand_minutes=hand_minutes,
        threads=tuple(
            ThreadLength(thread.name, thread.colour, use.needle_mm / 1000, use.bobbin_mm / 1000)
            for thread, use in _uses(plans).items()
        ),
        background=background,
        background_mm=background_mm,
        errors=told["error"],
        warnings=told["warning"],
        notes=told["note"],
    )


def _uses(plans: Sequence[Plan]) -> dict[Thread, ThreadUse]:
    """What each thread takes, tails included, in the order of first use."""
    uses: dict[Thread, ThreadUse] = {}
    for plan in plans:
        for block in plan.blocks:
            used = thread_by_spool([block])[block.thread] + tails_use([block])
            uses[block.thread] = uses.get(block.thread, ThreadUse()) + used
    return uses


def _text(kept: Mapping[str, object], name: str) -> str:
    value = kept[name]
    if not isinstance(value, str):
        raise ValueError(f"{name} must be a text, not {value!r}")
    return value


def _amount(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ValueError(f"{value!r} is no number")
    if not (math.isfinite(value) and value >= 0):
        raise ValueError(f"{value!r} is no amount")
    return value


def _count(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or value < 0:
        raise ValueError(f"{value!r} is no count")
    return value


def _several(value: object) -> Sequence[object]:
    if not isinstance(value, list):
        raise ValueError(f"{value!r} is no list")
    return value


def _size(value: object) -> SizeMm:
    sides = [_amount(side) for side in _several(value)]
    if len(sides) != 2 or min(sides) <= 0:
        raise ValueError(f"{value!r} is no width and height")
    return sides[0], sides[1]


def _thread(value: object) -> ThreadLength:
    parts = _several(value)
    if len(parts) != 4:
        raise ValueError(f"{value!r} is no thread")
    name, colour, needle_m, bobbin_m = parts
    if not (isinstance(name, str) and isinstance(colour, str)):
        raise ValueError(f"{value!r} is no thread")
    return ThreadLength(name, colour, _amount(needle_m), _amount(bobbin_m))
