"""Stretches of an edge that can't be seen, carried on from both sides."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from applique.trace.band import BEYOND, MISSING, SEEN
from applique.trace.repair import intruding, mended, without_blurs
from applique.trace.turns import evenly

PEN_MM = 1.0

CIRCLE = evenly(shapely.get_coordinates(shapely.Point(0, 0).buffer(15, 256))[:-1])
SQUARE = evenly(np.array([(0.0, 0.0), (30, 0), (30, 30), (0, 30)]))


def unseen(edge: np.ndarray, place: tuple[float, float], reach_mm: float, why: int) -> np.ndarray:
    """Why the edge is not seen within a reach of a place."""
    return np.where(np.hypot(*(edge - place).T) < reach_mm, why, SEEN)


def furthest_off(points: np.ndarray, outline: np.ndarray) -> float:
    """How far either is from the other at most."""
    rings = shapely.LinearRing(points), shapely.LinearRing(outline)
    return max(
        shapely.distance(shapely.points(line.coords), other).max()
        for line, other in (rings, rings[::-1])
    )


@pytest.mark.parametrize("reach_mm", [0.25, 1.0, 1.9])
def test_circle_goes_on_over_a_gap(reach_mm):
    whole = mended(CIRCLE, unseen(CIRCLE, (15, 0), reach_mm, MISSING), PEN_MM)
    assert whole is not None
    assert furthest_off(whole.points, CIRCLE) < 0.05
    (stretch,) = whole.stretches
    assert stretch.why == frozenset({MISSING})
    assert np.hypot(*np.subtract(stretch.place, (15, 0))) < 0.15
    assert 2 * reach_mm < stretch.length_mm < 2 * reach_mm + 1.1
    assert whole.bridged.sum() == len(stretch.points)


@pytest.mark.parametrize("reach_mm", [0.8, 1.5, 2.5])
def test_corner_of_a_square_is_given_back(reach_mm):
    whole = mended(SQUARE, unseen(SQUARE, (30, 30), reach_mm, BEYOND), PEN_MM)
    assert whole is not None
    assert furthest_off(whole.points, SQUARE) < 0.3
    assert shapely.distance(shapely.Point(30, 30), shapely.LinearRing(whole.points)) < 0.3


def test_side_of_a_square_stays_straight():
    whole = mended(SQUARE, unseen(SQUARE, (15, 0), 1.5, MISSING), PEN_MM)
    assert whole is not None
    assert furthest_off(whole.points, SQUARE) < 0.01


def test_nothing_is_done_to_an_edge_that_is_seen():
    whole = mended(SQUARE, np.full(len(SQUARE), SEEN), PEN_MM)
    assert whole is not None
    assert whole.stretches == ()
    assert whole.points is SQUARE


@pytest.mark.parametrize("seen_mm", [0.0, 0.8, 1.7])
def test_too_little_is_none(seen_mm):
    why = np.full(len(CIRCLE), MISSING)
    why[: round(10 * seen_mm)] = SEEN
    assert mended(CIRCLE, why, PEN_MM) is None


def test_no_edge_at_all_is_none():
    assert mended(np.empty((0, 2)), np.empty(0, int), PEN_MM) is None


def test_island_between_two_gaps_does_not_count():
    # 1.2 mm are seen between them, of which 0.9 mm are too near.
    arc = np.arange(len(CIRCLE)) * 0.1
    why = np.where((np.abs(arc - 20.0) < 2.0) & (np.abs(arc - 20.0) > 0.6), MISSING, SEEN)
    whole = mended(CIRCLE, why, PEN_MM)
    assert whole is not None
    assert len(whole.stretches) == 1


def test_where_the_edge_begins_does_not_matter():
    found = []
    for start in (0, 137, 471, 940):
        edge = np.roll(CIRCLE, start, axis=0)
        whole = mended(edge, unseen(edge, (15, 0), 1.0, MISSING), PEN_MM)
        assert whole is not None
        found.append(whole)
    lengths = [whole.stretches[0].length_mm for whole in found]
    assert lengths == pytest.approx([lengths[0]] * 4)


def test_short_blurs_are_left_out_and_long_ones_kept():
    found = np.ones(len(SQUARE), bool)
    found[100:103] = False
    found[200:220] = False
    kept = without_blurs(SQUARE, found)
    assert np.flatnonzero(~kept).tolist() == [100, 101, 102]


def test_hair_across_the_edge_is_no_pens_ink():
    # A spike of 0.5 mm that juts into the square; no pen of 1 mm fits round it.
    edge = SQUARE.copy()
    near = np.abs(edge[:, 0] - 15) < 0.15
    edge[near & (edge[:, 1] < 1), 1] += 0.5
    flagged = intruding(edge, 1.0)
    assert flagged.any()
    assert np.hypot(*(edge[flagged] - (15, 0)).T).max() < 1.2
    assert not intruding(SQUARE, 1.0).any()
