"""Crosses: both fields take them, they lie far apart, and where nobody sees them."""

import math

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from applique.hoops.lining.crosses import Lining, line_up
from applique.hoops.lining.ground import Ground
from applique.hoops.problem import BoxMm

NOTHING = shapely.Polygon()
BLOCK = shapely.box(0, 0, 200, 200)
FIELD = (128.0, 178.0)


def ground(box: BoxMm, laid: shapely.Geometry = NOTHING) -> Ground:
    return Ground(box, FIELD, laid)


def size(box: BoxMm) -> tuple[float, float]:
    return box[2] - box[0], box[3] - box[1]


def taken(lining: Lining, grounds: list[Ground]) -> None:
    """Every hooping's window takes its stitches and all arms of its crosses together."""
    for number, one in enumerate(grounds, start=1):
        corners = [one.box]
        for cross in lining.crosses:
            if number in (cross.made_in, *cross.used_in):
                x, y = cross.place
                corners.append((x - 3, y - 3, x + 3, y + 3))
        box = (
            min(b[0] for b in corners),
            min(b[1] for b in corners),
            max(b[2] for b in corners),
            max(b[3] for b in corners),
        )
        assert size(box)[0] <= one.window[0] + 1e-6
        assert size(box)[1] <= one.window[1] + 1e-6
        assert lining.boxes[number - 1] == pytest.approx(box)


def test_two_neighbours_share_two_crosses_in_the_seam() -> None:
    low_block = shapely.box(0, 0, 200, 160)
    grounds = [ground((5, 10, 95, 150)), ground((105, 10, 195, 150))]
    lining = line_up(grounds, low_block, 0.5)
    taken(lining, grounds)
    assert [cross.name for cross in lining.crosses] == ["A", "B"]
    for cross in lining.crosses:
        assert (cross.made_in, cross.used_in, cross.making) == (1, (2,), "thread")
        assert 3 <= low_block.distance(shapely.Point(cross.place)) <= 12
    first, second = (cross.place for cross in lining.crosses)
    # One above the upper seam line, one below the lower.
    assert math.dist(first, second) > 166


def test_under_fabric_that_is_laid_later_a_cross_is_sewn() -> None:
    cover = shapely.box(80, 20, 160, 180)
    grounds = [ground((5, 20, 95, 180)), ground((85, 25, 155, 175), cover)]
    lining = line_up(grounds, None, 0.5)
    taken(lining, grounds)
    for cross in lining.crosses:
        assert cross.making == "thread"
        assert cover.covers(shapely.Point(cross.place).buffer(3, cap_style="square"))


def test_where_it_would_show_a_cross_is_pricked() -> None:
    grounds = [ground((5, 20, 95, 180)), ground((105, 20, 195, 180))]
    lining = line_up(grounds, None, 0.5)
    taken(lining, grounds)
    assert {cross.making for cross in lining.crosses} == {"needle"}


def test_a_cross_is_never_where_fabric_has_come_to_lie_meanwhile() -> None:
    between = shapely.box(60, 0, 140, 60)
    grounds = [
        ground((5, 20, 95, 180)),
        ground((62, 2, 138, 58), between),
        ground((105, 20, 195, 180)),
    ]
    lining = line_up(grounds, BLOCK, 0.5)
    taken(lining, grounds)
    for cross in lining.crosses:
        if cross.made_in == 1 and 3 in cross.used_in:
            assert between.distance(shapely.Point(cross.place)) >= 3


def test_fields_too_far_apart_need_drawn_crosses() -> None:
    grounds = [ground((0, 0, 100, 170)), ground((300, 0, 400, 170))]
    lining = line_up(grounds, None, 0.5)
    taken(lining, grounds)
    assert {(cross.making, cross.made_in) for cross in lining.crosses} == {("pen", 0)}


def test_a_drawn_cross_is_in_sight_when_it_is_needed() -> None:
    # Fabric of the first hooping covers one end of one diagonal of the second field.
    cover = shapely.box(280, -60, 310, 40)
    grounds = [ground((0, 0, 100, 170), cover), ground((300, 0, 400, 170))]
    lining = line_up(grounds, None, 0.5)
    taken(lining, grounds)
    for cross in lining.crosses:
        assert (cross.making, cross.made_in) == ("pen", 0)
        assert cover.distance(shapely.Point(cross.place)) >= 3


def test_where_fabric_lies_everywhere_crosses_are_drawn_on_it() -> None:
    cover = shapely.box(200, -100, 500, 300)
    grounds = [ground((0, 0, 100, 170), cover), ground((300, 0, 400, 170))]
    lining = line_up(grounds, None, 0.5)
    taken(lining, grounds)
    # Not before the first hooping, which covers them, but just before the second.
    assert {(cross.making, cross.made_in) for cross in lining.crosses} == {("pen", 2)}


def test_fabric_sewn_on_the_machine_in_between_covers_crosses_too() -> None:
    sea = shapely.box(40, 100, 160, 200)
    first = Ground((5, 20, 95, 180), FIELD, NOTHING, laid_after=sea)
    grounds = [first, ground((105, 20, 195, 180))]
    lining = line_up(grounds, None, 0.5)
    taken(lining, grounds)
    for cross in lining.crosses:
        assert cross.made_in == 1
        assert sea.distance(shapely.Point(cross.place)) >= 3


def test_crosses_can_be_told_apart() -> None:
    grounds = [ground((x, 10, x + 60, 150)) for x in (0, 50, 100, 150)]
    crosses = line_up(grounds, shapely.box(0, 0, 210, 160), 0.5).crosses
    for k, cross in enumerate(crosses):
        for other in crosses[:k]:
            assert math.dist(cross.place, other.place) >= 12


@given(
    st.lists(
        st.tuples(st.floats(0, 300), st.floats(0, 300), st.floats(10, 128), st.floats(10, 178)),
        min_size=2,
        max_size=5,
    )
)
@settings(max_examples=25)
def test_every_window_takes_its_crosses(pieces: list[tuple[float, float, float, float]]) -> None:
    grounds = [
        ground((x, y, x + w, y + h), shapely.box(x + 4, y + 4, x + w - 4, y + h - 4))
        for x, y, w, h in pieces
    ]
    lining = line_up(grounds, BLOCK, 0.5)
    taken(lining, grounds)
    for number in range(2, len(grounds) + 1):
        assert sum(number in cross.used_in for cross in lining.crosses) == 2
        for cross in lining.crosses:
            late = cross.making == "pen" and cross.made_in > 0
            assert all(cross.made_in < used or late for used in cross.used_in)
