"""What `applique cut` says of its sheets."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from applique.cli.say import say
from applique.cli.table import aligned
from applique.cutsheets.files import CAUTION
from applique.cutsheets.result import Batch, Cut
from applique.cutting.needed import FabricNeeded, yards
from applique.cutting.usual import Tool
from applique.nesting.sheets import Progress
from applique.report import counted
from applique.units import MM_PER_INCH, compact

_SHEET_HEADINGS = ("cut from", "pieces", "sheets", "at least", "used")
_BUY_HEADINGS = ("to buy", "width", "yards", "metres", "fat quarters", "waste")

_MOST_SHARES = 4
"""Of so many sheets each share used is told, of more the mean."""


def far(progress: Progress) -> str:
    """How far the search is."""
    if not progress.found:
        return progress.what
    found = counted(progress.found, "sheet", "sheets")
    return f"{progress.what}, {found} found, at least {progress.bound} needed"


def say_cut(cut: Cut, paths: Iterable[Path], tool: Tool) -> None:
    """The sheets of each fabric, what to buy, and the files."""
    if not cut.done:
        return
    for line in aligned([_SHEET_HEADINGS, *(_sheet_row(done) for done in cut.done)], 1):
        say(line)
    if cut.needed:
        say("")
        for line in aligned([_BUY_HEADINGS, *(_buy_row(needed) for needed in cut.needed)], 1):
            say(line)
    say("")
    for path in paths:
        say(f"  {path}")
    say(CAUTION[tool])


def _sheet_row(done: Batch) -> tuple[str, ...]:
    shares = [done.used_share]
    if len(done.sheets) <= _MOST_SHARES:
        shares = [sheet.used_share for sheet in done.sheets]
    used = " ".join(f"{100 * share:.0f}" for share in shares)
    return done.name, str(done.pieces), str(len(done.sheets)), str(done.bound), f"{used} %"


def _buy_row(needed: FabricNeeded) -> tuple[str, ...]:
    return (
        needed.fabric,
        f"{compact(needed.usable_width_mm / MM_PER_INCH, 1)} in",
        yards(needed.yard_eighths).removesuffix(" yd"),
        f"{needed.metre_tenths / 10:.1f}",
        "" if needed.fat_quarters is None else str(needed.fat_quarters),
        f"{100 * needed.waste_share:.0f} %",
    )
