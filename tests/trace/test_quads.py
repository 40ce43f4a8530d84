"""Bright quadrilaterals in photographs, and how much of two of them is the same."""

from __future__ import annotations

import numpy as np
import pytest

from applique.trace.quads import bright_quads, shared_area
from tests.trace.test_sheet import photo, seen_by_camera


def box(left, top, right, bottom):
    return np.array([[left, top], [right, top], [right, bottom], [left, bottom]], float)


def test_boxes_share_what_overlaps():
    assert shared_area(box(0, 0, 100, 50), box(10, 5, 110, 55)) == pytest.approx(90 * 45)
    assert shared_area(box(0, 0, 10, 10), box(20, 0, 30, 10)) == 0
    assert shared_area(box(0, 0, 10, 10), box(2, 2, 4, 4)[::-1]) == pytest.approx(4)


def test_nearly_the_same_quadrilateral_twice_shares_nearly_all():
    # One sheet, found twice: all sides cross each other at less than half a degree.
    once = np.array([[55.870, 55.108], [419.418, 82.499], [435.378, 605.070], [22.083, 619.626]])
    twice = np.array([[55.679, 58.292], [419.380, 81.249], [435.399, 605.767], [22.273, 616.454]])
    for first, second in ((once, twice), (twice, once)):
        assert shared_area(first, second) == pytest.approx(210_227, abs=5)


@pytest.mark.parametrize("tilt", [(8.0, -7.0, 2.0), (-9.0, 5.0, -4.0), (3.0, 10.0, 5.0)])
def test_corners_are_found_to_a_few_pixels(tilt):
    corners = seen_by_camera(px_per_mm=6.6, tilt=tilt)
    (quad,) = bright_quads(photo(corners))
    assert quad.support > 0.9
    assert np.abs(quad.corners_px - corners).max() < 2.5
