"""A nesting written down, so that the same pieces on the same sheets need no second search; and
what to buy for it likewise.

A record is plain lists, numbers and words for JSON. It counts only for the very task it was made
for, known by its digest, and only if it stands the check: a record may be damaged, or edited.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import asdict, replace
from typing import Any

import numpy as np
from shapely import Polygon

from applique.cutting.kept import UnfitError, amount, checked, count, places_as_lists, places_in
from applique.cutting.needed import FabricNeeded
from applique.cutting.nested import NestedSheet, Nesting, NestingTask, Stock
from applique.cutting.validity import faults_of
from applique.geometry.rings import polygons_of

RECORD = "nesting.json"
"""What a file of records is called."""

_FORMAT = 1
"""Raised whenever a record of before would be misread."""

_GRID_MM = 0.001
"""That of all outlines: shapes nearer to each other than half of it are the same."""

_LONGEST_NAME = 40


def digest_of(task: NestingTask) -> str:
    """What tells a task from any other: a SHA-256 digest, in hexadecimal, of its names, its shapes
    to 0.001 mm, its turn rule, stocks, gap and margin."""
    told = [
        _FORMAT,
        task.names,
        [[_rings(part) for part in polygons_of(shape)] for shape in task.shapes],
        task.turn,
        [[stock.name, _rings(stock.shape), stock.count] for stock in task.stocks],
        float(task.gap_mm),
        float(task.margin_mm),
    ]
    return _digest(told)


def as_record(nesting: Nesting) -> dict[str, Any]:
    """A nesting as plain objects, to be kept beside the digest of its task under `digest`."""
    return {
        "format": _FORMAT,
        "packer": nesting.packer,
        "bound": nesting.bound,
        "sheets": [
            {
                "stock": sheet.stock.name,
                "shape": _digest(_rings(sheet.stock.shape)),
                "places": places_as_lists(sheet.placements),
            }
            for sheet in nesting.sheets
        ],
    }


def from_record(record: object, task: NestingTask) -> Nesting | None:
    """The nesting of a task as it was written down; None if the record is of another task, is none
    at all, or does not stand the check."""
    try:
        nesting = _read(record, task)
    except UnfitError:
        return None
    return None if faults_of(task, nesting.sheets) else nesting


def from_earlier(record: object, task: NestingTask) -> Nesting | None:
    """The nesting of an earlier task for one whose pieces have just the same names: everything lies
    where it lay, though some outlines are others now. None if a piece is new or gone, or if they
    may no longer lie so."""
    try:
        kept = checked(record, dict)
        names = checked(kept.get("names"), list)
        if sorted(map(str, names)) != sorted(task.names):
            return None
        index = {name: k for k, name in enumerate(task.names)}
        nesting = _nesting(kept, task)
        sheets = tuple(
            _renumbered(sheet, [index[name] for name in names]) for sheet in nesting.sheets
        )
    except (UnfitError, IndexError, TypeError):
        return None
    return None if faults_of(task, sheets) else replace(nesting, sheets=sheets)


def _renumbered(sheet: NestedSheet, index: Sequence[int]) -> NestedSheet:
    """A sheet whose pieces have other numbers now."""
    places = tuple(replace(place, index=index[place.index]) for place in sheet.placements)
    return replace(sheet, placements=places)


def needed_as_record(needed: FabricNeeded) -> dict[str, Any]:
    """What to buy as plain objects, to be kept beside the digest of its task."""
    return {"format": _FORMAT, **asdict(needed)}


def needed_from_record(record: object) -> FabricNeeded | None:
    """What to buy as it was written down; None if that is no such record. Whether it is of the same
    pieces and widths, the digest kept beside it must tell."""
    try:
        kept = checked(record, dict)
        quarters = kept.get("fat_quarters")
        needed = FabricNeeded(
            fabric=checked(kept.get("fabric"), str),
            pieces=count(kept.get("pieces")),
            area_mm2=amount(kept.get("area_mm2")),
            usable_width_mm=amount(kept.get("usable_width_mm")),
            length_mm=amount(kept.get("length_mm")),
            fat_quarters=None if quarters is None else count(quarters),
        )
    except UnfitError:
        return None
    return needed if kept.get("format") == _FORMAT and needed.fabric.isprintable() else None


def _read(record: object, task: NestingTask) -> Nesting:
    kept = checked(record, dict)
    if kept.get("digest") != digest_of(task):
        raise UnfitError
    return _nesting(kept, task)


def _nesting(kept: dict[str, Any], task: NestingTask) -> Nesting:
    """The sheets of a record, on the stocks of a task."""
    if kept.get("format") != _FORMAT:
        raise UnfitError
    stocks = {(it.name, _digest(_rings(it.shape))): it for it in reversed(task.stocks)}
    sheets = tuple(_sheet(told, stocks) for told in checked(kept.get("sheets"), list))
    packer, bound = checked(kept.get("packer"), str), checked(kept.get("bound"), int)
    if not (packer.isprintable() and len(packer) <= _LONGEST_NAME and 0 <= bound <= len(sheets)):
        raise UnfitError
    return Nesting(sheets, bound, packer)


def _sheet(told: object, stocks: dict[tuple[str, str], Stock]) -> NestedSheet:
    kept = checked(told, dict)
    key = checked(kept.get("stock"), str), checked(kept.get("shape"), str)
    if key not in stocks:
        raise UnfitError
    return NestedSheet(stocks[key], places_in(kept.get("places")))


def _rings(shape: Polygon) -> list[list[list[int]]]:
    """The rings of a polygon in whole thousandths of a millimetre."""
    rings = [shape.exterior, *shape.interiors]
    return [np.rint(np.asarray(ring.coords) / _GRID_MM).astype(int).tolist() for ring in rings]


def _digest(told: object) -> str:
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()
