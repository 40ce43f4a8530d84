"""Every fabric nested, checked and put on its sheets."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from applique.cutsheets.buying import Bought, bought_for, web_for_all
from applique.cutsheets.mixing import MIXED, mixed_batch
from applique.cutsheets.reading import Lots
from applique.cutsheets.result import (
    EFFORT,
    SLACK_S,
    Batch,
    Cut,
    Told,
    check,
    check_lines,
    effort_in,
)
from applique.cutting.bound import least_sheets
from applique.cutting.doubts import doubts_of, gathered
from applique.cutting.lots import Lot
from applique.cutting.nested import Nesting, NestingTask, Stock
from applique.cutting.pieces import BEYOND_MM, CutPiece
from applique.cutting.record import as_record, digest_of, from_earlier, from_record
from applique.cutting.request import CutRequest
from applique.cutting.sheet import sheet_of
from applique.cutting.validity import faults_of
from applique.errors import AppliqueError, InputError
from applique.nesting import solver
from applique.nesting.sheets import PLAIN_SINCE_FAILED, SOLVER, Progress, nest
from applique.report import Finding, errors_in, note

_SECONDS_A_LOT, _SECONDS_A_PIECE = 1.5, 0.1
"""A quilt of 2,000 pieces in 12 fabrics takes some four minutes so."""

SHEETS, BUYING = "sheets", "buying"
"""The parts of the record that is kept."""

_BUYING_SHARE = 0.25
"""Of a lot's time, for how much of it is to be bought."""


def usual_seconds(pieces: int) -> float:
    """How long so many pieces of one fabric are worked on, unless told."""
    return _SECONDS_A_LOT + _SECONDS_A_PIECE * pieces


def cut_lots(
    lots: Lots, request: CutRequest, most_seconds: float, kept: Mapping[str, object], told: Told
) -> Cut:
    """Every lot nested, within about `most_seconds` altogether or in the usual time if that is
    less; what can't be cut stops nothing else.

    `kept` is the record of an earlier run: where nothing has changed they are used again.
    """
    work = _Work(request, kept, told)
    sound = [lot for lot in lots.lots if work.is_sound(lot)]
    usual = sum(usual_seconds(len(lot.pieces)) for lot in sound)
    share = min(1.0, most_seconds / usual) if sound else 1.0
    alone = [lot for lot in sound if not request.mixed or lot.is_card]
    together = [lot for lot in sound if lot not in alone]
    if together:
        work.mix(together, share * sum(usual_seconds(len(lot.pieces)) for lot in together))
    for lot in alone:
        work.cut(lot, share * usual_seconds(len(lot.pieces)))
    return work.result()


class _Work:
    """What has been cut so far."""

    def __init__(self, request: CutRequest, kept: Mapping[str, object], told: Told) -> None:
        self._request = request
        self._kept = kept
        self._told = told
        self._done: list[Batch] = []
        self._used: set[str] = set()
        self._stopped = False
        self._bought: dict[str, Bought] = {}
        self._unbought: list[str] = []
        self._problems: list[AppliqueError] = []
        self._findings: list[Finding] = []

    def is_sound(self, lot: Lot) -> bool:
        """Whether all of a lot's lines can be cut; tells of what deserves a second look."""
        doubts = doubts_of(lot.pieces)
        if errors_in(doubts):
            text = f"{lot.name}: some of its cut lines can't be cut"
            self._problems.append(InputError(text, errors_in(doubts)))
            return False
        self._findings += doubts
        return True

    def cut(self, lot: Lot, seconds: float) -> None:
        """Nest a lot on sheets of its own."""
        buys = not self._request.only and not lot.is_card
        sheets_s = seconds * (1 - _BUYING_SHARE) if buys else seconds
        told = self._about(lot.name)
        try:
            kept = _among(self._kept, SHEETS).get(lot.name)
            batch = _batch(lot, self._stocks(lot), self._request, sheets_s, kept, told)
            self._keep(batch, sheets_s)
            self._used |= {sheet.stock.name for sheet in batch.sheets}
            if buys:
                self._buy(lot, seconds * _BUYING_SHARE)
        except AppliqueError as problem:
            self._problems.append(problem)

    def _keep(self, batch: Batch, seconds: float) -> None:
        """Put a batch with the others, and down how long was searched for it."""
        effort_s = 0.0 if self._stopped else max(seconds, effort_in(batch.record))
        record = {**batch.record, EFFORT: round(effort_s, 3)} if batch.record else {}
        self._done.append(replace(batch, record=record))

    def _stocks(self, lot: Lot) -> tuple[Stock, ...]:
        """What there is to cut a lot from: no scrap twice, even if it serves any fabric."""
        if lot.is_card:
            return self._request.sheets
        left = [it for it in self._request.scraps_for(lot.name) if it.name not in self._used]
        return (*left, *self._request.sheets)

    def mix(self, lots: list[Lot], seconds: float) -> None:
        """Nest several lots on mats that they share."""
        kept = _among(self._kept, SHEETS).get(MIXED)
        mixing_s = seconds * (1 - _BUYING_SHARE)
        try:
            batch, problems = mixed_batch(lots, self._request, mixing_s, kept, self._about(MIXED))
        except AppliqueError as problem:
            batch, problems = None, [problem]
        self._problems += problems
        if batch is None:
            return
        self._keep(batch, mixing_s)
        if not self._request.only:
            for lot in lots:
                self._buy(lot, seconds * _BUYING_SHARE / len(lots))

    def _buy(self, lot: Lot, seconds: float) -> None:
        kept = _among(self._kept, BUYING).get(lot.name)
        try:
            bought = bought_for(lot, self._request, seconds, kept, self._about(lot.name))
        except AppliqueError as problem:
            self._problems.append(problem)
            return
        if bought is None:
            self._unbought.append(lot.name)
        else:
            self._bought[lot.name] = bought
            self._problems += bought.problems

    def result(self) -> Cut:
        """Everything."""
        bought = list(self._bought.values())
        needed = [each.fabric for each in bought] + web_for_all(bought, self._request)
        self._findings += self._notes()
        return Cut(
            done=tuple(self._done),
            needed=tuple(needed),
            problems=tuple(self._problems),
            findings=tuple(gathered(self._findings)),
            again=bool(self._request.only),
            record={
                SHEETS: {each.name: each.record for each in self._done if each.record},
                BUYING: {name: each.as_record() for name, each in self._bought.items()},
            },
        )

    def _notes(self) -> list[Finding]:
        """What was done otherwise than usual."""
        notes = []
        more = "laid everything, which may take more sheets"
        if self._done and not solver.is_there():
            text = f"the solver is not installed here; the plain packer {more}"
            notes.append(note("no-solver", "", text))
        for done in self._done:
            if done.packer == PLAIN_SINCE_FAILED:
                text = f"the solver failed; the plain packer {more}"
                notes.append(note("solver-failed", done.name, text))
        if self._unbought:
            names = ", ".join(self._unbought)
            text = f"the time ended before it was known how much to buy of {names}"
            notes.append(note("to-buy", "", text))
        return notes

    def _about(self, name: str) -> Told:
        """Tells of what progress is."""

        def told(progress: Progress) -> bool:
            goes_on = self._told(replace(progress, what=f"{name}: {progress.what}"))
            self._stopped = self._stopped or not goes_on
            return goes_on

        return told


def _batch(
    lot: Lot,
    stocks: tuple[Stock, ...],
    request: CutRequest,
    seconds: float,
    kept: object,
    told: Told,
) -> Batch:
    task = lot.task(stocks, request.gap_mm, request.margin_mm)
    beyond_mm = 0.0 if all(_is_straight(piece) for piece in lot.pieces) else BEYOND_MM
    bound = least_sheets(task)
    before = from_record(kept, task) or _as_it_lay(kept, task, beyond_mm)
    if before is not None and len(before.sheets) > bound and effort_in(kept) < seconds - SLACK_S:
        before = None  # More time may find fewer.
    nesting = before or _nested(task, beyond_mm, seconds, told)
    if nesting.packer == SOLVER and faults_of(task, nesting.sheets):  # A fault of the solver.
        nesting = _nested(task, beyond_mm, 0.0, told)
    check(lot.name, faults_of(task, nesting.sheets))
    count = len(nesting.sheets)
    sheets = tuple(
        sheet_of(lot.name, number, count, nested, lot.pieces, request.face, request.margin_mm)
        for number, nested in enumerate(nesting.sheets, start=1)
    )
    for sheet in sheets:
        check_lines(sheet, request)
    # Where the solver failed it is to be tried again the next time.
    failed = nesting.packer == PLAIN_SINCE_FAILED
    effort = {EFFORT: effort_in(kept)} if before else {}
    record = {"digest": digest_of(task), "names": list(task.names), **as_record(nesting), **effort}
    return Batch(
        name=lot.name,
        pieces=len(lot.pieces),
        sheets=sheets,
        bound=bound,
        packer=nesting.packer,
        record={} if failed else record,
    )


def _is_straight(piece: CutPiece) -> bool:
    """Whether all its sides are straight, so that its shape is just what is cut."""
    return all(bool(curve.straight.all()) for curve in piece.curves)


def _as_it_lay(kept: object, task: NestingTask, beyond_mm: float) -> Nesting | None:
    """An earlier nesting in which only outlines have changed, where all may still lie as it lay: so
    sheets that are cut already stay right."""
    return from_earlier(kept, _careful(task, beyond_mm))


def _careful(task: NestingTask, beyond_mm: float) -> NestingTask:
    """A task that leaves room for what curves reach beyond the shapes that stand for them."""
    gap_mm, margin_mm = task.gap_mm + 2 * beyond_mm, task.margin_mm + beyond_mm
    return replace(task, gap_mm=gap_mm, margin_mm=margin_mm)


def _nested(task: NestingTask, beyond_mm: float, seconds: float, told: Told) -> Nesting:
    """A nesting that leaves room for what curves reach beyond the shapes that stand for them; where
    a piece fits in no other way, none for the margin."""
    careful = _careful(task, beyond_mm)
    try:
        return nest(careful, seconds, told)
    except InputError:
        return nest(replace(careful, margin_mm=task.margin_mm), seconds, told)


def _among(kept: Mapping[str, object], part: str) -> Mapping[str, object]:
    """One part of what was kept; empty if it is not as it should be."""
    found = kept.get(part)
    return found if isinstance(found, dict) else {}
