"""The middle lines of strokes against shapes whose middle is known."""

import numpy as np
import pytest
import shapely

from applique.geometry.centreline import strokes_of
from applique.geometry.rings import polygons_of, resolve
from tests.shapes import circle, ell, ellipse, polygon, rectangle, ring, star


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
    (fork,) = (place for place in shared if ends.count(place) == 3)
    meeting = [s.points[0] if s.first == fork else s.points[-1] for s in strokes]
    assert np.ptp(meeting, axis=0) == pytest.approx([0, 0], abs=1e-6)


def test_a_circle_comes_to_hardly_anything() -> None:
    assert all(len(s.points) < 40 for s in strokes_of(circle(3).geoms[0]))


def ends_of(shape: shapely.MultiPolygon) -> list[tuple[np.ndarray, np.ndarray]]:
    return [(s.points[0], s.points[-1]) for s in strokes_of(shape.geoms[0]) if not s.closed]


@pytest.mark.parametrize("width", [0.8, 2.0, 3.4])
def test_the_ends_of_a_bar_reach_the_outline_square_on(width: float) -> None:
    ((first, last),) = ends_of(rectangle(0, 0, 30, width))
    ends = sorted([first.tolist(), last.tolist()])
    assert ends[0] == pytest.approx([0, width / 2], abs=0.03)
    assert ends[1] == pytest.approx([30, width / 2], abs=0.03)


@pytest.mark.parametrize(("width", "count"), [(3.6, 1), (4.2, 5)])
def test_the_large_corners_of_a_wide_bar_have_strokes_of_their_own(
    width: float, count: int
) -> None:
    """A right angle reaches out of its circle by (sqrt(2) - 1) of its radius; to be a spur, by less
    than 0.8 mm. That is a radius of 1.93 mm (computed)."""
    assert len(strokes_of(rectangle(0, 0, 30, width).geoms[0])) == count


def test_the_middle_of_a_wedge_is_its_bisector() -> None:
    """Legs of 40 mm from the tip at (0, 0), 20 degrees apart and level with it halfway."""
    half = np.radians(10)
    x, y = 40 * np.cos(half), 40 * np.sin(half)
    strokes = strokes_of(polygon([(0, 0), (x, -y), (x, y)]).geoms[0])
    (long,) = [s for s in strokes if np.ptp(s.points[:, 0]) > 20]
    inside = long.points[long.points[:, 0] < 30]
    assert inside[:, 1] == pytest.approx(0, abs=0.03)
    assert inside[:, 0].min() == pytest.approx(0, abs=0.03)


def test_an_l_turns_in_the_middle_of_its_corner() -> None:
    """Arms of 12 mm, 2 mm wide: both middle lines lie 1 mm from the outside."""
    (stroke,) = strokes_of(ell(12, 2).geoms[0])
    outline = ell(12, 2).geoms[0].boundary
    away = shapely.distance(outline, shapely.points(stroke.points[2:-2]))
    # By a corner the middle lies up to sqrt(2) mm away from it, and smoothing rounds it.
    assert away.min() >= 0.65
    assert away.max() <= 2**0.5
    assert np.median(away) == pytest.approx(1, abs=0.02)
    assert shapely.distance(outline, shapely.points(stroke.points[[0, -1]])) == pytest.approx(
        [0, 0], abs=0.02
    )


def test_a_cross_has_four_strokes_that_meet_in_its_middle() -> None:
    cross = shapely.union_all([rectangle(-10, -1, 20, 2), rectangle(-1, -10, 2, 20)])
    strokes = strokes_of(resolve([shapely.get_coordinates(cross)[:-1]], "nonzero").shape.geoms[0])
    far = [s for s in strokes if np.hypot(*s.points.T).max() > 9]
    assert len(far) == 4
    for stroke in far:
        away = np.hypot(*stroke.points.T)
        assert away.max() == pytest.approx(10, abs=0.03)
        # The middles of the four inner corners are equally near: the fork lies between them.
        assert away.min() < 0.35
        assert np.abs(stroke.points).min(axis=1) == pytest.approx(0, abs=0.05)


def test_a_ring_with_a_tail_is_a_loop_and_a_stroke() -> None:
    q = shapely.union_all([ring(6, 4), rectangle(5, -1, 10, 2)])
    outline = [shapely.get_coordinates(r)[:-1] for r in (q.exterior, *q.interiors)]
    strokes = strokes_of(resolve(outline, "evenodd").shape.geoms[0])
    (tail,) = [s for s in strokes if s.points[:, 0].max() > 14]
    assert max(tail.points[0, 0], tail.points[-1, 0]) == pytest.approx(15, abs=0.03)
    (loop,) = [s for s in strokes if s is not tail]
    assert (loop.first, loop.first) == (
        loop.last,
        tail.first if tail.first == loop.first else tail.last,
    )
    assert not loop.closed
    assert loop.points[0] == pytest.approx(loop.points[-1])
    left = loop.points[loop.points[:, 0] < 0]
    assert np.hypot(*left.T) == pytest.approx(5, abs=0.03)


def test_an_ellipse_s_middle_lies_between_its_centres_of_curvature() -> None:
    """The medial axis of an ellipse is the part of its long axis between the centres of curvature
    of the two tips, a - b^2 / a from the middle; a stroke runs on to the outline."""
    (stroke,) = strokes_of(ellipse(12, 3, 400).geoms[0])
    assert stroke.points[:, 1] == pytest.approx(0, abs=0.03)
    assert np.sort(stroke.points[[0, -1], 0]) == pytest.approx([-12, 12], abs=0.05)


def test_what_hangs_by_a_thread_keeps_its_stroke() -> None:
    """Two bars of 2 mm, joined by a neck too thin for the axis to follow."""
    bars = shapely.union_all(
        [rectangle(0, 0, 10, 2), rectangle(10, 0.999, 2, 0.002), rectangle(12, 0, 10, 2)]
    )
    strokes = strokes_of(bars)
    assert min(s.points[:, 0].min() for s in strokes) == pytest.approx(0, abs=0.03)
    assert max(s.points[:, 0].max() for s in strokes) == pytest.approx(22, abs=0.03)
