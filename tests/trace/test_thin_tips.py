"""Tips of an outline behind which a line is hardly closed."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from applique.trace.outline import shaped
from applique.trace.thin_tips import thin_tips
from tests.trace.test_edge import pictured

MM_PER_PX = 25.4 / 300
PEN_PX = 24
BARE = shapely.box(60, 60, 180, 180)


def tips_of(bare: shapely.Polygon) -> np.ndarray:
    """The thin tips, in pixels, of a line of 24 pixels around a square whose paper is `bare`."""
    ink = shapely.box(60 - PEN_PX, 60 - PEN_PX, 180 + PEN_PX, 180 + PEN_PX).difference(bare)
    pen_mm = PEN_PX * MM_PER_PX
    edge = shapely.get_coordinates(bare.exterior)[:-1] * MM_PER_PX
    shape = shaped(edge, 0.0, 0.6 * MM_PER_PX)
    found = thin_tips(shape, pictured(ink), pen_mm, MM_PER_PX)
    return np.array(found).reshape(-1, 2) / MM_PER_PX


def test_corners_of_a_line_that_goes_round_them_are_not_thin():
    assert len(tips_of(BARE)) == 0


@pytest.mark.parametrize(("reach_px", "told"), [(6, 0), (16, 1), (21, 1)])
def test_a_point_that_reaches_far_into_the_line_is_told(reach_px, told):
    point = shapely.Polygon([(178, 112), (180 + reach_px, 120), (178, 128)])
    found = tips_of(BARE.union(point))
    assert len(found) == told
    if told:
        assert found[0] == pytest.approx((180 + reach_px, 120), abs=2.0)
