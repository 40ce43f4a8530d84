"""Where the pivots of a blanket stitch stand at corners, and how deep bites go there."""

import numpy as np
import pytest
import shapely

from applique.geometry.rings import rings_of
from applique.geometry.walk import Walk
from applique.stitches.bites import Bites, bites_along
from applique.stitches.line import lines_of
from tests.shapes import ell, laid, polygon


def bites_at(shape, x: float, y: float) -> Bites:
    """The bite of the corner that lies at a place."""
    piece = laid(shape, edge="blanket", edge_width=2.5)
    walk = Walk(rings_of(shape)[0], True)
    bites = bites_along(walk, piece.piece.settings, lines_of(piece.edges), shape)
    return bites.taken(np.hypot(*(bites.base - (x, y)).T) < 1e-6)


@pytest.mark.parametrize("corner", [(0, 0), (12, 12)], ids=["convex", "concave"])
def test_at_a_right_angle_the_pivot_is_as_far_from_both_sides(corner) -> None:
    # 0.2 mm from both sides is 0.2 * sqrt(2) mm on the bisector.
    pivot = bites_at(ell(30, 12), *corner).outer
    assert np.hypot(*(pivot - corner).T) == pytest.approx(0.2 * np.sqrt(2), abs=1e-6)
    assert not shapely.contains_xy(ell(30, 12), pivot[:, 0], pivot[:, 1]).any()


def test_at_the_end_of_a_narrow_slot_the_pivot_stays_within_it() -> None:
    slot = polygon([(0, 0), (9.9, 0), (9.9, 10), (10.1, 10), (10.1, 0), (20, 0), (20, 20), (0, 20)])
    pivot = bites_at(slot, 10, 10).outer  # its two corners are so near that they count as one
    assert pivot == pytest.approx(np.array([[10, 9.7]]), abs=1e-6)


def test_where_little_fabric_lies_ahead_a_bite_takes_85_percent_of_half_of_it() -> None:
    # 3 mm from the notch's point to the side beyond: at most 0.85 * 1.5 mm.
    notched = polygon([(0, 0), (30, 0), (30, 20), (18, 20), (15, 3), (12, 20), (0, 20)])
    assert bites_at(notched, 15, 3).depth == pytest.approx(0.85 * 1.5)
