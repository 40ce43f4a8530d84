"""Words for a place on a shape, as one would point it out."""

from __future__ import annotations

PointMm = tuple[float, float]
BoxMm = tuple[float, float, float, float]

_ROWS = ("upper", "", "lower")
_COLUMNS = ("left", "", "right")
_ALONE = {"upper": "top", "lower": "bottom", "left": "left", "right": "right", "": "middle"}


def whereabouts(place: PointMm, box: BoxMm) -> str:
    """Where a place lies in a box (left, top, right, bottom): `upper left`, `top`, `middle`."""
    row = _third(place[1], box[1], box[3], _ROWS)
    column = _third(place[0], box[0], box[2], _COLUMNS)
    if row and column:
        return f"{row} {column}"
    return _ALONE[row or column]


def _third(value: float, low: float, high: float, words: tuple[str, str, str]) -> str:
    share = (value - low) / (high - low) if high > low else 0.5
    return words[min(2, max(0, int(share * 3)))]
