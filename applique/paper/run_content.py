"""What stands on the run sheet of a block, as plain objects; `runsheet.py` makes pages of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from applique.paper.content import Card
from applique.paper.sizes import SizeMm
from applique.quilt.project import Guidance

TaskKind = Literal["own", "trim", "lay", "press", "thread", "keep", "needle", "hoop", "machine"]
"""The user's own words, or what is done: trim, lay, press, change the thread, keep it whatever the
screen shows, rethread a needle, hoop, go to the sewing machine."""


@dataclass(frozen=True)
class Task:
    """One thing to do, as a sentence."""

    kind: TaskKind
    words: str


@dataclass(frozen=True)
class RunThread:
    """A thread as the sheet shows it: its colour as #rrggbb, what it is called there, and the
    fabric that it matches ("" where it has a name of its own, or there is none)."""

    colour: str
    name: str
    matching: str = ""

    @property
    def words(self) -> str:
        """All that is said of it."""
        return f"{self.name}, to match {self.matching}" if self.matching else self.name


@dataclass(frozen=True)
class RunStop:
    """One colour block of a file, and what is done when the machine stops at its end.

    `number` is the block's as the machine counts, from 1. `needle` is that of a machine with
    several, 0 where there is one. `hand_minutes` are those of the tasks. `set_by_hand` says that
    the machine would go on by itself, so that the user must set a stop here.
    """

    number: int
    sewn: str
    thread: RunThread
    needle: int
    stitches: int
    machine_minutes: float
    hand_minutes: float
    tasks: tuple[Task, ...]
    set_by_hand: bool = False


@dataclass(frozen=True)
class Sitting:
    """What one file sews in one hooping. `field` is the hoop's, or how large it must be; `lining`
    how the work is lined up; `begin` what is done before the first stitch, in `begin_minutes`."""

    number: int
    title: str
    file_name: str
    field: str
    lining: tuple[str, ...]
    begin: tuple[Task, ...]
    begin_minutes: float
    stops: tuple[RunStop, ...]

    @property
    def stitches(self) -> int:
        """All stitches of the file."""
        return sum(stop.stitches for stop in self.stops)

    @property
    def machine_stops(self) -> int:
        """How often the machine stops, or changes colour, before the end."""
        return max(len(self.stops) - 1, 0)

    @property
    def machine_minutes(self) -> float:
        """What the machine needs."""
        return sum(stop.machine_minutes for stop in self.stops)

    @property
    def hand_minutes(self) -> float:
        """What the user needs."""
        return self.begin_minutes + sum(stop.hand_minutes for stop in self.stops)


@dataclass(frozen=True)
class Rethreading:
    """A needle that gets another thread after a colour block of a sitting."""

    sitting: int
    after: int
    needle: int
    out: RunThread
    into: RunThread


@dataclass(frozen=True)
class NeedleTable:
    """The threads of a machine with several needles: what each holds at the start, from needle 1,
    and what is changed on the way. `hand_stops` are of each sitting (by its number) the colour
    blocks after which the user must set a stop."""

    threads: tuple[RunThread, ...]
    rethreadings: tuple[Rethreading, ...]
    hand_stops: tuple[tuple[int, tuple[int, ...]], ...]


@dataclass(frozen=True)
class CutSize:
    """A piece and the size of the rectangle its fabric comes out of, patch or turned edge
    included."""

    piece: str
    method: str
    size_mm: SizeMm


@dataclass(frozen=True)
class FabricCuts:
    """The pieces of one fabric in laying order."""

    fabric: str
    colour: str
    sizes: tuple[CutSize, ...]


@dataclass(frozen=True, eq=False)
class RunSheet:
    """A block for the machine. `card` gives the picture; `background` says in words how large the
    background is cut; `needles` is None for a machine with one needle."""

    card: Card
    sittings: tuple[Sitting, ...]
    needles: NeedleTable | None
    cuts: tuple[FabricCuts, ...]
    background: str
    guidance: Guidance
    stitches_per_minute: float

    @property
    def stops(self) -> Iterator[tuple[Sitting, RunStop]]:
        """Every colour block with its sitting, in order."""
        return ((sitting, stop) for sitting in self.sittings for stop in sitting.stops)

    @property
    def stitches(self) -> int:
        """All stitches."""
        return sum(sitting.stitches for sitting in self.sittings)

    @property
    def machine_stops(self) -> int:
        """How often the machine stops, or changes colour, within its files."""
        return sum(sitting.machine_stops for sitting in self.sittings)

    @property
    def machine_minutes(self) -> float:
        """What the machine needs for everything."""
        return sum(sitting.machine_minutes for sitting in self.sittings)

    @property
    def hand_minutes(self) -> float:
        """What the user needs for everything."""
        return sum(sitting.hand_minutes for sitting in self.sittings)
