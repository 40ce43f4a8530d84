"""The middle lines of strokes against shapes whose middle is known."""

import numpy as np
import pytest
import shapely

from applique.geometry.centreline import strokes_of
from applique.geometry.rings import polygons_of, resolve
from tests.shapes import circle, ell, polygon, rectangle, ring, star


def test_the_middle_of_a_ring_is_a_circle() -> None:
    (stroke,) = strokes_of(ring(5, 3).geoms[0])
    assert stroke.closed
    assert np.hypot(*stroke.points.T) == pytest.approx(4, abs=0.03)


def test_the_middle_of_a_bar_runs_from_end_to_end() -> None:
    (stroke,) = strokes_of(rectangle(0, 0, 20, 2).geoms[0])
    assert stroke.points[:, 1] == pytest.approx(1, abs=0.02)
    assert np.ptp(stroke.points[:, 0]) == pytest.approx(20, abs=0.1)


def test_an_l_has_one_stroke_round_its_corner() -> None:
    (stroke,) = strokes_of(ell(12, 2).geoms[0])
    assert not stroke.closed


def test_a_star_has_a_stroke_to_every_tip() -> None:
    strokes = strokes_of(star(5, 6, 2.4).geoms[0])
    tips = [s.points[np.argmax(np.hypot(*s.points.T))] for s in strokes]
    far = [tip for tip in tips if np.hypot(*tip) > 5.8]
    assert len(far) == 5


@pytest.mark.parametrize("offset", [1.99, 2.0, 2.01])
def test_a_horn_with_a_cusp_hangs_together(offset: float) -> None:
    """Its tip is thinner than the grid of the outlines, so that the axis breaks off there."""
    around = np.linspace(0, 2 * np.pi, 251, endpoint=False)
    outer = 20 * np.stack([np.cos(around), np.sin(around)], axis=1)
    inner = 18 * np.stack([np.cos(around + 0.01), np.sin(around + 0.01)], axis=1) + [offset, 0]
    crescent = shapely.Polygon(outer).difference(shapely.Polygon(inner))
    horn = polygons_of(crescent.intersection(shapely.box(-30, 0, 30, 30)))
    outline = shapely.get_coordinates(max(horn, key=lambda part: part.area).exterior)[:-1]
    strokes = strokes_of(resolve([outline], "nonzero").shape.geoms[0])
    assert len(strokes) == 1


def test_strokes_that_meet_share_their_ends() -> None:
    tee = polygon([(0, 0), (12, 0), (12, 2), (7, 2), (7, 12), (5, 12), (5, 2), (0, 2)])
    strokes = strokes_of(tee.geoms[0])
    assert len(strokes) == 3
    shared = {s.first for s in strokes} & {s.last for s in strokes} or {
        place for s in strokes for place in (s.first, s.last)
    }
    ends = [place for s in strokes for place in (s.first, s.last)]
    assert max(ends.count(place) for place in shared) == 3


def test_a_circle_comes_to_hardly_anything() -> None:
    assert all(len(s.points) < 40 for s in strokes_of(circle(3).geoms[0]))
