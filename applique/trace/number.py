"""Numbers for templates: in reading order, or as they are given. Nothing is read off the page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from applique.errors import UsageError
from applique.trace.whereabouts import BoxMm

_SAME_ROW = 0.2
"""Shapes whose heights overlap by this share of the lower one stand in one row."""


_ABOVE = 0.5
"""Shapes whose widths overlap by this share of the narrower one stand above each other."""


@dataclass(frozen=True)
class Item:
    """What is to be numbered: its box in mm, and the index of the item it lies inside, if any."""

    box: BoxMm
    inside: int | None = None


def reading_order(items: Sequence[Item]) -> list[int]:
    """The indices of items as one reads a page: row by row, each from left to right; what lies
    inside another comes right after it."""
    outer = [k for k, item in enumerate(items) if item.inside is None]
    order: list[int] = []
    for k in _by_rows(outer, items):
        order.extend(_with_inner(k, items))
    return order


def _with_inner(index: int, items: Sequence[Item]) -> list[int]:
    order = [index]
    inner = [k for k, item in enumerate(items) if item.inside == index]
    for k in _by_rows(inner, items):
        order.extend(_with_inner(k, items))
    return order


def _by_rows(chosen: list[int], items: Sequence[Item]) -> list[int]:
    """Rows from the top: each starts with the highest shape left and takes what stands beside any
    shape of it and above or below none, so that rows may run a little askew."""
    left = sorted(chosen, key=lambda k: (_middle(items[k].box), _centre(items[k].box), k))
    order: list[int] = []
    while left:
        row = [left.pop(0)]
        joining: int | None = row[0]
        while joining is not None:
            boxes = [items[k].box for k in row]
            joining = next((k for k in left if _joins(items[k].box, boxes)), None)
            if joining is not None:
                row.append(joining)
                left.remove(joining)
        order.extend(sorted(row, key=lambda k: (_centre(items[k].box), k)))
    return order


def _joins(box: BoxMm, row: Sequence[BoxMm]) -> bool:
    beside = any(_shared(box, other, 1) > _SAME_ROW for other in row)
    return beside and not any(_shared(box, other, 0) > _ABOVE for other in row)


def _shared(first: BoxMm, second: BoxMm, axis: int) -> float:
    """The share of the shorter of two boxes' sides along an axis that both cover."""
    low, high = axis, axis + 2
    both = min(first[high], second[high]) - max(first[low], second[low])
    shorter = min(first[high] - first[low], second[high] - second[low])
    return both / shorter if shorter > 0 else 0.0


def _middle(box: BoxMm) -> float:
    return (box[1] + box[3]) / 2


def _centre(box: BoxMm) -> float:
    return (box[0] + box[2]) / 2


def labels_for(count: int, first: int, given: Sequence[str]) -> list[str]:
    """The labels of so many templates: those given, in order, then numbers from `first` on that
    are not among them. Raises UsageError if more are given than there are templates, or one
    twice."""
    if len(given) > count:
        many = "template was" if count == 1 else "templates were"
        raise UsageError(
            f"{len(given)} numbers are given, but {count} {many} found; give as many, or none"
        )
    if len(set(given)) < len(given):
        twice = next(label for label in given if list(given).count(label) > 1)
        raise UsageError(f"the number {twice} is given twice; every template needs its own")
    labels = list(given)
    number = first
    while len(labels) < count:
        if str(number) not in given:
            labels.append(str(number))
        number += 1
    return labels
