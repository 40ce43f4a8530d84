"""The needle map, counted one pair at a time and checked at single pixels."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.model import Step, Thread
from applique.pictures.canvas import LONG_SIDE_PX, Area
from applique.pictures.colours import INK, WHITE, heat_colour
from applique.pictures.heat import RADIUS_MM, NeedleMap, heat, needle_map

AREA = Area(0, 0, 20, 20)
PER_MM = LONG_SIDE_PX / 20


def sewn(points: list[tuple[float, float]]) -> list[Step]:
    return [
        Step(
            "edge",
            "1",
            Thread("#b2392f"),
            (np.array(points, dtype=float).reshape(-1, 2),),
            ("trim",),
        )
    ]


near = st.floats(-2, 2).map(lambda mm: round(mm, 2))


@given(st.lists(st.tuples(near, near), min_size=1, max_size=40, unique=True))
@settings(max_examples=60)
def test_counts_are_those_of_every_pair(points: list[tuple[float, float]]) -> None:
    needles = needle_map(sewn(points))
    apart = np.hypot(*(needles.points[:, None] - needles.points[None, :]).transpose(2, 0, 1))
    clear = np.abs(apart - RADIUS_MM) > 1e-9
    at_least = (clear & (apart < RADIUS_MM)).sum(axis=1)
    at_most = (~clear | (apart < RADIUS_MM)).sum(axis=1)
    assert ((at_least <= needles.counts) & (needles.counts <= at_most)).all()


def test_a_satin_rail_has_three_points_in_a_circle() -> None:
    needles = needle_map(sewn([(0.4 * k, 0) for k in range(10)]))
    assert needles.counts.tolist() == [2, *[3] * 8, 2]


def test_a_point_on_the_one_before_it_counts_once() -> None:
    assert needle_map(sewn([(1, 1), (1, 1), (5, 5)])).counts.tolist() == [1, 1]


def test_points_have_their_colour_and_the_worst_is_ringed() -> None:
    crowd = [(10 + 0.1 * k, 10.0) for k in range(8)]
    needles = needle_map(sewn([(4, 15), *crowd]))
    assert needles.worst(AREA) == 1 + int(np.argmax(needles.counts[1:]))
    pixels = np.asarray(heat(needles, [], AREA))
    assert tuple(pixels[round(14.85 * PER_MM), round(4 * PER_MM)]) == heat_colour(1)
    assert tuple(pixels[round(2 * PER_MM), round(2 * PER_MM)]) == WHITE
    x, y = needles.points[needles.worst(AREA)]
    assert tuple(pixels[round((y + RADIUS_MM) * PER_MM), round(x * PER_MM)]) == INK


def test_the_worst_place_is_looked_for_in_what_is_shown() -> None:
    needles = needle_map(sewn([(5, 5), (30, 30), (30.1, 30), (30.2, 30)]))
    assert needles.worst(AREA) == 0
    assert needles.worst(Area(25, 25, 10, 10)) in (1, 2, 3)
    assert needles.worst(Area(100, 100, 10, 10)) is None


@pytest.mark.parametrize("steps", [[], sewn([])])
def test_without_stitches_the_map_is_empty(steps: list[Step]) -> None:
    needles = needle_map(steps)
    assert isinstance(needles, NeedleMap)
    assert len(needles.points) == len(needles.counts) == 0
    assert (np.asarray(heat(needles, [], AREA)) == WHITE).all()


def test_the_number_stands_below_the_ring_where_there_is_no_room_above() -> None:
    pixels = np.asarray(heat(needle_map(sewn([(10, 0.6)])), [], AREA))
    inked = np.argwhere((pixels == INK).all(axis=2))
    assert inked[:, 0].max() > (0.6 + RADIUS_MM) * PER_MM + 30
