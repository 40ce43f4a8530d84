"""Offsets against closed forms: Steiner's formula for convex shapes (area A + P d + pi d^2, length
P + 2 pi d), the stadium, the square. The numbers were computed independently to ten digits."""

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from applique.geometry.offset import arc_segments, grown, grown_mitred, shrunk
from tests.shapes import circle, ellipse, polygon, rectangle, square
from tests.strategies import star_shapes

STADIUM = shapely.LineString([(0, 0), (40, 0)]).buffer(15, quad_segs=400)


@pytest.mark.parametrize(
    ("shape", "distance", "area", "length"),
    [
        (ellipse(50, 30), 3, 5506.473280, 274.119545),
        (ellipse(50, 30), -3, 3974.853348, 236.420433),
        (STADIUM, 3, 2457.876020, 193.097336),
        (STADIUM, -3, 1412.389342, 155.398224),
        (square(60), 2, 4092.566371, 252.566371),
        (square(60), -2, 3136.0, 224.0),
    ],
)
def test_round_offsets(
    shape: shapely.Geometry, distance: float, area: float, length: float
) -> None:
    moved = grown(shape, distance) if distance > 0 else shrunk(shape, -distance)
    assert moved.area == pytest.approx(area, rel=3e-5)
    assert moved.length == pytest.approx(length, rel=1e-4)


def test_mitred_offset_of_a_square_is_a_larger_square() -> None:
    moved = grown_mitred(square(60), 2)
    assert (moved.area, moved.length) == pytest.approx((4096, 256))


@given(star_shapes(), st.floats(0.2, 8))
def test_offsets_agree_with_a_finely_divided_buffer(
    shape: shapely.MultiPolygon, distance: float
) -> None:
    # shapely's own buffer, its arcs divided 64 times finer, as the reference.
    reference = shape.buffer(distance, quad_segs=512)
    ours = grown(shape, distance)
    assert shapely.hausdorff_distance(ours.boundary, reference.boundary) < 0.5
    assert ours.symmetric_difference(reference).area <= 0.011 * reference.length


@pytest.mark.parametrize("radius", [0.05, 0.3, 1.0, 5.0, 50.0])
def test_arcs_have_just_the_chords_they_need(radius: float) -> None:
    def sagitta(chords: int) -> float:
        return radius * (1 - math.cos(math.pi / 4 / chords))

    chords = arc_segments(radius)
    assert sagitta(chords) <= 0.01 + 1e-12
    assert chords == 2 or sagitta(chords - 1) > 0.01


def test_the_smallest_arcs_have_two_chords() -> None:
    assert arc_segments(0.01) == arc_segments(0.0) == arc_segments(0.02) == 2
    # 50 mm within 0.2 mm: half a chord turns by acos(0.996) = 5.13 degrees (computed).
    assert arc_segments(50.0, 0.2) == math.ceil(90 / (2 * 5.13))


def test_a_mitre_goes_up_to_its_limit() -> None:
    """A tip of angle a is mitred to d / sin(a / 2), up to 2.5 d: at 47.2 degrees, not at 46.9."""
    for degrees, corners in ((60.0, 3), (47.3, 3), (46.9, 4), (20.0, 4)):
        half = math.radians(degrees / 2)
        base = 30 * math.tan(half)
        moved = grown_mitred(polygon([(0, 0), (-base, 30), (base, 30)]), 2.0)
        assert len(moved.geoms[0].exterior.coords) - 1 == corners
        if corners == 3:
            assert -moved.bounds[1] == pytest.approx(2.0 / math.sin(half))


def test_shrinking_too_far_leaves_nothing() -> None:
    assert shrunk(rectangle(0, 0, 4, 30), 2.1).is_empty
    assert shrunk(circle(3), 3.1).is_empty
