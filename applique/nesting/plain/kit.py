"""The shapes and sheets of a task, made ready for the search once and used by every try."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from applique.cutting.nested import ANGLES_DEGREES, NestingTask, Stock
from applique.nesting.plain.angles import distinct, fitting, upright
from applique.nesting.plain.fields import Field, within
from applique.nesting.plain.laying import Laying
from applique.nesting.plain.probes import Probed, Turned, probed

_FINEST_MM, _COARSEST_MM = 0.5, 3.0
"""Steps of the lattice: places are polished to far less, so that 2 mm pack as well as 1 mm where
pieces measure some centimetres (found by trial)."""

_POINTS_MOST = 400_000
"""Of a sheet's lattice: on larger sheets the step grows, or every look at it takes too long."""

_PAD_MM = 10.0
"""So far around a shape its distance is known, beyond the gap to the millimetre, so that nearly the
same gaps share what is known; farther off it is estimated."""

_FELT_MM = 40.0
"""The largest disc by which places are ruled out at once."""


class Kit:
    """What a task's shapes and stocks become for the search. Equal shapes share what they become.

    `indices` are the shapes that will be asked for.
    """

    def __init__(self, task: NestingTask, indices: Sequence[int], stocks: Sequence[Stock]) -> None:
        self.task = task
        self._stocks = stocks
        sizes = shapely.bounds([task.shapes[k] for k in indices]).reshape(-1, 4)
        widths = (sizes[:, 2:] - sizes[:, :2]).min(axis=1)
        self.step_mm = _step_mm(widths, stocks)
        self._widest_mm = float(widths.max())
        self._probed: dict[bytes, Probed] = {}
        self._turned: dict[tuple[bytes, int], Turned] = {}
        self._clearances: dict[int, Field] = {}
        self._keys = {index: shapely.to_wkb(task.shapes[index]) for index in indices}

    def key(self, index: int) -> bytes:
        """The same for shapes that are equal."""
        return self._keys[index]

    def shape(self, index: int) -> Probed:
        """A shape with its probes."""
        key = self._keys[index]
        if key not in self._probed:
            pad = round(self.task.gap_mm) + _PAD_MM
            self._probed[key] = probed(self.task.shapes[index], self.step_mm, pad)
        return self._probed[key]

    def turned(self, index: int, more: int) -> Turned:
        """A shape's probes at the angles it may have: where all are allowed, those at which it
        stands upright or can't but lie, and `more` evenly spread."""
        key = self._keys[index], more
        if key not in self._turned:
            self._turned[key] = self.shape(index).turned(self._angles(index, more))
        return self._turned[key]

    def _angles(self, index: int, more: int) -> tuple[float, ...]:
        allowed = ANGLES_DEGREES[self.task.turn]
        if allowed is not None:
            return allowed
        shape = self.task.shapes[index]
        angles = list(upright(shape))
        for stock in self._stocks:
            angles += fitting(shape, angles, stock, self.task.margin_mm)
        return distinct([*angles, *(np.arange(more) * 360.0 / max(more, 1))])

    def laying(self, stock: Stock) -> Laying:
        """An empty sheet."""
        if id(stock) not in self._clearances:
            field = within(stock, self.task.margin_mm, self.step_mm)
            self._clearances[id(stock)] = field
        task = self.task
        felt = min(self._widest_mm / 2, _FELT_MM) + task.gap_mm
        return Laying(stock, self._clearances[id(stock)], task.gap_mm, task.margin_mm, felt)


def _step_mm(widths_mm: np.ndarray, stocks: Sequence[Stock]) -> float:
    """The lattice's step: a tenth of the width that shapes mostly have, within limits."""
    wanted = float(np.clip(np.median(widths_mm) / 10, _FINEST_MM, _COARSEST_MM))
    largest = max(width * height for width, height in (stock.size_mm for stock in stocks))
    return max(wanted, float(np.sqrt(largest / _POINTS_MOST)))
