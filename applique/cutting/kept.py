"""What was kept of an earlier run, read with distrust: it may be damaged, or edited."""

from __future__ import annotations

from typing import Any

from applique.cutting.nested import Placement

_FURTHEST = 1e6
"""Places and angles beyond a kilometre, or so many degrees, are no longer reckoned exactly."""

_LARGEST = 1e12
"""No length, area or count of what is bought is larger: a square kilometre in mm2."""


class UnfitError(Exception):
    """What was kept is not what it should be."""


def checked(told: Any, kind: type) -> Any:
    """A value of just this kind: JSON's true is no 1. Raises UnfitError for any other."""
    if type(told) is not kind:
        raise UnfitError
    return told


def number(told: Any) -> float:
    """A place or an angle; raises UnfitError otherwise."""
    if type(told) not in (int, float) or not -_FURTHEST <= told <= _FURTHEST:
        raise UnfitError
    return float(told)


def amount(told: Any) -> float:
    """A length or an area; raises UnfitError otherwise."""
    if type(told) not in (int, float) or not 0 <= told <= _LARGEST:
        raise UnfitError
    return float(told)


def count(told: Any) -> int:
    """A whole number of 0 or more; raises UnfitError otherwise."""
    return int(amount(checked(told, int)))


def places_in(told: Any) -> tuple[Placement, ...]:
    """Some placements, at least one; raises UnfitError otherwise."""
    places = tuple(_placement(each) for each in checked(told, list))
    if not places:
        raise UnfitError
    return places


def places_as_lists(placements: tuple[Placement, ...]) -> list[list[float]]:
    """Placements as lists of numbers."""
    return [
        [it.index, float(it.angle_degrees), float(it.x_mm), float(it.y_mm)] for it in placements
    ]


def _placement(told: Any) -> Placement:
    place = checked(told, list)
    if len(place) != 4:
        raise UnfitError
    angle, x, y = map(number, place[1:])
    return Placement(checked(place[0], int), angle, x, y)
