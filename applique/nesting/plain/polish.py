"""Places made better by steps finer than the lattice's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from applique.nesting.plain.fields import Field
from applique.nesting.plain.probes import Turned
from applique.nesting.plain.search import Liking, Place, scores

_ROUND = np.array(
    [(0.0, 0.0)] + [(x, y) for y in (-1.0, 0.0, 1.0) for x in (-1.0, 0.0, 1.0) if x or y],
    dtype=np.float32,
)
"""Where a step leads: staying first, so that equals change nothing."""

_HALVINGS = 5
"""The last steps are 1/32 of the lattice's."""

_HALVINGS_MOST = 12
"""The same for a place that is still not free: it may fit to the thousandth."""

_STEPS = 2
"""Steps of one length at most."""

_ALL = 2
"""Halvings for all places; the others only for the one that is best by then."""

_DISC_SLACK = 0.75
"""Share of the lattice's step that discs may lack. Midway between two sides the clearance has a
ridge, which reading between lattice points cuts off; that is just where discs lie. Points of the
edge tell the rest."""

_UNFREE = np.float32(100.0)
"""Any place that is free is better than any that is not; no larger, for the rest must stay exact.
"""


@dataclass(frozen=True, eq=False)
class _Moving:
    """Places on their way: which angle, the probes' offsets at it, (n, 1, probes, 2), and the
    centre, (n, 2), both float32 in lattice steps, the score, and by how many mm all is free around.
    """

    angle: np.ndarray
    offsets: np.ndarray
    centre: np.ndarray
    score: np.ndarray
    free_mm: np.ndarray

    def only(self, which: np.ndarray) -> _Moving:
        """Some of the places."""
        return _Moving(
            self.angle[which],
            self.offsets[which],
            self.centre[which],
            self.score[which],
            self.free_mm[which],
        )


def polished(
    clearance: Field, turned: Turned, places: list[Place], liking: Liking, spare_mm: float
) -> Place | None:
    """The best place, moved to where nothing is nearer than `spare_mm` to it, by the clearance, and
    then to where it touches most nearby; None where none comes free."""
    corner, steps = clearance.corner_mm, clearance.steps_mm
    centre = (np.array([place.centre for place in places]) - corner) / steps
    nothing = np.zeros(len(places))
    angle = np.array([place.angle for place in places], dtype=np.intp)
    offsets = (turned.offsets_mm[angle, None] / steps).astype(np.float32)
    moving = _Moving(angle, offsets, centre.astype(np.float32), nothing, nothing)
    step = 1.0
    for number in range(_HALVINGS_MOST):
        if number >= _HALVINGS and moving.free_mm[0] >= 0:
            break
        step /= 2
        for _ in range(_STEPS):
            moved = _step(clearance, turned, moving, step, liking, spare_mm)
            settled = np.array_equal(moved.centre, moving.centre)
            moving = moved
            if settled:
                break
        # All further steps together lead hardly farther than two of these.
        near = moving.free_mm >= -2 * step * clearance.step_mm
        if not near.any():
            return None
        if not near.all():
            moving = moving.only(near)
        if number + 1 == _ALL and len(moving.angle) > 1:
            moving = moving.only(np.argmax(moving.score, keepdims=True))
    if moving.free_mm[0] < 0:
        return None
    return Place(int(moving.angle[0]), moving.centre[0] * steps + corner)


def _step(
    clearance: Field,
    turned: Turned,
    moving: _Moving,
    step: float,
    liking: Liking,
    spare_mm: float,
) -> _Moving:
    """Each place a step farther: to a free place if there is one, to the one that touches most;
    else to the one that is nearest to being free. A step is told in lattice steps."""
    centres = moving.centre[:, None] + np.float32(step) * _ROUND
    across = centres[..., 0, None] + moving.offsets[..., 0]
    read = clearance.at(across, centres[..., 1, None] + moving.offsets[..., 1])
    read[..., : turned.discs] -= turned.needs_mm[: turned.discs] - _DISC_SLACK * clearance.step_mm
    free = read.min(axis=2) - np.float32(spare_mm)
    edge = read[..., turned.discs :].reshape(-1, read.shape[2] - turned.discs)
    ends = (
        centres * clearance.steps_mm + clearance.corner_mm + turned.boxes_mm[moving.angle, None, 2:]
    )
    scored = scores(edge, ends.reshape(-1, 2), liking).reshape(free.shape)
    liked = np.where(free >= 0, scored, free - _UNFREE)
    best = liked.argmax(axis=1)
    at = np.arange(len(best)), best
    return _Moving(moving.angle, moving.offsets, centres[at], liked[at], free[at])
