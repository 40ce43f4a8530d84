"""Where numbers stand in a picture of pieces, and the lines that lead from them.

A number stands inside what shows of its piece where it takes up little of it. Any other stands in a
box beside, on the nearest free place, and a line leads from it to a dot on its piece. Boxes overlap
neither each other, nor the pieces that are too small for a number, nor lines; lines don't cross.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely

from applique.geometry.rings import polygons_of
from applique.paper.drawing import BoxMm
from applique.paper.ground import Ground
from applique.paper.inside import Inside, Placed, Subject, place_inside
from applique.paper.taken import Taken

_IN_A_PICTURE = Inside()

DOT_MM = 0.5
"""Radius of the dot at the end of a line."""

_TRIES = ((1.0, 0.8), (0.85, 0.8), (0.7, 0.6), (0.55, 0.4), (0.42, 0.1))
"""A box that finds no place is made smaller, and less is kept free round boxes, lines and small
pieces: shares of the asked size, and mm. The last makes the picture's numbers of 3.4 mm 1.4 mm
(4 pt) high; nobody reads smaller ones, and such a piece goes without."""

_ROUNDS = (0, 0, 2, 4)
"""Where boxes found no place, they come first in another round; then all are made smaller from the
start, so that each takes less room from the others. For every round the largest of `_TRIES`."""

_HOPELESS = 0.1
"""Where more than this share found no place, no other order of boxes as large makes room."""


@dataclass(frozen=True)
class Places:
    """Where all numbers stand, in the order of the subjects; `missing` are keys without room."""

    placed: tuple[Placed, ...]
    missing: tuple[str, ...]


def place_numbers(
    subjects: Sequence[Subject], area_mm: BoxMm, inside: Inside = _IN_A_PICTURE
) -> Places:
    """Find every number a place within an area. `inside` says which may stand in their pieces."""
    area = shapely.box(*area_mm)
    within: dict[str, Placed] = {}
    taken = Taken()
    for subject in subjects:
        found = place_inside(subject, area, taken.boxes, inside)
        if found is not None:
            within[subject.key] = found
            taken = taken.and_also(found)
    large = [subject for subject in subjects if subject.key in within]
    small = [s for s in subjects if s.key not in within and polygons_of(s.shape)]
    ground = Ground(large, small, area_mm)
    placed = within | _placed_beside(ground, small, taken)
    return Places(
        tuple(placed[subject.key] for subject in subjects if subject.key in placed),
        tuple(subject.key for subject in subjects if subject.key not in placed),
    )


def _placed_beside(ground: Ground, small: Sequence[Subject], within: Taken) -> dict[str, Placed]:
    """Boxes beside small pieces. Those with the most neighbours come first; where one finds no
    place, everything is begun again with it."""
    order = sorted(small, key=ground.room_about)
    best: dict[str, Placed] = {}
    tried, worth_while = -1, True
    for largest in _ROUNDS:
        if largest == tried and not worth_while:
            continue
        placed: dict[str, Placed] = {}
        taken, usual = within, largest
        for subject in order:
            found, usual = _largest_beside(ground, subject, taken, usual, largest)
            if found is not None:
                placed[subject.key] = found
                taken = taken.and_also(found)
        gained = len(placed) > len(best)
        best = max(best, placed, key=len)
        if len(best) == len(small):
            break
        order.sort(key=lambda subject: subject.key in placed)
        worth_while = gained and len(small) - len(placed) <= _HOPELESS * len(small)
        tried = largest
    return best


def _largest_beside(
    ground: Ground, subject: Subject, taken: Taken, usual: int, largest: int
) -> tuple[Placed | None, int]:
    """A box beside at the first of `_TRIES`, from `largest` on, at which it finds a place, and
    which that is; None if there is none. Those about `usual` are tried first, the last before the
    others: where that finds no place, none does."""
    last = len(_TRIES) - 1
    trial = max(usual - 1, largest)
    found = ground.beside(subject, taken, *_TRIES[trial])
    while found is not None and trial > largest:
        larger = ground.beside(subject, taken, *_TRIES[trial - 1])
        if larger is None:
            break
        found, trial = larger, trial - 1
    if found is not None:
        return found, trial
    smallest = ground.beside(subject, taken, *_TRIES[last]) if trial < last else None
    if smallest is None:
        return None, last
    for k in range(trial + 1, last):
        found = ground.beside(subject, taken, *_TRIES[k])
        if found is not None:
            return found, k
    return smallest, last
