"""What the whole quilt comes to: fabric, thread, bobbins and hours, copies reckoned with."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from applique.cutting.needed import FabricNeeded
from applique.quilt.facts import BlockFacts, SizeMm
from applique.quilt.project import BlockEntry, Project
from applique.quilt.requirements import Requirement, from_fabrics, from_rolls
from applique.quilt.top import top_of
from applique.report import Finding, counted, warning
from applique.threads.spool import USUAL_SPOOL_M, USUAL_WEIGHT, Spool

WASTE_SHARE = 0.15
"""Thread that is bought beyond what is sewn: 10 to 15 % (apparelscience.com), of which the larger
is safe."""

BOBBIN_M = 60.0
"""Thread on a bobbin: 60 to 120 m by its size and the thread (from memory), of which the smaller
is safe."""

PIECES = "pieces"
"""The purpose of what a nesting takes."""


@dataclass(frozen=True)
class FabricTotal:
    """All that is cut of one fabric. `fabric` and `colour` are "" where none is chosen yet."""

    fabric: str
    colour: str
    price_a_metre: float | None
    uses: tuple[Requirement, ...]

    @property
    def needed(self) -> FabricNeeded:
        """All uses together, one after the other along the fabric. They may come to less where
        small pieces go beside large ones."""
        each = [use.needed for use in self.uses]
        return FabricNeeded(
            fabric=self.fabric,
            pieces=sum(it.pieces for it in each),
            area_mm2=sum(it.area_mm2 for it in each),
            usable_width_mm=min(it.usable_width_mm for it in each),
            length_mm=sum(it.length_mm for it in each),
        )

    @property
    def cost(self) -> float | None:
        """What its length costs in whole tenths of a metre, None without a price."""
        if self.price_a_metre is None:
            return None
        return self.needed.metre_tenths * self.price_a_metre / 10


@dataclass(frozen=True)
class ThreadTotal:
    """A thread for all blocks: metres from the spool as sewn, and spools of `spool_m` to have, the
    waste reckoned in."""

    name: str
    colour: str
    weight: str
    needle_m: float
    spool_m: float

    @property
    def spools(self) -> int:
        """How many spools hold it."""
        return math.ceil(self.needle_m * (1 + WASTE_SHARE) / self.spool_m)


@dataclass(frozen=True)
class Work:
    """What there is to sew, copies reckoned with; minutes at the machine are its own, `hand` those
    of laying, trimming, threading and hooping."""

    blocks: int = 0
    pieces: int = 0
    stitches: int = 0
    stops: int = 0
    hoopings: int = 0
    machine_minutes: float = 0.0
    hand_minutes: float = 0.0


@dataclass(frozen=True)
class QuiltTotals:
    """What a quilt comes to. `size_mm` is that of the finished top, None if it isn't known;
    `weeks` are in order, 0 what has none; `missing` names blocks without facts, which are in no
    figure."""

    name: str
    size_mm: SizeMm | None
    work: Work
    weeks: tuple[tuple[int, Work], ...]
    fabrics: tuple[FabricTotal, ...]
    linings: tuple[Requirement, ...]
    threads: tuple[ThreadTotal, ...]
    bobbin_m: float
    missing: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = field(default=())

    @property
    def bobbins(self) -> int:
        """How many bobbins to wind, the waste reckoned in."""
        return math.ceil(self.bobbin_m * (1 + WASTE_SHARE) / BOBBIN_M)

    @property
    def cost(self) -> float | None:
        """What the fabrics with a price cost, None if none has one."""
        costs = [it.cost for it in self.fabrics if it.cost is not None]
        return sum(costs) if costs else None


def totals_of(
    project: Project, facts: Mapping[str, BlockFacts], nested: Sequence[FabricNeeded]
) -> QuiltTotals:
    """What a quilt comes to. `facts` are those of single blocks by name, `nested` what the pieces
    of all blocks and copies take by fabric."""
    sizes = {name: each.finished_mm for name, each in facts.items()}
    top = top_of(project.assembly, sizes)
    known = [(facts[block.name], block) for block in project.blocks if block.name in facts]
    copied = [(each, block.copies) for each, block in known]
    weeks = sorted({block.week for _, block in known})
    fabrics = from_fabrics(project, facts, top)
    linings = from_rolls(project.assembly, copied, top)
    return QuiltTotals(
        name=project.name,
        size_mm=None if top is None else (top.width_mm, top.height_mm),
        work=_work(copied),
        weeks=tuple(
            (week, _work((it, block.copies) for it, block in known if block.week == week))
            for week in weeks
        ),
        fabrics=_fabrics(project, nested, fabrics.requirements),
        linings=linings.requirements,
        threads=_threads(copied, project.spools),
        bobbin_m=sum(
            thread.bobbin_m * copies for each, copies in copied for thread in each.threads
        ),
        missing=tuple(block.name for block in project.blocks if block.name not in facts),
        findings=(
            *_miscounted(project),
            *(() if top is None else top.findings),
            *fabrics.findings,
            *linings.findings,
        ),
    )


def _work(copied: Iterable[tuple[BlockFacts, int]]) -> Work:
    every = list(copied)
    return Work(
        blocks=sum(copies for _, copies in every),
        pieces=sum(it.pieces * copies for it, copies in every),
        stitches=sum(it.stitches * copies for it, copies in every),
        stops=sum(it.stops * copies for it, copies in every),
        hoopings=sum(len(it.hoopings) * copies for it, copies in every),
        machine_minutes=sum(it.machine_minutes * copies for it, copies in every),
        hand_minutes=sum(it.hand_minutes * copies for it, copies in every),
    )


def _fabrics(
    project: Project, nested: Sequence[FabricNeeded], requirements: Sequence[Requirement]
) -> tuple[FabricTotal, ...]:
    """Every fabric with all its uses: those of quilt.toml in its order, then the others as they
    come, and last what no fabric is chosen for."""
    uses: dict[str, list[Requirement]] = {}
    for needed in nested:
        how = f"{needed.pieces}, laid out closely"
        uses.setdefault(needed.fabric, []).append(Requirement(PIECES, how, needed))
    for requirement in requirements:
        uses.setdefault(requirement.needed.fabric, []).append(requirement)
    order = [name for name in project.fabrics if name in uses]
    order += [name for name in uses if name and name not in project.fabrics]
    order += [name for name in uses if not name]
    totals = []
    for name in order:
        stock = project.fabrics.get(name)
        colour = "" if stock is None else stock.fabric.colour
        price = None if stock is None else stock.price_a_metre
        totals.append(FabricTotal(name, colour, price, tuple(uses[name])))
    return tuple(totals)


def _threads(
    copied: Sequence[tuple[BlockFacts, int]], spools: Sequence[Spool]
) -> tuple[ThreadTotal, ...]:
    """Every thread, that of which most is sewn first."""
    metres: dict[tuple[str, str], float] = {}
    for each, copies in copied:
        for thread in each.threads:
            key = (thread.name, thread.colour)
            metres[key] = metres.get(key, 0.0) + thread.needle_m * copies
    known = {(spool.name, spool.colour): spool for spool in spools}
    totals = []
    for (name, colour), needle_m in metres.items():
        spool = known.get((name, colour))
        weight = USUAL_WEIGHT if spool is None else spool.weight
        spool_m = USUAL_SPOOL_M if spool is None else spool.length_m
        totals.append(ThreadTotal(name, colour, weight, needle_m, spool_m))
    return tuple(sorted(totals, key=lambda it: (-it.needle_m, it.name, it.colour)))


def _miscounted(project: Project) -> list[Finding]:
    """Blocks of which the rows show more than are sewn."""
    shown = [name for row in project.assembly.rows for name in row if name]
    return [
        _too_few(block, shown.count(block.name))
        for block in project.blocks
        if shown.count(block.name) > block.copies
    ]


def _too_few(block: BlockEntry, shown: int) -> Finding:
    text = (
        f"the rows show it {counted(shown, 'time', 'times')}, but {block.copies} "
        f"{'is' if block.copies == 1 else 'are'} reckoned with; give it copies = {shown}"
    )
    return warning("copies", block.name, text)
