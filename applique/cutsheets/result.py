"""What comes out of cutting: sheets by fabric, what to buy, and what could not be done."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from applique.cutting.needed import FabricNeeded
from applique.cutting.request import CutRequest
from applique.cutting.sheet import Sheet
from applique.cutting.validity import faults_of_curves
from applique.errors import AppliqueError, OutputError
from applique.nesting.sheets import Progress
from applique.report import Finding

Told = Callable[[Progress], bool]
"""Hears how far the search is, and says whether it may go on."""


EFFORT = "effort_s"
"""What a record has the seconds under that were searched for it."""

SLACK_S = 0.01
"""Seconds that differ by less are the same."""


def effort_in(record: object) -> float:
    """The seconds that were searched for a record; 0 if it doesn't tell."""
    told = record.get(EFFORT) if isinstance(record, Mapping) else None
    return told if isinstance(told, float) and 0 <= told < float("inf") else 0.0


@dataclass(frozen=True, eq=False)
class Batch:
    """The pieces of one fabric, or of several that share mats, on their sheets.

    `bound` sheets are certainly needed; `packer` names what laid them; `record` tells where
    everything lies, empty where that is not kept.
    """

    name: str
    pieces: int
    sheets: tuple[Sheet, ...]
    bound: int
    packer: str
    record: Mapping[str, object]

    @property
    def used_share(self) -> float:
        """What of all sheets is pieces, from 0 to 1."""
        room_mm2 = sum(sheet.stock.shape.area for sheet in self.sheets)
        used_mm2 = sum(sheet.used_share * sheet.stock.shape.area for sheet in self.sheets)
        return used_mm2 / room_mm2


@dataclass(frozen=True, eq=False)
class Cut:
    """All that could be cut, what to buy for it, and why anything could not be done. `again` says
    that only some pieces were asked for, spoiled ones; `record` is what is kept for the next time.
    """

    done: tuple[Batch, ...]
    needed: tuple[FabricNeeded, ...]
    problems: tuple[AppliqueError, ...]
    findings: tuple[Finding, ...]
    again: bool
    record: Mapping[str, object]


def check(name: str, faults: Sequence[str]) -> None:
    """Raise OutputError if anything is wrong with a nesting."""
    if faults:
        raise OutputError(
            f"{name}: the nesting does not stand the check and is not written ({faults[0]}); "
            "run it again"
        )


def check_lines(sheet: Sheet, request: CutRequest) -> None:
    """Raise OutputError if anything is wrong with the very lines of a sheet that are written."""
    lines = [(cut.piece.mark, cut.curves) for cut in sheet.cuts]
    check(sheet.title, faults_of_curves(lines, sheet.stock, request.gap_mm, request.margin_mm))
