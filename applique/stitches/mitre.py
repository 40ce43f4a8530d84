"""Corners of a band of rungs: how far it is carried on, how it is cut off, how its point is sewn.

Both sides of a corner are carried on and cut off at its bisector. A sharp corner's mitre would grow
into a spike, so it is cut off square at a cap, as far out as the longest mitre that is left whole.
No side is carried on past the middle between its corner and another edge. At a convex corner all
this happens outside the outline, at a concave one inside it, with the rails' parts exchanged.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from shapely.geometry.base import BaseGeometry

from applique.geometry.medial import medial_reach
from applique.geometry.walk import turned_left, unit
from applique.stitches.ladder import CAPPED_FROM_DEGREES, Band, Rungs

OPEN_SPACING_MM = 0.8
"""From this spacing on, rungs are single stitches to the eye and not a cover."""

SHORTEST_MM = 0.55
"""Stitches at the point of a mitre are no shorter; a needle can't sew much less."""

_ROOMY_TIP_MM = 0.75
"""A tip this far along its rails has a diamond below it that the stitches along them leave bare."""

_STITCH_MM = 0.51
"""The least of a stitch at a mitre's point, a little more than the shortest of a satin."""

SHARPEST_DEGREES = 178.0
"""A cusp turns by so much; beyond, left and right can't be told apart."""


SLIGHTEST_DEGREES = 1.0
"""Half the turn of a corner is taken to be at least this, so that its tangent is no zero."""


class Corner:
    """A corner between two sides of a band.

    `convex` if it points away from the fabric. The band of either side is carried on `carried_mm`
    beyond the `vertex`, or stops `short_mm` of it. `slight` corners are sewn by their tip alone:
    those that turn by less than the band says, and those too flat for more stitches than that. At
    a concave corner, whose mitre lies on the fabric, the band's angles don't count.
    """

    def __init__(
        self,
        vertex: np.ndarray,
        arriving: np.ndarray,
        leaving: np.ndarray,
        turn: float,
        band: Band,
        edges: BaseGeometry,
        blunted_mm: float = 0.0,
    ) -> None:
        """A corner at `vertex` (2,) between unit directions (2,). `turn` is what the outline turns
        there as a whole, in radians; it decides the side a cusp points to. `edges` are the lines of
        all edges of the piece. A corner drawn cut or rounded off ends `blunted_mm` short of the
        vertex; its cap then lies as much nearer."""
        self.vertex, self._arriving, self._leaving = vertex, arriving, leaving
        own = _turn_between(arriving, leaving, turn)
        self.convex = own > 0
        self._before, self._after = self._frames()
        half = max(abs(own) / 2, math.radians(SLIGHTEST_DEGREES))
        self._sine, self._cosine, self._tangent = math.sin(half), math.cos(half), math.tan(half)
        self._reach = band.outside_mm if self.convex else band.inside_mm
        capped_from = band.capped_from_degrees if self.convex else CAPPED_FROM_DEGREES
        longest = self._reach / math.cos(math.radians(capped_from) / 2)
        self._cap = max(longest - blunted_mm, self._reach)
        self.is_open = band.spacing_mm >= OPEN_SPACING_MM
        self.short_mm = band.spacing_mm / 2 if self.is_open else 0.0
        freely = self._carried_freely()
        self.carried_mm = 0.0 if self.is_open else self._carried(freely, edges)
        self._carried_share = self.carried_mm / freely if 0 < self.carried_mm < freely else 1.0
        turns_slightly = self.convex and 2 * half < math.radians(band.pointed_from_degrees)
        self.slight = turns_slightly or self._to_tip() <= SHORTEST_MM

    def cut(self, ladder: Rungs, beyond_mm: np.ndarray) -> Rungs:
        """Cut rungs that stand beyond the vertex by the bisector and the cap. `beyond_mm` (n,) is
        how far past it each rung stands, along its side."""
        past = beyond_mm > 0
        if not past.any():
            return ladder
        from_bisector = beyond_mm / self._tangent
        to_cap = (self._cap - beyond_mm * self._sine) / self._cosine
        if self.convex:
            low = np.where(past, np.maximum(ladder.low, from_bisector), ladder.low)
            high = np.where(past, np.minimum(ladder.high, to_cap), ladder.high)
        else:
            low = np.where(past, np.maximum(ladder.low, -to_cap), ladder.low)
            high = np.where(past, np.minimum(ladder.high, -from_bisector), ladder.high)
        return replace(ladder, low=low, high=high)

    def point(self) -> Rungs:
        """The stitches at the point of the mitre.

        A pointed corner is sewn along both rails to its tip, a slight one by its tip alone, a
        capped one from one end of the cap to the other.
        """
        before, after = self._before, self._after
        to_tip = self._to_tip() * self._carried_share
        end = np.array([to_tip, self._reach])
        ends = [end @ before, end @ after]
        if math.dist(*ends) >= SHORTEST_MM:
            return self._as_rungs(np.array(ends))
        points = [(ends[0] + ends[1]) / 2]
        if not self.slight and not self.is_open:
            along = np.array([to_tip - SHORTEST_MM, self._reach])
            below = [self._below(points[0])] if to_tip >= _ROOMY_TIP_MM else []
            points = [along @ before, *below, *points, along @ after]
        return self._as_rungs(np.array(points))

    def _below(self, tip: np.ndarray) -> np.ndarray:
        """A place (2,) on the bisector below the tip, a stitch away from the points along the
        rails: the stitch from there to the tip fills the diamond between them."""
        along = SHORTEST_MM * self._sine
        inward = along + math.sqrt(max(along * along - SHORTEST_MM**2 + _STITCH_MM**2, 0.0))
        return np.asarray(tip * (1 - inward / np.hypot(*tip)))

    def _carried_freely(self) -> float:
        """As far as rungs, cut off by the bisector and the cap, don't get too short."""
        shortest = min(SHORTEST_MM, self._reach / 2)
        to_rail = (self._reach - shortest) * self._tangent
        to_cap = (self._cap - shortest * self._cosine) * self._sine
        return max(0.0, min(to_rail, to_cap))

    def _to_tip(self) -> float:
        """How far along the rail the point lies, or the end of the cap."""
        if self._reach / self._cosine > self._cap:
            return (self._cap - self._reach * self._cosine) / self._sine
        return self._reach * self._tangent

    def _carried(self, freely: float, edges: BaseGeometry) -> float:
        """How far the sides may be carried on before another edge is nearer than the corner. Rungs
        begin on the bisector, where the corner itself is the nearest part of its two sides."""
        along = medial_reach(
            self.vertex[None, :],
            self._bisector()[None, :],
            np.array([freely / self._sine]),
            edges,
        )
        return float(along[0]) * self._sine

    def _bisector(self) -> np.ndarray:
        """Unit direction (2,) from the vertex into the outer side of the corner."""
        straight_on = self._arriving - self._leaving
        if straight_on @ straight_on > 2.0:
            # A turn of more than a right angle, up to a cusp, whose normals would cancel out.
            return unit(straight_on)
        return unit(self._before[1] + self._after[1])

    def _frames(self) -> tuple[np.ndarray, np.ndarray]:
        """For each side, as rows: away from it past the vertex, and square to it towards the outer
        side of the corner."""
        sign = 1.0 if self.convex else -1.0
        before = np.array([self._arriving, -sign * turned_left(self._arriving)])
        after = np.array([-self._leaving, -sign * turned_left(self._leaving)])
        return before, after

    def _as_rungs(self, offsets: np.ndarray) -> Rungs:
        """Points at offsets (k, 2) from the vertex, as rungs that stand on it."""
        distance = np.hypot(offsets[:, 0], offsets[:, 1])
        directions = offsets / np.maximum(distance, 1e-9)[:, None]
        zero = np.zeros(len(offsets))
        return Rungs(
            base=np.repeat(self.vertex[None, :], len(offsets), axis=0),
            outward=directions if self.convex else -directions,
            low=zero if self.convex else -distance,
            high=distance if self.convex else zero,
            outer=np.full(len(offsets), self.convex),
            tip=np.ones(len(offsets), dtype=bool),
            shared=zero,
            spare=zero,
        )


def _turn_between(arriving: np.ndarray, leaving: np.ndarray, whole_turn: float) -> float:
    """The turn from one direction to the other, in radians; a cusp's to the side that the outline
    turns to."""
    cross = float(arriving[0] * leaving[1] - arriving[1] * leaving[0])
    turn = math.atan2(cross, float(arriving @ leaving))
    sharpest = math.radians(SHARPEST_DEGREES)
    if abs(turn) > math.pi / 2 and turn * whole_turn < 0:
        return math.copysign(sharpest, whole_turn)
    return math.copysign(min(abs(turn), sharpest), turn)
