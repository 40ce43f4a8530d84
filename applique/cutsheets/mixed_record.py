"""Mats that several fabrics share, written down, so that they need no second search."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from applique.cutting.kept import UnfitError, checked, number, places_as_lists, places_in
from applique.cutting.nested import NestingTask, Stock
from applique.cutting.record import digest_of
from applique.nesting.mats.check import faults_of_mats
from applique.nesting.mats.plan import Patch, SharedMat

Tasks = Sequence[tuple[str, NestingTask]]


def digest_of_all(tasks: Tasks, sheets: tuple[Stock, ...]) -> str:
    """What tells tasks of several fabrics on some sheets from any others."""
    each = [f"{name}: {digest_of(replace(task, stocks=sheets))}" for name, task in tasks]
    return hashlib.sha256("\n".join(each).encode()).hexdigest()


def mats_as_record(mats: Sequence[SharedMat], digest: str) -> dict[str, Any]:
    """Shared mats as plain objects."""
    return {
        "digest": digest,
        "mats": [
            {
                "stock": mat.stock.name,
                "patches": [
                    {
                        "fabric": patch.fabric,
                        "box": [float(side) for side in patch.box_mm],
                        "places": places_as_lists(patch.placements),
                    }
                    for patch in mat.patches
                ],
            }
            for mat in mats
        ],
    }


def mats_from_record(
    record: object, tasks: Tasks, sheets: tuple[Stock, ...]
) -> tuple[SharedMat, ...]:
    """The mats as they were written down; none if the record is of other tasks, is damaged, or does
    not stand the check."""
    try:
        kept = checked(record, dict)
        if kept.get("digest") != digest_of_all(tasks, sheets):
            return ()
        stocks = {stock.name: stock for stock in reversed(sheets)}
        fabrics = {name for name, _ in tasks}
        mats = tuple(_mat(told, stocks, fabrics) for told in checked(kept.get("mats"), list))
    except UnfitError:
        return ()
    return () if faults_of_mats(tasks, sheets, mats) else mats


def _mat(told: object, stocks: dict[str, Stock], fabrics: set[str]) -> SharedMat:
    kept = checked(told, dict)
    name, patches = checked(kept.get("stock"), str), checked(kept.get("patches"), list)
    if name not in stocks or not patches:
        raise UnfitError
    return SharedMat(stocks[name], tuple(_patch(each, fabrics) for each in patches))


def _patch(told: object, fabrics: set[str]) -> Patch:
    kept = checked(told, dict)
    fabric, box = checked(kept.get("fabric"), str), checked(kept.get("box"), list)
    if fabric not in fabrics or len(box) != 4:
        raise UnfitError
    left, top, right, bottom = (number(side) for side in box)
    return Patch(fabric, (left, top, right, bottom), places_in(kept.get("places")))
