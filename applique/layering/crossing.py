"""Where an edge that runs on under its covers may end early, because their own edges cross there.

Beneath one upper edge the run-on is a second layer of thread. Where the edges of two upper pieces
cross, it would be a third, and a ridge to the hand.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from applique.geometry.walk import unit
from applique.model import Piece
from applique.settings import Settings


def may_end_early(
    places: np.ndarray, settings: Settings, uppers: Sequence[Piece], union: BaseGeometry
) -> np.ndarray:
    """At which of the places (n, 2) mm along a run-on, in order, it is out of sight and may end,
    because further on it would lie beneath the edges of two or more pieces; (n,) of bool.

    `settings` are those of the piece whose edge runs on; `uppers` the pieces above it, in stacking
    order, and `union` everything they cover.
    """
    if len(places) < 2 or len(uppers) < 2:
        return np.zeros(len(places), dtype=bool)
    left, right = _tips(places, settings)
    crossed = np.zeros(len(places), dtype=bool)
    for across in (places, (places + left) / 2, (places + right) / 2):
        crossed |= _edges_above(across, uppers) > 1
    ahead = np.maximum.accumulate(crossed[::-1])[::-1]
    if not ahead.any():
        return ahead
    hidden = shapely.distance(union, shapely.points(places)) == 0
    beyond = min(_hides_beside(upper) for upper in uppers)
    for tips in (left, right):
        hidden &= shapely.distance(union, shapely.points(tips)) <= beyond
    return np.asarray(ahead & hidden)


def _tips(places: np.ndarray, settings: Settings) -> tuple[np.ndarray, np.ndarray]:
    """As far as rungs at the places may reach to either side, (n, 2) each."""
    along = unit(np.gradient(places, axis=0))
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    reach = settings.pull_compensation_mm + max(settings.edge_inside_mm, settings.edge_outside_mm)
    return places + across * reach, places - across * reach


def _hides_beside(upper: Piece) -> float:
    """How far outside its outline a piece's edge hides what was sewn before, in mm."""
    return upper.settings.edge_outside_mm if upper.settings.edge_covers else 0.0


def _edges_above(places: np.ndarray, uppers: Sequence[Piece]) -> np.ndarray:
    """How many upper pieces have their edge stitches over each place, (n,)."""
    points = shapely.points(places)
    count = np.zeros(len(places), dtype=int)
    for k, upper in enumerate(uppers):
        sewn = _in_sight(upper, uppers[k + 1 :], places)
        if sewn.is_empty:
            continue
        inside = shapely.contains_xy(upper.outline.shape, places[:, 0], places[:, 1])
        band = np.where(inside, upper.settings.edge_inside_mm, upper.settings.edge_outside_mm)
        count += shapely.distance(sewn, points) <= band
    return count


def _in_sight(piece: Piece, above: Sequence[Piece], places: np.ndarray) -> BaseGeometry:
    """The outline of a piece round about some places, without what is hidden and gets no edge."""
    reach = max(piece.settings.edge_inside_mm, piece.settings.edge_outside_mm)
    window = (*(places.min(axis=0) - reach), *(places.max(axis=0) + reach))
    outline = shapely.clip_by_rect(piece.outline.shape.boundary, *window)
    for upper in above:
        if outline.is_empty:
            break
        outline = shapely.difference(outline, upper.outline.shape)
    return outline
