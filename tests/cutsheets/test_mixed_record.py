"""Shared mats written down and read again: the same ones, or none."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from typing import Any

import pytest
from shapely import box

from applique.cutsheets.mixed_record import digest_of_all, mats_as_record, mats_from_record
from applique.cutting.lots import Lot
from applique.cutting.nested import NestingTask, Placement, Stock, rectangle
from applique.nesting.mats.check import faults_of_mats
from applique.nesting.mats.plan import Patch, SharedMat
from tests.cutting.pieces import cut_piece

SHEETS = (rectangle("mat", 120.0, 120.0), rectangle("strip", 200.0, 60.0, 1))
INCH = 25.4


def lot(name: str, *sides_mm: float) -> Lot:
    pieces = [cut_piece(box(0.0, 0.0, side, side), str(side)) for side in sides_mm]
    return Lot(name, "half", tuple(pieces))


def tasks_of(*lots: Lot, gap_mm: float = 3.0) -> list[tuple[str, NestingTask]]:
    return [(lot.name, lot.task((), gap_mm, 6.0)) for lot in lots]


TASKS = tasks_of(lot("sea", 15.0, 40.0), lot("sand", 15.0))

MATS = (
    SharedMat(
        SHEETS[0],
        (
            Patch("sea", (6.0, 6.0, 6 + INCH, 6 + INCH), (Placement(0, 180.0, 25.5, 25.25),)),
            Patch("sand", (40.0, 6.0, 40 + INCH, 6 + INCH), (Placement(0, 0.0, 44.5, 10.125),)),
        ),
    ),
    SharedMat(SHEETS[1], (Patch("sea", (0.0, 0.0, 200.0, 60.0), (Placement(1, 0.0, 7.0, 8.0),)),)),
)


def kept() -> Any:
    """The record of the mats, as it is read from its file."""
    return json.loads(json.dumps(mats_as_record(MATS, digest_of_all(TASKS, SHEETS))))


def plain(mats: tuple[SharedMat, ...]) -> list[Any]:
    return [(mat.stock, [(it.fabric, it.box_mm, it.placements) for it in mat.patches])
            for mat in mats]  # fmt: skip


def test_mats_are_read_as_they_were_written() -> None:
    assert faults_of_mats(TASKS, SHEETS, MATS) == []
    assert plain(mats_from_record(kept(), TASKS, SHEETS)) == plain(MATS)


@pytest.mark.parametrize(
    ("tasks", "sheets"),
    [
        (tasks_of(lot("sea", 15.0, 39.0), lot("sand", 15.0)), SHEETS),
        (tasks_of(lot("sea", 15.0, 40.0), lot("rock", 15.0)), SHEETS),
        (TASKS[:1], SHEETS),
        (TASKS[::-1], SHEETS),
        (tasks_of(lot("sea", 15.0, 40.0), lot("sand", 15.0), gap_mm=2.0), SHEETS),
        (TASKS, SHEETS[:1]),
        (TASKS, (SHEETS[0], rectangle("strip", 200.0, 60.0, 2))),
    ],
    ids=["size", "fabric", "fewer", "order", "gap", "sheets", "count"],
)
def test_a_record_of_other_pieces_or_sheets_is_none(
    tasks: list[tuple[str, NestingTask]], sheets: tuple[Stock, ...]
) -> None:
    assert digest_of_all(tasks, sheets) != digest_of_all(TASKS, SHEETS)
    assert mats_from_record(kept(), tasks, sheets) == ()


JUNK = (None, True, -1, 7, 1.5, "", "x", [], [1], {}, {"a": 1}, [None] * 4, [[1, 2, 3, 4]], -1e308)


def ways_into(told: Any, way: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """The way to every value in a record, itself included."""
    inner = told.items() if isinstance(told, dict) else ()
    inner = enumerate(told) if isinstance(told, list) else inner
    return [way, *(each for key, value in inner for each in ways_into(value, (*way, key)))]


def changed(told: Any, way: tuple[Any, ...], value: Any) -> Any:
    """A copy with another value at the end of a way."""
    if not way:
        return value
    whole = copy.deepcopy(told)
    inner = whole
    for key in way[:-1]:
        inner = inner[key]
    inner[way[-1]] = value
    return whole


def test_a_record_damaged_anywhere_in_any_way_gives_sound_mats_or_none() -> None:
    """A number may be damaged so that its mat still stands the check: nothing comes of that."""
    record = kept()
    none = 0
    for way in ways_into(record):
        for value in JUNK:
            found = mats_from_record(changed(record, way, value), TASKS, SHEETS)
            assert not found or faults_of_mats(TASKS, SHEETS, found) == []
            none += not found
    assert none > 500


@pytest.mark.parametrize("missing", ["digest", "mats"])
def test_a_record_that_lacks_a_part_is_none(missing: str) -> None:
    assert mats_from_record({k: v for k, v in kept().items() if k != missing}, TASKS, SHEETS) == ()


def moved(record: Any) -> None:
    record["mats"][0]["patches"][0]["places"][0][2] += 3.0


def unfit_size(record: Any) -> None:
    record["mats"][0]["patches"][1]["box"][2] += 1.0


def twice(record: Any) -> None:
    record["mats"].append(record["mats"][1])


def askew(record: Any) -> None:
    record["mats"][0]["patches"][0]["places"][0][1] = 90.0


def missing_mat(record: Any) -> None:
    record["mats"].pop()


def other_stock(record: Any) -> None:
    record["mats"][0]["stock"] = "table"


@pytest.mark.parametrize("edit", [moved, unfit_size, twice, askew, missing_mat, other_stock])
def test_an_edited_record_that_fails_the_check_is_none(edit: Callable[[Any], None]) -> None:
    record = kept()
    edit(record)
    assert mats_from_record(record, TASKS, SHEETS) == ()
