"""The check of shared mats before anything is written.

It takes them as they stand; no packer has a part in the reckoning.
"""

from __future__ import annotations

import itertools
import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from applique.cutting.nested import NestedSheet, NestingTask, Stock, rectangle
from applique.cutting.validity import TOLERANCE_MM, faults_of
from applique.nesting.mats.plan import QUARTER_INCH_MM, Patch, SharedMat, covers_mat

_OFF_SIZE_MM = 1e-6
"""What a patch's side may differ from whole quarter inches: rounding."""


def faults_of_mats(
    tasks: Sequence[tuple[str, NestingTask]], mats: Sequence[Stock], shared: Sequence[SharedMat]
) -> list[str]:
    """Everything that is wrong with some shared mats, a sentence each; none if nothing is.

    Every shape of every fabric must lie exactly once, turned as its fabric allows, in a patch of
    its fabric, free of the others and of the patch's border by the gap; patches must measure whole
    quarter inches and lie inside the margins, beside one another; and the mats must be in stock. Of
    a patch that covers its mat only the margin counts. Distances may lack 0.001 mm.
    """
    faults = [*_stock_faults(mats, shared), *_count_faults(tasks, shared)]
    by_name = dict(tasks)
    for number, mat in enumerate(shared, start=1):
        where = f"on mat {number} ({mat.stock.name})"
        known = [patch for patch in mat.patches if patch.fabric in by_name]
        for patch in known:
            faults += _patch_faults(patch, by_name[patch.fabric], mat.stock, where)
        faults += _overlaps(known, where)
    return faults


def _stock_faults(mats: Sequence[Stock], shared: Sequence[SharedMat]) -> Iterator[str]:
    """Mats that there are none of, or not so many."""
    counts: dict[tuple[str, tuple[float, float]], float] = {}
    for stock in mats:
        there_are = math.inf if stock.count is None else stock.count
        key = (stock.name, stock.size_mm)
        counts[key] = counts.get(key, 0.0) + there_are
    used = Counter((mat.stock.name, mat.stock.size_mm) for mat in shared)
    for key, times in used.items():
        if times > counts.get(key, 0.0):
            yield f"{times} mats {key[0]} are used, of which there are {counts.get(key, 0.0):g}"


def _count_faults(
    tasks: Sequence[tuple[str, NestingTask]], shared: Sequence[SharedMat]
) -> Iterator[str]:
    """Shapes that lie not at all or more than once, and places of what doesn't exist."""
    found = Counter(
        (patch.fabric, it.index)
        for mat in shared
        for patch in mat.patches
        for it in patch.placements
    )
    for fabric, task in tasks:
        for index, name in enumerate(task.names):
            times = found.pop((fabric, index), 0)
            if times != 1:
                yield f"{name} of {fabric} lies on the mats {times} times, not once"
    for fabric, index in sorted(found):
        yield f"there is no shape number {index} of {fabric}, but it has a place"


def _patch_faults(patch: Patch, task: NestingTask, stock: Stock, where: str) -> list[str]:
    """What is wrong with a patch by itself, and with what lies on it."""
    left, top, right, bottom = patch.box_mm
    sides = np.array([right - left, bottom - top])
    called = f"the patch of {patch.fabric} {where}"
    if not (np.isfinite(patch.box_mm).all() and (sides > 0).all()):
        return [f"{called} has no size"]
    faults: list[str] = []
    whole = covers_mat(patch, stock)
    if not whole:
        off = np.abs(sides - np.round(sides / QUARTER_INCH_MM) * QUARTER_INCH_MM)
        if off.max() > _OFF_SIZE_MM:
            faults.append(f"{called} measures no whole quarter inches")
        width, height = stock.size_mm
        near = min(left, top, width - right, height - bottom)
        if near < task.margin_mm - TOLERANCE_MM:
            faults.append(f"{called} is {near:.3f} mm from the border, not {task.margin_mm:g} mm")
    known = [it for it in patch.placements if 0 <= it.index < len(task.shapes)]
    sheet = rectangle(f"the patch of {patch.fabric}", *sides.tolist())
    alone = replace(
        task,
        names=tuple(task.names[it.index] for it in known),
        shapes=tuple(task.shapes[it.index] for it in known),
        stocks=(sheet,),
        margin_mm=task.margin_mm if whole else task.gap_mm,
    )
    inside = tuple(
        replace(it, index=k, x_mm=it.x_mm - left, y_mm=it.y_mm - top) for k, it in enumerate(known)
    )
    told = faults_of(alone, [NestedSheet(sheet, inside)])
    return faults + [fault.replace("on sheet 1", where, 1) for fault in told]


def _overlaps(patches: Sequence[Patch], where: str) -> Iterator[str]:
    for one, other in itertools.combinations(patches, 2):
        boxes = np.array([one.box_mm, other.box_mm])
        common = boxes[:, 2:].min(axis=0) - boxes[:, :2].max(axis=0)
        if common.min() > TOLERANCE_MM:
            yield f"the patches of {one.fabric} and {other.fabric} {where} overlap"
