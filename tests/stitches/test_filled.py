"""Pinholes closed: rungs go on over bare places before them, but never into a crowd."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from applique.geometry.rings import rings_of
from applique.model import EdgeRun
from applique.stitches.crowds import MOST, within
from applique.stitches.filled import filled
from applique.stitches.ladder import Band, Rungs
from applique.stitches.line import lines_of
from applique.stitches.relief import relieved
from applique.stitches.rungs import rungs
from applique.stitches.stagger import staggered
from tests.shapes import circle, rectangle, thread_area
from tests.strategies import star_shapes

BAND = Band(1.15, 2.65, 0.4)


def unfilled(shape: shapely.MultiPolygon) -> list[Rungs]:
    runs = [EdgeRun(ring, closed=True) for ring in rings_of(shape)]
    made = [staggered(rungs(run, BAND, lines_of(runs), shape), BAND.spacing_mm) for run in runs]
    return relieved(made)


def bare_mm2(ladders: list[Rungs], shape: shapely.MultiPolygon) -> float:
    sewn = shapely.union_all([thread_area(ladder.points) for ladder in ladders])
    return float(shape.difference(sewn).area)


def most(ladders: list[Rungs]) -> int:
    points = np.vstack([ladder.points for ladder in ladders])
    return int(within(points, points).sum(axis=1).max())


def lengths(ladders: list[Rungs]) -> np.ndarray:
    return np.concatenate([ladder.high - ladder.low for ladder in ladders])


@pytest.mark.parametrize("radius", [2.2, 2.4])
def test_less_is_bare_in_the_middle_of_a_small_disc(radius: float) -> None:
    disc = circle(radius)
    before = unfilled(disc)
    after = filled(before)
    assert bare_mm2(after, disc) < bare_mm2(before, disc)
    assert most(after) <= MOST


def test_a_rung_that_was_cut_short_goes_on_over_what_it_left_bare() -> None:
    """On a straight side nothing crowds, so the whole gap is closed."""
    field = rectangle(0, 0, 60, 30)
    (ladder,) = unfilled(field)
    middle = np.flatnonzero(~ladder.outer & (np.abs(ladder.base[:, 0] - 30) < 1.5))
    spare, low = ladder.spare.copy(), ladder.low.copy()
    low[middle] += 1.8
    spare[middle] = 1.8
    cut = replace(ladder, low=low, spare=spare)
    band = field.difference(shapely.box(2.4, 2.4, 57.6, 27.6))
    assert bare_mm2([cut], band) > 4.0
    assert bare_mm2(filled([cut]), band) < 0.05


@given(star_shapes())
@settings(max_examples=25, deadline=None)
def test_rungs_are_only_made_longer_and_crowd_nobody(shape: shapely.MultiPolygon) -> None:
    before = unfilled(shape)
    after = filled(before)
    assert (lengths(after) >= lengths(before) - 1e-9).all()
    assert most(after) <= max(most(before), MOST)


def test_nothing_to_fill_leaves_everything_as_it_was() -> None:
    before = unfilled(rectangle(0, 0, 60, 60))
    after = filled(before)
    assert lengths(after).tolist() == lengths(before).tolist()
    assert filled([]) == []
