"""Where numbers stand: never over each other, never over small pieces, lines without crossings."""

from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from applique.paper.clear import line_distances, lines_meet_boxes, point_distances
from applique.paper.inside import Inside, Placed, Subject
from applique.paper.leaders import Places, place_numbers

AREA = (0.0, 0.0, 190.0, 190.0)
NUMBER = (4.0, 3.4)


def dots(places: list[tuple[int, int]], radius: float) -> list[Subject]:
    """Discs on a grid of 4 mm."""
    return [
        Subject(f"{x}-{y}", Point(20 + 4 * x, 20 + 4 * y).buffer(radius), NUMBER) for x, y in places
    ]


def line_of(placed: Placed) -> LineString:
    assert placed.start_mm is not None and placed.end_mm is not None
    return LineString([placed.start_mm, placed.end_mm])


def assert_clear(found: Places, subjects: list[Subject]) -> None:
    shapes = {subject.key: subject.shape for subject in subjects}
    beside = [placed for placed in found.placed if placed.end_mm is not None]
    for first, second in combinations(found.placed, 2):
        assert not first.box.intersects(second.box)
    for first, second in combinations(beside, 2):
        assert not line_of(first).intersects(line_of(second))
    for placed in beside:
        assert shapely.box(*AREA).contains(placed.box)
        assert shapes[placed.key].contains(Point(placed.end_mm))
        others = [other for other in found.placed if other is not placed]
        assert not any(line_of(placed).intersects(other.box) for other in others)
        small = [shapes[other.key] for other in beside]
        assert not any(placed.box.intersects(shape) for shape in small)


@settings(max_examples=25)
@given(
    st.lists(
        st.tuples(st.integers(0, 30), st.integers(0, 30)), min_size=1, max_size=30, unique=True
    ),
    st.floats(0.3, 1.9),
)
def test_numbers_beside_small_pieces_keep_clear(
    places: list[tuple[int, int]], radius: float
) -> None:
    subjects = dots(places, radius)
    found = place_numbers(subjects, AREA)
    assert_clear(found, subjects)
    assert len(found.placed) + len(found.missing) == len(subjects)


def test_a_crowd_of_small_pieces_gets_all_its_numbers() -> None:
    subjects = dots([(x, y) for x in range(0, 12, 2) for y in range(0, 10, 2)], 1.2)
    found = place_numbers(subjects, AREA)
    assert found.missing == ()
    assert_clear(found, subjects)


def test_a_crowd_without_room_is_given_up_and_never_illegible() -> None:
    subjects = [
        Subject(f"{k}", Point(4.5 * (k % 10), 4.5 * (k // 10)).buffer(2.1), (60.0, 3.4))
        for k in range(1, 100)
    ]
    found = place_numbers(subjects, AREA)
    assert_clear(found, subjects)
    assert found.missing
    assert min(placed.scale for placed in found.placed) * 3.4 >= 1.4


def test_a_number_stands_in_a_large_piece() -> None:
    subject = Subject("17", shapely.box(10, 10, 60, 40), NUMBER)
    (placed,) = place_numbers([subject], AREA).placed
    assert placed.end_mm is None
    assert subject.shape.contains(placed.box)


def test_a_number_does_not_fill_its_piece() -> None:
    """It would fit into 5.5 x 4.9 mm, but take up half of that."""
    subject = Subject("17", shapely.box(10, 10, 15.5, 14.9), NUMBER)
    (placed,) = place_numbers([subject], AREA).placed
    assert placed.end_mm is not None
    roomy = Inside(share=0.6)
    (inside,) = place_numbers([subject], AREA, roomy).placed
    assert inside.end_mm is None


def test_a_number_is_made_smaller_where_that_is_allowed() -> None:
    subject = Subject("17", shapely.box(10, 10, 14.5, 14.0), NUMBER)
    (placed,) = place_numbers([subject], AREA, Inside(0.6, (1.0, 0.75))).placed
    assert placed.scale == 0.75
    assert subject.shape.contains(placed.box)


def test_what_does_not_show_is_told() -> None:
    found = place_numbers([Subject("3", shapely.Polygon(), NUMBER)], AREA)
    assert (found.placed, found.missing) == ((), ("3",))


coordinates = st.integers(-20, 20).map(float)
points = st.tuples(coordinates, coordinates)


@given(points, points, points, points)
def test_distances_are_those_of_another_library(a, b, c, d) -> None:
    first, second = LineString([a, b]), LineString([c, d])
    ends = [np.array([end]) for end in (a, b, c, d)]
    assert line_distances(*ends)[0, 0] == pytest.approx(first.distance(second), abs=1e-6)
    assert point_distances(ends[0], *ends[2:])[0, 0] == pytest.approx(
        Point(a).distance(second), abs=1e-6
    )


@given(points, points, points, st.integers(1, 9), st.integers(1, 9))
def test_lines_through_boxes_are_those_of_another_library(a, b, corner, width, height) -> None:
    x, y = corner
    sides = (x, y, x + width, y + height)
    met = lines_meet_boxes(np.array([a]), np.array([b]), np.array([sides]))[0, 0]
    distance = LineString([a, b]).distance(shapely.box(*sides))
    if distance > 1e-6:
        assert not met
    elif LineString([a, b]).intersects(shapely.box(*sides).buffer(-1e-6)):
        assert met
