"""One swatch of each fabric on as few mats as can be found.

Swatches go in turn on the first mat that still takes them beside what is on it, all arranged anew;
that is done in several orders. With exact answers some order gives the fewest mats: the one that
takes the fabrics mat by mat. So of few fabrics all orders are tried.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from applique.cutting.nested import Stock
from applique.nesting.mats.skyline import packed
from applique.nesting.mats.swatches import Swatch, quarters_at_most

_FEW = 6
"""Of so many fabrics all orders are tried: 720 at most."""

_ORDERS = 60
"""So many orders of more fabrics are tried."""

_JITTER = 0.3
"""How much sizes are taken for larger or smaller for another order."""

_STEPS, _LAST_STEPS = 3_000, 20_000
"""Steps of a search whether some swatches fit a mat, and of the last one for their least area."""


@dataclass(frozen=True, eq=False)
class Mat:
    """A mat with columns and rows of quarter inches inside its margin."""

    stock: Stock
    columns: int
    rows: int


@dataclass(frozen=True, eq=False)
class Lying:
    """A fabric, by number, as one of its swatches, and the columns and rows before its corner."""

    item: int
    swatch: Swatch
    x: int
    y: int


@dataclass(frozen=True, eq=False)
class Laid:
    """A mat and the swatches on it."""

    mat: Mat
    lying: tuple[Lying, ...]

    @property
    def area(self) -> int:
        """Of the swatches, in squares of a quarter inch."""
        return sum(it.swatch.area for it in self.lying)


def mat_of(stock: Stock, margin_mm: float) -> Mat:
    """A mat of a rectangular stock."""
    width, height = (quarters_at_most(side - 2 * margin_mm) for side in stock.size_mm)
    return Mat(stock, width, height)


def arranged(
    choices: Sequence[Sequence[Swatch]], mats: Sequence[Mat], may_go_on: Callable[[], bool]
) -> tuple[Laid, ...] | None:
    """One swatch of each choice, laid on few mats, then on little area of mats, then with little
    area of fabric; None where the mats don't suffice.

    A first arrangement is always finished; others are tried while `may_go_on` says so.
    """
    if not choices:
        return ()
    desk = _Desk(choices, mats)
    best: list[_Heap] | None = None
    for order in _orders(choices):
        if best is not None and (desk.is_ideal(best) or not may_go_on()):
            break
        found = desk.first_fit(order)
        if found is not None and (best is None or desk.cost(found) < desk.cost(best)):
            best = found
    return None if best is None else desk.laid(desk.moved_about(best, may_go_on))


def tidied(choices: Sequence[Sequence[Swatch]], laid: Sequence[Laid]) -> tuple[Laid, ...]:
    """The same fabrics on the same mats, of less area where a longer search finds that."""
    result = []
    for each in laid:
        items = sorted(it.item for it in each.lying)
        lying = _packed(choices, items, each.mat, _LAST_STEPS)
        found = each if lying is None else Laid(each.mat, lying)
        result.append(min(each, found, key=lambda one: one.area))
    return tuple(result)


def cost(laid: Sequence[Laid]) -> tuple[float, ...]:
    """What is to be small: the mats, their area, and that of the swatches."""
    mats_mm2 = sum(float(each.mat.stock.shape.area) for each in laid)
    return len(laid), mats_mm2, sum(each.area for each in laid)


_Heap = tuple[int, frozenset[int]]
"""The number of a mat, and the fabrics on it."""


class _Desk:
    """Swatches and mats, and what is known of which go together."""

    def __init__(self, choices: Sequence[Sequence[Swatch]], mats: Sequence[Mat]) -> None:
        self._choices = choices
        self._mats = sorted(mats, key=lambda mat: -mat.stock.shape.area)
        self._known: dict[_Heap, tuple[Lying, ...] | None] = {}
        least = sum(min(swatch.area for swatch in swatches) for swatches in choices)
        largest = max((mat.columns * mat.rows for mat in mats), default=1)
        self._ideal = (math.ceil(least / max(largest, 1)), least)

    def laid(self, heaps: Sequence[_Heap]) -> tuple[Laid, ...]:
        """Heaps as mats."""
        return tuple(Laid(self._mats[heap[0]], self._lying(heap) or ()) for heap in heaps)

    def cost(self, heaps: Sequence[_Heap]) -> tuple[float, ...]:
        """As of the mats."""
        return cost(self.laid(heaps))

    def is_ideal(self, heaps: Sequence[_Heap]) -> bool:
        """Whether nothing can be better, as far as areas tell and mats are of one size."""
        found = (len(heaps), self.cost(heaps)[-1])
        return len(self._mats) == 1 and found == self._ideal

    def first_fit(self, order: Sequence[int]) -> list[_Heap] | None:
        """Swatches in an order, each on the first mat that takes it; then, the last mat first, all
        that is on one on the smallest that takes it."""
        heaps: list[_Heap] = []
        for item in order:
            for k, (mat, items) in enumerate(heaps):
                if self._lying((mat, items | {item})) is not None:
                    heaps[k] = (mat, items | {item})
                    break
            else:
                fresh = self._fitting(heaps, frozenset({item}), range(len(self._mats)))
                if fresh is None:
                    return None
                heaps.append((fresh, frozenset({item})))
        for k in reversed(range(len(heaps))):
            mat, items = heaps[k]
            smaller = self._fitting(heaps, items, reversed(range(mat + 1, len(self._mats))))
            heaps[k] = (mat if smaller is None else smaller, items)
        return heaps

    def moved_about(self, heaps: list[_Heap], may_go_on: Callable[[], bool]) -> list[_Heap]:
        """Fabrics moved to other mats, one by one, as long as that makes swatches smaller."""
        best = heaps
        pairs = itertools.permutations(range(len(heaps)), 2)
        moves = ((a, b, item) for a, b in pairs for item in sorted(heaps[a][1]))
        for a, b, item in moves:
            if not may_go_on():
                break
            if item not in best[a][1] or len(best[a][1]) == 1:
                continue
            changed = list(best)
            changed[a] = (best[a][0], best[a][1] - {item})
            changed[b] = (best[b][0], best[b][1] | {item})
            possible = all(self._lying(changed[k]) is not None for k in (a, b))
            if possible and self.cost(changed) < self.cost(best):
                best = changed
        return best if best is heaps else self.moved_about(best, may_go_on)

    def _fitting(
        self,
        heaps: Sequence[_Heap],
        items: frozenset[int],
        numbers: Iterator[int] | range,
    ) -> int | None:
        """The first of some mats that is to be had and takes the fabrics."""
        for number in numbers:
            count = self._mats[number].stock.count
            used = sum(mat == number for mat, _ in heaps)
            if (count is None or used < count) and self._lying((number, items)) is not None:
                return number
        return None

    def _lying(self, heap: _Heap) -> tuple[Lying, ...] | None:
        if heap not in self._known:
            number, items = heap
            self._known[heap] = _packed(self._choices, sorted(items), self._mats[number], _STEPS)
        return self._known[heap]


def _packed(
    choices: Sequence[Sequence[Swatch]], items: Sequence[int], mat: Mat, most_steps: int
) -> tuple[Lying, ...] | None:
    sizes = [[(swatch.columns, swatch.rows) for swatch in choices[item]] for item in items]
    spots = packed(sizes, mat.columns, mat.rows, most_steps)
    if spots is None:
        return None
    return tuple(
        Lying(items[it.item], choices[items[it.item]][it.size], it.x, it.y) for it in spots
    )


def _orders(choices: Sequence[Sequence[Swatch]]) -> Iterator[tuple[int, ...]]:
    """Orders of the fabrics, the most promising first: the large ones at the head."""
    areas = np.array([min(swatch.area for swatch in swatches) for swatches in choices], float)
    sides = [min(max(it.columns, it.rows) for it in swatches) for swatches in choices]
    by_area = np.argsort(-areas, kind="stable").tolist()
    yield tuple(by_area)
    if len(choices) <= _FEW:
        yield from itertools.permutations(by_area)
        return
    yield tuple(np.argsort(-np.array(sides), kind="stable").tolist())
    for turn in range(_ORDERS):
        jitter = np.exp(_JITTER * np.random.default_rng(turn).standard_normal(len(areas)))
        yield tuple(np.argsort(-areas * jitter, kind="stable").tolist())
