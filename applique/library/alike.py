"""An outline recognised as a known template, and laid as that lies."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from applique.library.likeness import Likeness, compare, likenesses_between
from applique.library.master import Master, moved
from applique.model import Outline

EXACT_MM = 0.03
"""Outlines that lie no further apart are one outline, copied: flattening both and rounding make as
much, and no hand comes so near."""


@dataclass(frozen=True, eq=False)
class Placing:
    """An outline laid over the known one that it was recognised as: `mirrored` if it had to be
    turned over for that, `is_exact` if it is a copy of it."""

    outline: Outline
    mirrored: bool
    is_exact: bool


def found_again(known: Outline, new: Outline) -> Placing | None:
    """A new outline laid over a known one, None if they are not the same template."""
    likeness = compare(known.shape, new.shape)
    if likeness is None:
        return None
    outline = moved(new, _back(likeness, known, new))
    return Placing(outline, likeness.mirrored, likeness.most_mm <= EXACT_MM)


def _back(likeness: Likeness, known: Outline, new: Outline) -> np.ndarray:
    """From where the new outline lies to where the known one does, (2, 3): their middles meet."""
    angle = np.radians(likeness.turn_degrees)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    flip = np.diag([-1.0 if likeness.mirrored else 1.0, 1.0])
    linear = np.linalg.inv(turn @ flip)
    return np.column_stack([linear, _middle(known) - linear @ _middle(new)])


def _middle(outline: Outline) -> np.ndarray:
    return shapely.get_coordinates(shapely.centroid(outline.shape))[0]


def known_shapes_among(
    new: Sequence[Master], known: Mapping[str, Outline]
) -> Iterator[tuple[Master, str, str]]:
    """New templates that have the outline of a known one, its name, and how they are turned."""
    names = list(known)
    shapes = [known[name].shape for name in names]
    for likeness in likenesses_between(shapes, [master.outline.shape for master in new]):
        yield new[likeness.second], names[likeness.first], how_turned(likeness)


def how_turned(likeness: Likeness) -> str:
    """How one of two like shapes lies to the other, in words: `, mirrored and turned by 30°`."""
    turned = (round(likeness.turn_degrees) + 179) % 360 - 179
    words = ["mirrored"] if likeness.mirrored else []
    words += [f"turned by {turned}°"] if turned else []
    return f", {' and '.join(words)}" if words else ""
