"""Where the knife starts: a place that a cutter would choose, on a curve that stays as it is."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from applique.cutting.starts import started, with_starts
from applique.geometry.curves import flatten, polyline, reversed_curve
from applique.model import Curve
from applique.svg.paths import parse_path


def closed(*points: tuple[float, float]) -> Curve:
    return polyline(np.array(points, dtype=float), closed=True)


def path(data: str) -> Curve:
    (curve,) = parse_path(data)
    return curve


def start_of(curve: Curve) -> tuple[float, float]:
    (made,) = with_starts([curve])
    x, y = made.segments[0, 0].tolist()
    return x, y


def test_a_thin_triangle_is_begun_at_a_blunt_corner_not_at_its_tip() -> None:
    assert start_of(closed((0, 0), (100, 8), (0, 16))) in [(0.0, 0.0), (0.0, 16.0)]


def test_a_rounded_shape_is_begun_where_it_is_flat() -> None:
    """A stadium: straight sides, and round ends with nodes at their middles."""
    stadium = (
        "M0 0 H40 C45 0 50 5 50 10 C50 15 45 20 40 20 H0 C-5 20 -10 15 -10 10 C-10 5 -5 0 0 0Z"
    )
    assert start_of(path(stadium))[1] in (0.0, 20.0)


def test_a_drop_is_begun_opposite_to_its_tip() -> None:
    drop = path(
        "M0 0 C10 20 20 30 20 45 C20 56 11 65 0 65 C-11 65 -20 56 -20 45 C-20 30 -10 20 0 0Z"
    )
    _, y = start_of(drop)
    assert y >= 45.0


def test_a_notch_is_no_start_where_there_is_a_corner() -> None:
    """An arrow's tail: its notch is as square as its corners."""
    start = start_of(closed((0, 0), (20, 20), (40, 0), (40, 40), (0, 40)))
    assert start in [(40.0, 40.0), (0.0, 40.0)]


def test_a_corner_of_a_step_gives_way_to_one_with_long_sides() -> None:
    """A side that steps out by 2 mm, as where one piece slips under another."""
    step = closed((0, 0), (30, 0), (30, -2), (40, -2), (40, 60), (0, 60))
    assert start_of(step) in [(40.0, 60.0), (0.0, 60.0), (0.0, 0.0)]


def test_a_tip_that_tracing_has_rounded_is_a_tip() -> None:
    """Three nodes within 0.3 mm, each a corner of some 57 degrees, together a tip of 10 degrees."""
    tip = closed((0, 0), (60, 5.1), (60.15, 5.2), (60.15, 5.3), (60, 5.4), (0, 10.5))
    assert start_of(tip)[0] == 0.0


def test_only_where_all_nodes_are_tips_one_is_added_on_a_side() -> None:
    lens = path("M0 0 C20 -8 40 -8 60 0 C40 8 20 8 0 0Z")
    (made,) = with_starts([lens])
    assert len(made.segments) == 3
    assert abs(made.segments[0, 0, 0] - 30.0) < 1e-9
    assert abs(made.segments[0, 0, 1]) == pytest.approx(6.0)
    assert {(0.0, 0.0), (60.0, 0.0)} <= {tuple(p) for p in made.segments[:, 0].tolist()}
    assert _distance(made, lens) < 1e-3


def test_a_square_hole_is_begun_at_a_corner_without_a_new_node() -> None:
    outer = closed((0, 0), (50, 0), (50, 50), (0, 50))
    hole = closed((20, 20), (30, 20), (30, 30), (20, 30))
    made = with_starts([outer, hole])
    assert [len(curve.segments) for curve in made] == [4, 4]
    assert 20.0 <= made[1].segments[0, 0, 0] <= 30.0


def test_the_fabric_lies_on_the_left_of_every_ring() -> None:
    outer = closed((0, 0), (50, 0), (50, 50), (0, 50))
    hole = closed((20, 20), (30, 20), (30, 30), (20, 30))
    for given_rings in ([outer, hole], [reversed_curve(outer), reversed_curve(hole)]):
        made = with_starts(given_rings)
        turning = [shapely.LinearRing(flatten(curve)).is_ccw for curve in made]
        assert turning == [True, False]


def _distance(first: Curve, second: Curve) -> float:
    rings = [shapely.LinearRing(flatten(curve, 0.0005)) for curve in (first, second)]
    return float(shapely.hausdorff_distance(*rings))


points = st.tuples(st.floats(5.0, 40.0), st.floats(-12.0, 12.0), st.floats(-12.0, 12.0))


@given(st.lists(points, min_size=3, max_size=9))
def test_curve_and_corners_stay_what_they_are(radii: list[tuple[float, float, float]]) -> None:
    """A star of cubics: the same nodes in the same order, or one more; the same line."""
    angles = np.arange(len(radii)) * 2 * np.pi / len(radii)
    nodes = np.array(
        [r * np.array([np.cos(a), np.sin(a)]) for (r, *_), a in zip(radii, angles, strict=True)]
    )
    ends = np.roll(nodes, -1, axis=0)
    bends = np.array([[b, c] for _, b, c in radii]) / 10.0
    segments = np.stack([nodes, nodes + bends, ends + bends[:, ::-1], ends], axis=1)
    curve = Curve(segments, np.zeros(len(radii), dtype=bool), True)
    made = started(curve)
    assert len(made.segments) - len(curve.segments) in (0, 1)
    assert {tuple(p) for p in nodes.tolist()} <= {tuple(p) for p in made.segments[:, 0].tolist()}
    assert made.segments[:, 3].tolist() == np.roll(made.segments[:, 0], -1, axis=0).tolist()
    assert _distance(made, curve) < 2e-3
