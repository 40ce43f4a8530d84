"""A sheet being filled: what lies on it, what is still free, and whether a shape may lie there."""

from __future__ import annotations

import numpy as np
import shapely
from shapely import MultiPolygon

from applique.cutting.nested import Placement, Stock, placed
from applique.nesting.plain.fields import Field, lattice
from applique.nesting.plain.polish import polished
from applique.nesting.plain.probes import Probed, Turned
from applique.nesting.plain.search import Liking, Place, Search

_ALLOWED_MM = 0.0005
"""Gap and margin are held to half of what coordinates are rounded to: what lies flush is not to be
refused for rounding. Shapes never come nearer to each other than this, even where no gap is
asked."""

_SPARES = (0.0, 0.1, 0.3)
"""By these shares of the lattice's step a place is kept farther off when the exact shapes show that
the field promised too much: it is read between lattice points and probed at some points only."""

_SLACK = 0.75
"""Share of the step by which places on the lattice may fall short: half the diagonal of a cell, by
which the nearest lattice point may be off, and a little."""

_SLACK_ALONE = 1.5
"""The same on an empty sheet, where a shape that fits only just must be found: twice half a step
each way, for the centre and for the probes, and more."""

_TRIED = 3
"""Places of one shape that are tried to the end."""


class Laying:
    """One sheet and what is laid on it, one shape after the other."""

    def __init__(
        self, stock: Stock, clearance: Field, gap_mm: float, margin_mm: float, felt_mm: float
    ) -> None:
        """`clearance` is that of the empty sheet: how far in it is from where shapes may not lie.
        Shapes are felt so far beyond their boxes: the radius of the largest disc that is asked for.
        """
        self.stock = stock
        self.gap_mm = gap_mm
        self.margin_mm = margin_mm
        self._felt_mm = felt_mm
        self.placements: list[Placement] = []
        self.largest_free_mm = float(clearance.values.max())
        self._clearance = Field(clearance.values.copy(), clearance.corner_mm, clearance.steps_mm)
        self._laid: list[MultiPolygon] = []
        self._boxes = np.empty((0, 4))
        self._sheet = stock.shape.buffer(_ALLOWED_MM, join_style="mitre")
        self._border = stock.shape.boundary
        shapely.prepare(self._sheet)
        shapely.prepare(self._border)

    def lay(self, index: int, shape: Probed, turned: Turned, liking: Liking) -> bool:
        """Whether the shape found room; if so it lies there now."""
        step = self._clearance.step_mm
        for slack in (_SLACK if self.placements else _SLACK_ALONE, -_SPARES[-1]):
            search = Search(self._clearance, turned, liking, slack * step)
            found = search.places(_TRIED)
            if found and self._lay_at(found, index, shape, turned, liking):
                return True
            if not found:
                break
        return not self.placements and self._lay_flush(index, shape, turned)

    def _lay_flush(self, index: int, shape: Probed, turned: Turned) -> bool:
        """Whether the shape goes into the upper left corner of an empty sheet: a shape that fits
        to the thousandth is not left out for what fields lack."""
        for angle in turned.angles_degrees:
            left, top, _, _ = placed(shape.shape, Placement(index, angle, 0.0, 0.0)).bounds
            x, y = round(self.margin_mm - left, 3), round(self.margin_mm - top, 3)
            if self._put_if_free(shape, Placement(index, angle, x, y)):
                return True
        return False

    def _lay_at(
        self,
        found: list[Place],
        index: int,
        shape: Probed,
        turned: Turned,
        liking: Liking,
    ) -> bool:
        """Whether the shape found room at or beside one of some places."""
        for spare in _SPARES:
            spare_mm = spare * self._clearance.step_mm
            finer = polished(self._clearance, turned, found, liking, spare_mm)
            if finer is None:
                return False
            if self._put_if_free(shape, _placement(index, shape, turned, finer)):
                return True
        return False

    def _put_if_free(self, shape: Probed, placement: Placement) -> bool:
        """Whether the shape may lie in a place; if so it lies there now."""
        lying = placed(shape.shape, placement)
        if not self._may_lie(lying):
            return False
        self._put(shape, placement, lying)
        return True

    def _may_lie(self, lying: MultiPolygon) -> bool:
        """Whether gap and margin are kept, by the exact shapes."""
        if not self._sheet.covers(lying):
            return False
        if self.margin_mm > _ALLOWED_MM and shapely.dwithin(
            self._border, lying, self.margin_mm - _ALLOWED_MM
        ):
            return False
        left, top, right, bottom = lying.bounds
        apart = max(self.gap_mm - _ALLOWED_MM, _ALLOWED_MM)
        near = np.flatnonzero(
            (self._boxes[:, 0] < right + apart)
            & (self._boxes[:, 1] < bottom + apart)
            & (self._boxes[:, 2] > left - apart)
            & (self._boxes[:, 3] > top - apart)
        )
        shapely.prepare(lying)
        return not any(shapely.dwithin(lying, self._laid[k], apart) for k in near)

    def _put(self, shape: Probed, placement: Placement, lying: MultiPolygon) -> None:
        """The shape lies there, and its surroundings are free no more."""
        self.placements.append(placement)
        self._laid.append(lying)
        self._boxes = np.vstack([self._boxes, lying.bounds])
        free, pad = self._clearance, self._felt_mm
        reach = np.reshape(lying.bounds, (2, 2)) + np.array([[-pad], [pad]])
        low, high = np.maximum((reach - free.corner_mm) / free.steps_mm, 0).astype(int)
        window = free.values[low[1] : high[1] + 2, low[0] : high[0] + 2]
        corner = free.corner_mm + low * free.steps_mm
        points = lattice(corner, free.steps_mm, window.shape[0], window.shape[1])
        matrix = placement.matrix()
        distances = shape.field.reaching((points - matrix[:, 2]) @ matrix[:, :2])
        np.minimum(window, distances - np.float32(self.gap_mm), out=window)
        self.largest_free_mm = float(free.values.max())


def _placement(index: int, shape: Probed, turned: Turned, place: Place) -> Placement:
    """A place as it is written down, rounded to 0.001 mm."""
    moved = place.centre - turned.matrices[place.angle] @ shape.centre
    x, y = np.round(moved, 3).tolist()
    return Placement(index, turned.angles_degrees[place.angle], x, y)
