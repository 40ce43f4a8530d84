"""Several fabrics on mats that they share."""

from __future__ import annotations

from collections.abc import Sequence

from applique.cutsheets.mixed_record import digest_of_all, mats_as_record, mats_from_record
from applique.cutsheets.result import SLACK_S, Batch, Told, check, check_lines, effort_in
from applique.cutting.bound import least_sheets
from applique.cutting.lots import Lot
from applique.cutting.nested import NestedSheet, NestingTask, Placement
from applique.cutting.pieces import BEYOND_MM, CutPiece
from applique.cutting.request import CutRequest
from applique.cutting.sheet import Region, Sheet, sheet_of
from applique.errors import AppliqueError, InputError
from applique.nesting import solver
from applique.nesting.mats.check import faults_of_mats
from applique.nesting.mats.plan import SharedMat, covers_mat
from applique.nesting.mats.sharing import share_mats
from applique.nesting.sheets import PLAIN, SOLVER, Progress

MIXED = "mixed"


def mixed_batch(
    lots: Sequence[Lot], request: CutRequest, seconds: float, kept: object, told: Told
) -> tuple[Batch | None, list[AppliqueError]]:
    """The lots on few mats, and why some of them could not be laid. What was `kept` is used where
    it is of the same pieces."""
    gap_mm, margin_mm = request.gap_mm + 2 * BEYOND_MM, request.margin_mm + BEYOND_MM
    tasks = [(lot.name, lot.task((), gap_mm, margin_mm)) for lot in lots]
    problems: list[AppliqueError] = []

    def may_go_on() -> bool:
        return told(Progress(0, 0, "sharing mats"))

    mats: tuple[SharedMat, ...] = ()
    while tasks and not mats:
        mats = mats_from_record(kept, tasks, request.sheets)
        if mats and (effort_in(kept) >= seconds - SLACK_S or len(mats) <= _bound(tasks, request)):
            break
        try:
            mats = share_mats(tasks, request.sheets, seconds, may_go_on)
        except InputError as problem:
            problems.append(problem)
            faulty = {finding.object for finding in problem.findings}
            left = [each for each in tasks if each[0] not in faulty]
            tasks = left if len(left) < len(tasks) else []
    if not mats:
        return None, problems
    check(MIXED, faults_of_mats(tasks, request.sheets, mats))
    record = mats_as_record(mats, digest_of_all(tasks, request.sheets))
    laid = {name for name, _ in tasks}
    pieces = {lot.name: lot.pieces for lot in lots if lot.name in laid}
    sheets = tuple(
        _sheet(mat, number, len(mats), pieces, request) for number, mat in enumerate(mats, start=1)
    )
    for sheet in sheets:
        check_lines(sheet, request)
    count = sum(len(each) for each in pieces.values())
    packer = SOLVER if solver.is_there() else PLAIN
    return Batch(MIXED, count, sheets, _bound(tasks, request), packer, record), problems


def _sheet(
    mat: SharedMat,
    number: int,
    count: int,
    pieces: dict[str, tuple[CutPiece, ...]],
    request: CutRequest,
) -> Sheet:
    """A mat as a sheet; the pieces of all fabrics on it are numbered through."""
    all_pieces: list[CutPiece] = []
    places: list[Placement] = []
    for patch in mat.patches:
        for it in patch.placements:
            places.append(Placement(len(all_pieces), it.angle_degrees, it.x_mm, it.y_mm))
            all_pieces.append(pieces[patch.fabric][it.index])
    nested = NestedSheet(mat.stock, tuple(places))
    name, regions = MIXED, [Region(patch.fabric, patch.box_mm) for patch in mat.patches]
    if len(mat.patches) == 1 and covers_mat(mat.patches[0], mat.stock):
        name, regions = mat.patches[0].fabric, []
    return sheet_of(
        name, number, count, nested, all_pieces, request.face, request.margin_mm, regions
    )


def _bound(tasks: Sequence[tuple[str, NestingTask]], request: CutRequest) -> int:
    """Mats that are certainly needed, by what all fabrics take together."""
    names = tuple(name for _, task in tasks for name in task.names)
    shapes = tuple(shape for _, task in tasks for shape in task.shapes)
    everything = NestingTask(
        names, shapes, "any", request.sheets, request.gap_mm, request.margin_mm
    )
    return least_sheets(everything)
