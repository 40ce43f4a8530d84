"""Corners of a satin by their angle: a stitch at the tip, a mitre, or a cap."""

import math

import numpy as np
import pytest
import shapely

from applique.proof.crowding import crowding
from applique.stitches.satin import satin
from tests.shapes import laid, polygon, square, star, stitch_lengths, thread_area

REACH_MM = 1.15
"""The outer rail of the usual satin: 1.0 mm outside and 0.15 mm of pull compensation."""


def regular(sides: int, radius: float = 16.0):
    angles = np.arange(sides) * 2 * math.pi / sides
    return polygon(radius * np.stack([np.cos(angles), np.sin(angles)], axis=1))


SHAPES = {
    "octagon": regular(8),  # turns of 45 degrees
    "hexagon": regular(6),  # 60
    "pentagon": regular(5),  # 72
    "square": square(30),  # 90
    "triangle": regular(3, 24.0),  # 120
    "star": star(5),
}

TREATMENTS = {
    "usual": {},
    "single stitches up to 75 degrees": {"corner_point": 75},
    "blunt": {"corner_cap": 45},
    "blunter than a square": {"corner_cap": 80},
    "long points": {"corner_cap": 130},
}


def sewn(shape, **given) -> np.ndarray:
    return np.vstack([line.points for line in satin(laid(shape, **given))])


def mitre_mm(turn_degrees: float) -> float:
    """How far the tip of a mitre lies from its vertex: reach / cos(turn / 2)."""
    return REACH_MM / math.cos(math.radians(turn_degrees) / 2)


def outermost_mm(points: np.ndarray, vertex: tuple[float, float], way: tuple[float, float]):
    """How far the needle goes beyond a vertex along its bisector, which leads `way`, and how many
    needle points lie so far out, to 0.01 mm."""
    along = (points - vertex) @ (np.array(way) / math.hypot(*way))
    return along.max(), int((along > along.max() - 0.01).sum())


def test_a_pointed_corner_is_sewn_to_the_tip_along_both_rails() -> None:
    points = sewn(square(30))
    far, count = outermost_mm(points, (30, 30), (1, 1))
    assert far == pytest.approx(mitre_mm(90), abs=0.01)
    assert count == 1
    for beside in ((31.15 - 0.55, 31.15), (31.15, 31.15 - 0.55)):
        assert np.hypot(*(points - beside).T).min() < 0.01


@pytest.mark.parametrize("cap", [45, 50, 60, 70, 80])
def test_over_corner_cap_a_corner_ends_where_the_longest_mitre_does(cap: float) -> None:
    far, _ = outermost_mm(sewn(square(30), corner_cap=cap), (30, 30), (1, 1))
    assert far == pytest.approx(mitre_mm(cap), abs=0.01)


@pytest.mark.parametrize("cap", [90, 96, 130])
def test_up_to_corner_cap_a_corner_keeps_its_tip(cap: float) -> None:
    far, _ = outermost_mm(sewn(square(30), corner_cap=cap), (30, 30), (1, 1))
    assert far == pytest.approx(mitre_mm(90), abs=0.01)


def test_a_capped_square_is_an_octagon() -> None:
    points = sewn(square(30), corner_cap=50)
    for vertex, way in (((0, 0), (-1, -1)), ((30, 0), (1, -1)), ((30, 30), (1, 1))):
        _, count = outermost_mm(points, vertex, way)
        assert count == 2
    # The cap's length: 2 (reach - cap cos(turn / 2)) / sin(turn / 2), by plane geometry.
    half = math.radians(45)
    expected = 2 * (REACH_MM - mitre_mm(50) * math.cos(half)) / math.sin(half)
    corner = points[(points @ np.array([1, 1]) / math.sqrt(2)) > 30 * math.sqrt(2) + 1.2]
    ends = corner[np.argsort(-corner.sum(axis=1))[:2]]
    assert math.dist(*ends) == pytest.approx(expected, abs=0.02)


def test_a_leaf_tip_is_capped_unless_long_points_are_asked_for() -> None:
    leaf = polygon([(0, 0), (12, 20), (0, 40), (-12, 20)])
    turn = 2 * math.degrees(math.atan2(20, 12))
    usual, _ = outermost_mm(sewn(leaf), (0, 0), (0, -1))
    long, _ = outermost_mm(sewn(leaf, corner_cap=130), (0, 0), (0, -1))
    assert usual == pytest.approx(mitre_mm(96), abs=0.01)
    assert long == pytest.approx(mitre_mm(turn), abs=0.01)


def test_under_corner_point_a_corner_has_a_single_stitch_at_its_tip() -> None:
    vertex = (16.0, 0.0)
    tip = np.array([16.0 + mitre_mm(60), 0.0])
    # Along the rails, which lead away from the tip at 60 degrees to the bisector.
    beside = tip + 0.55 * np.array([-math.sin(math.pi / 6), math.cos(math.pi / 6)])
    for given, has_beside in (({}, True), ({"corner_point": 75}, False)):
        points = sewn(regular(6), **given)
        far, count = outermost_mm(points, vertex, (1, 0))
        assert (far, count) == (pytest.approx(mitre_mm(60), abs=0.01), 1)
        assert (np.hypot(*(points - beside).T).min() < 0.01) == has_beside


def test_no_setting_makes_stitches_at_a_point_too_short() -> None:
    # An octagon's tips lie 1.15 tan(22.5 degrees) = 0.48 mm along the rail: a single stitch.
    octagon = regular(8)
    assert np.array_equal(sewn(octagon, corner_point=15), sewn(octagon, corner_point=40))
    assert stitch_lengths(sewn(octagon, corner_point=15)).min() >= 0.5


def test_concave_corners_keep_their_mitre_on_the_fabric() -> None:
    notched = polygon([(0, 0), (40, 0), (40, 40), (20, 25), (0, 40)])
    turn = 180 - 2 * math.degrees(math.atan2(20, 15))
    for given in TREATMENTS.values():
        points = sewn(notched, **given)
        near = points[np.hypot(*(points - (20, 25)).T) < 5]
        far, _ = outermost_mm(near, (20, 25), (0, -1))
        assert far == pytest.approx(2.65 / math.cos(math.radians(turn) / 2), abs=0.01)


@pytest.mark.parametrize("given", TREATMENTS.values(), ids=TREATMENTS)
@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_every_treatment_covers_its_band_and_crowds_nothing(shape, given) -> None:
    points = sewn(shape, **given)
    limit = 1 / math.cos(math.radians(given.get("corner_cap", 96)) / 2)
    outer = shape.buffer(1.0, join_style="mitre", mitre_limit=limit)
    band = outer.difference(shape.buffer(-2.5))
    assert 1 - band.difference(thread_area(points)).area / band.area >= 0.999
    assert crowding(points).most <= 6
    assert stitch_lengths(points).min() >= 0.5
    allowed = shape.buffer(REACH_MM + 0.05, join_style="mitre", mitre_limit=limit + 0.05)
    assert shapely.contains(allowed, shapely.points(points)).all()
