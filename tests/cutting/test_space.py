"""Places in what is left of a sheet."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from applique.cutting.nested import rectangle
from applique.cutting.space import box_within, free_space, words_within
from tests.shapes import square

MAT = rectangle("mat", 100.0, 80.0)


def test_what_is_left_keeps_clear_of_margin_and_pieces() -> None:
    """90 x 70 mm within the margin, less a square of 20 mm grown by 3 mm with round corners."""
    space = free_space(MAT, 5.0, [square(20.0, 30.0, 30.0)], 3.0)
    assert space.area == pytest.approx(90 * 70 - (400 + 4 * 20 * 3 + np.pi * 9), rel=1e-3)


def test_a_box_lies_as_far_up_and_left_as_there_is_room() -> None:
    space = free_space(MAT, 0.0, [square(50.0)], 0.0)
    assert box_within(space, 40.0, 20.0) == pytest.approx([50.0, 0.0])
    assert box_within(space, 60.0, 20.0) == pytest.approx([0.0, 50.0])
    assert box_within(space, 60.0, 40.0) is None
    assert box_within(shapely.Polygon(), 1.0, 1.0) is None


@given(st.floats(0, 60), st.floats(0, 60), st.floats(2, 40), st.floats(2, 40))
def test_a_box_that_is_found_is_free(x: float, y: float, width: float, height: float) -> None:
    space = free_space(MAT, 2.0, [square(30.0, x, y)], 1.0)
    corner = box_within(space, width, height)
    if corner is not None:
        box = shapely.box(*corner, *(corner + np.array([width, height])))
        assert space.buffer(1e-9).covers(box)


def test_words_shrink_where_they_must_and_do_not_meet() -> None:
    wide = words_within(shapely.box(0, 0, 200, 60), ["SEA", "SAND"])[0]
    assert np.ptp(np.vstack(wide[:3])[:, 1]) == pytest.approx(8.0)
    sea, sand = (shapely.MultiLineString(list(part)) for part in (wide[:5], wide[5:]))
    assert sea.distance(sand) >= 1.5
    (narrow, left) = words_within(shapely.box(0, 0, 15, 12), ["SEA", "A LONG NAME"])
    assert np.ptp(np.vstack(narrow)[:, 1]) == pytest.approx(5.0)
    assert not shapely.intersects(left, shapely.MultiLineString(list(narrow)))
