"""Where the crosses lie by which a later hooping is lined up with an earlier one.

Every hooping but the first shares two crosses with an earlier one. Both must lie in both fields
together with all stitches of either; the further they are apart, the less a misreading turns the
block. Of all places and all earlier hoopings that pair is taken which lets expect the least error,
reckoned over the whole chain back to the first hooping, worsened where a cross would show or the
field would reach beyond the background. Where no two places lie in both fields, crosses are drawn
on the background by hand before the first hooping.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from applique.hoops.lining.ground import (
    Ground,
    Surroundings,
    hidden,
    in_sight,
    on_cloth,
    on_fabric,
    overhang_mm,
    surroundings,
)
from applique.hoops.lining.misreading import Chain, corners_of, expected_error_mm, link_of
from applique.hoops.lining.places import (
    ARM_MM,
    cross_room,
    fits,
    furthest_square,
    grid,
    with_both,
    with_cross,
)
from applique.hoops.plan import Cross, Making
from applique.hoops.problem import BoxMm
from applique.report import in_letters

NEAREST_MM = 20.0
"""Crosses nearer to each other say too little about the turn."""

_SHOWS = 2.0
"""A cross that stays to be seen is taken where it halves the error, or there is no other place."""

_ON_FABRIC = 1.5
"""And pricks in a piece's fabric, or on its edge, are worse than pricks in the background."""

_DRAWN = 3.0
"""Drawn crosses, which are work of their own, are taken where they make the error so many times
smaller: where two fields share little room, or many hoopings hang one on the other."""

_MISTAKEN_MM = 12.0
"""Crosses nearer to each other are easily taken for one another."""

_OVERHANG_MM = 100.0
"""A field that reaches so far beyond the background counts as twice the error."""


@dataclass(frozen=True, eq=False)
class Lining:
    """The crosses of a plan; for each hooping how it hangs together with the first, and the box of
    its stitches with its crosses."""

    crosses: tuple[Cross, ...]
    chains: tuple[Chain, ...]
    boxes: tuple[BoxMm, ...]


@dataclass(frozen=True, eq=False)
class _Choice:
    """Two places, (2, 2), the hooping they are made in (0 for drawn before the first), how both are
    made and what they cost."""

    places: np.ndarray
    made_in: int
    making: Making
    chain: Chain
    cost: float


def line_up(grounds: Sequence[Ground], seam: BaseGeometry | None, reading_mm: float) -> Lining:
    """Choose the crosses of all hoopings, given in sewing order. `seam` is the finished block, None
    where its size is not known."""
    search = _Search(grounds, surroundings(seam, grounds), reading_mm)
    for later in range(1, len(grounds)):
        search.take(later, search.best(later))
    return Lining(tuple(search.crosses), tuple(search.chains), tuple(search.boxes))


class _Search:
    """The crosses chosen so far, and what of the fields they have used up."""

    def __init__(self, grounds: Sequence[Ground], around: Surroundings, reading_mm: float) -> None:
        self._grounds = grounds
        self._around = around
        self._reading_mm = reading_mm
        self.boxes = [ground.box for ground in grounds]
        self.chains: list[Chain] = [()]
        self.crosses: list[Cross] = []

    def best(self, later: int) -> _Choice:
        """The choice for a hooping that costs least."""
        shared = [self._shared(earlier, later) for earlier in range(later)]
        choices = [choice for choice in shared if choice is not None]
        return min([*choices, self._drawn(later)], key=lambda choice: choice.cost)

    def take(self, later: int, choice: _Choice) -> None:
        """Add a choice to the crosses, or use those that are there at its places."""
        self.chains.append(choice.chain)
        for place in choice.places:
            self._add(place, choice, later + 1)
            for hooping in {choice.made_in - 1, later} - {-1}:
                self.boxes[hooping] = with_cross(self.boxes[hooping], place)

    def _add(self, place: np.ndarray, choice: _Choice, used_in: int) -> None:
        x, y = (round(float(value), 3) for value in place)
        for k, cross in enumerate(self.crosses):
            if cross.place == (x, y) and cross.made_in == choice.made_in:
                used = (*cross.used_in, used_in)
                self.crosses[k] = Cross(cross.name, (x, y), choice.making, cross.made_in, used)
                return
        name = in_letters(len(self.crosses))
        self.crosses.append(Cross(name, (x, y), choice.making, choice.made_in, (used_in,)))

    def _shared(self, earlier: int, later: int) -> _Choice | None:
        """The best two places that two hoopings both reach, or None."""
        places = self._places(earlier, later)
        if len(places) < 2:
            return None
        first, second = np.triu_indices(len(places), 1)
        apart = np.hypot(*(places[first] - places[second]).T)
        possible = apart >= NEAREST_MM
        for k in (earlier, later):
            low, high = with_both(places[first], places[second], self.boxes[k])
            possible &= fits(low, high, self._grounds[k].window)
        if not possible.any():
            return None
        first, second, apart = first[possible], second[possible], apart[possible]
        unseen = hidden(places, later, self._grounds, self._around)
        cost = self._cost(earlier, later, places[first], places[second], apart)
        cost *= self._worse(places, unseen, earlier, first, second)
        # Ties must not fall by the last bits of a sum.
        best = int(np.argmin(np.round(cost, 6)))
        pair = np.array([first[best], second[best]])
        making: Making = "thread" if unseen[pair].all() else "needle"
        chain = (*self.chains[earlier], link_of(*places[pair].tolist()))
        return _Choice(places[pair], earlier + 1, making, chain, float(cost[best]))

    def _places(self, earlier: int, later: int) -> np.ndarray:
        """Places that both hoopings reach and that are in sight when they are looked for."""
        rooms = [cross_room(self.boxes[k], self._grounds[k].window) for k in (earlier, later)]
        low, high = on_cloth(
            np.maximum(rooms[0][:2], rooms[1][:2]),
            np.minimum(rooms[0][2:], rooms[1][2:]),
            self._around,
            [self._grounds[earlier], self._grounds[later]],
        )
        there = [
            cross.place
            for cross in self.crosses
            if cross.made_in == earlier + 1 and cross.making != "pen"
        ]
        known = np.array(there).reshape(-1, 2)
        reached = ((known >= low) & (known <= high)).all(axis=1)
        places = np.unique(np.vstack([known[reached], self._spread(low, high)]), axis=0)
        return places[in_sight(places, earlier, later, self._grounds)]

    def _spread(self, low: np.ndarray, high: np.ndarray) -> np.ndarray:
        """Places in a rectangle, none so near to a cross that is there already that the two could
        be taken for each other."""
        places = grid(low, high, self._around.seam_box)
        there = np.array([cross.place for cross in self.crosses]).reshape(1, -1, 2)
        away = np.hypot(*np.moveaxis(places[:, None] - there, 2, 0))
        return places[(away >= _MISTAKEN_MM).all(axis=1)]

    def _cost(
        self, earlier: int, later: int, first: np.ndarray, second: np.ndarray, apart: np.ndarray
    ) -> np.ndarray:
        """The expected error of each pair at the farthest stitch, in mm, worsened where the field
        reaches beyond the background."""
        box, ground = self.boxes[later], self._grounds[later]
        own = furthest_square((first + second) / 2, box) / apart**2 + 0.5
        before = expected_error_mm(self.chains[earlier], corners_of(box), self._reading_mm).max()
        low, high = with_both(first, second, box)
        beyond = overhang_mm(low, high, ground.window, self._around)
        error = np.sqrt(own * self._reading_mm**2 + before**2)
        return np.asarray(error * (1 + beyond / _OVERHANG_MM))

    def _worse(
        self,
        places: np.ndarray,
        unseen: np.ndarray,
        earlier: int,
        first: np.ndarray,
        second: np.ndarray,
    ) -> np.ndarray:
        """By how much each pair is the worse for what can be seen of it. One step without thread
        pricks both, so both are pricked if one must be."""
        on = on_fabric(places, earlier, self._grounds)
        shows = ~(unseen[first] & unseen[second])
        pricks_fabric = on[first] | on[second]
        return np.where(shows, np.where(pricks_fabric, _SHOWS * _ON_FABRIC, _SHOWS), 1.0)

    def _drawn(self, later: int) -> _Choice:
        """Two places as far apart as field and background allow, for crosses drawn by hand: before
        the first hooping where they will be in sight, or just before this one, on what lies there
        by then, if that lets expect less error."""
        ground, box = self._grounds[later], self.boxes[later]
        low, high = np.array(box[:2]), np.array(box[2:])
        spare = (np.array(ground.window) - (high - low)) / 2
        reach = low - spare + ARM_MM, high + spare - ARM_MM
        places = self._spread(*on_cloth(*reach, self._around, [ground]))
        if len(places) < 2:
            # On whole steps of the frame, inwards, so that the window still takes them.
            places = np.array([np.ceil(reach[0] * 10 - 1e-6), np.floor(reach[1] * 10 + 1e-6)]) / 10
        choices = [self._drawn_at(places, later, later + 1)]
        seen = places[in_sight(places, -1, later, self._grounds)]
        if len(seen) >= 2:
            choices.insert(0, self._drawn_at(seen, later, 0))
        return min(choices, key=lambda choice: round(choice.cost, 6))

    def _drawn_at(self, places: np.ndarray, later: int, made_in: int) -> _Choice:
        """The two of some places that are furthest apart."""
        pair = _furthest(places)
        chain = (link_of(pair[0].tolist(), pair[1].tolist(), readings=2),)
        error = expected_error_mm(chain, corners_of(self.boxes[later]), self._reading_mm).max()
        return _Choice(pair, made_in, "pen", chain, float(error) * _DRAWN)


def _furthest(places: np.ndarray) -> np.ndarray:
    """The two of some places, (n, 2), that are furthest apart."""
    first, second = np.triu_indices(len(places), 1)
    apart = np.hypot(*(places[first] - places[second]).T)
    best = int(np.argmax(np.round(apart, 6)))
    return places[[first[best], second[best]]]
