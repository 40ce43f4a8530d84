import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, affinity

from applique.errors import InputError
from applique.library.likeness import MOST_MM, OFF_MM, compare, likenesses, likenesses_between
from applique.library.signature import signatures_of
from tests.benchmarks.library import anywhere, planted_library, retraced
from tests.shapes import circle, ell, ellipse, polygon, rectangle, ring, square, star
from tests.strategies import holed_shapes

LEAF = polygon([(0, 0), (20, -9), (45, -8), (70, 2), (40, 11), (18, 10)])
TWO_PARTS = MultiPolygon([*ell().geoms, *circle(6, 45, 10).geoms])


def turned(shape: MultiPolygon, degrees: float, mirrored: bool = False) -> MultiPolygon:
    """Mirrored about the vertical axis, then turned clockwise as seen with y down, and moved."""
    sided = affinity.scale(shape, -1, 1) if mirrored else shape
    # shapely turns from x to y: clockwise where y points down.
    return affinity.translate(affinity.rotate(sided, degrees), 31, -12)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("degrees", [0.0, 37.0, 179.5, 200.0, 322.25])
def test_turn_and_side_are_recovered(degrees: float, mirrored: bool) -> None:
    alike = compare(LEAF, turned(LEAF, degrees, mirrored))
    assert alike is not None
    assert alike.mirrored == mirrored
    assert alike.turn_degrees == pytest.approx(degrees, abs=0.01)
    assert alike.most_mm < 0.001


def test_turn_of_a_wobbly_copy_is_recovered() -> None:
    chance = np.random.default_rng(3)
    alike = compare(LEAF, retraced(chance, turned(LEAF, 37.0, True), 0.15))
    assert alike is not None
    assert alike.mirrored
    assert alike.turn_degrees == pytest.approx(37.0, abs=0.5)
    assert alike.most_mm < 0.25


def test_distance_of_circles_is_that_of_their_radii() -> None:
    alike = compare(circle(30), circle(30.1, 4, 5))
    assert alike is not None
    assert (alike.off_mm, alike.most_mm) == pytest.approx((0.1, 0.1), abs=0.002)
    assert not alike.mirrored


def test_a_symmetric_shape_is_not_told_as_mirrored() -> None:
    for shape, every in ((star(), 36), (square(40), 45), (ellipse(30, 20), 90)):
        alike = compare(shape, turned(shape, 10.0, mirrored=True))
        assert alike is not None
        assert not alike.mirrored
        assert min(alike.turn_degrees, 360 - alike.turn_degrees) <= every + 0.01


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (rectangle(0, 0, 80, 50), rectangle(0, 0, 81, 50)),
        (rectangle(0, 0, 120, 10), rectangle(0, 0, 121, 10)),
        (square(40), square(41)),
        (circle(30), circle(30.5)),
        (ellipse(30, 20), ellipse(30.5, 20)),
        (ellipse(30, 20), ellipse(30.5, 19.5)),
        (LEAF, polygon([(0, 0), (20, -9), (45, -8), (71, 2), (40, 11), (18, 10)])),
        (LEAF, polygon([(0, 0), (20, -9), (45, -9), (70, 2), (40, 11), (18, 10)])),
        (star(), star(outer=23)),
        (star(), star(points=6)),
        (ring(30, 10), ring(30, 10.5)),
        (ring(30, 10), circle(30)),
        (ell(), turned(ell(side=30.0, arm=13.0), 20)),
        (LEAF, affinity.scale(LEAF, 1.02, 1.02)),
    ],
)
def test_templates_different_on_purpose(first: MultiPolygon, second: MultiPolygon) -> None:
    assert compare(first, second) is None
    assert compare(second, first) is None


def test_a_moved_hole_is_another_template() -> None:
    holes = [square(60).difference(circle(8, x, 30)) for x in (30.0, 31.0)]
    chance = np.random.default_rng(4)
    assert compare(*(MultiPolygon([hole]) for hole in holes)) is None
    for hole in holes:
        copy = anywhere(chance, retraced(chance, MultiPolygon([hole]), 0.15))
        assert compare(MultiPolygon([hole]), copy) is not None


def test_a_corner_that_breaks_a_symmetry_is_found_again() -> None:
    corners = 25 * np.exp(2j * np.pi * np.arange(9) / 9)
    corners[2] *= 1.04
    shape = polygon(np.stack([corners.real, corners.imag], axis=1))
    alike = compare(shape, turned(shape, 100.0))
    assert alike is not None
    assert alike.most_mm < 0.001


def test_parts_count_and_lie_together() -> None:
    assert compare(TWO_PARTS, turned(TWO_PARTS, 77.0, True)) is not None
    apart = MultiPolygon([*ell().geoms, *circle(6, 46.5, 10).geoms])
    assert compare(TWO_PARTS, apart) is None
    assert compare(TWO_PARTS, ell()) is None


def test_a_pen_that_stands_off_evenly_is_no_difference() -> None:
    chance = np.random.default_rng(5)
    for shape in (LEAF, star(), ell(), ring(30, 10)):
        alike = compare(shape, anywhere(chance, retraced(chance, shape, 0.15, stands_off_mm=0.1)))
        assert alike is not None
        assert alike.off_mm == pytest.approx(0.115, abs=0.03)


def test_points_start_and_direction_do_not_matter() -> None:
    points = shapely.get_coordinates(LEAF)[:-1]
    for other in (np.roll(points, 3, axis=0), points[::-1]):
        alike = compare(LEAF, MultiPolygon([shapely.Polygon(other)]))
        assert alike is not None
        assert (alike.turn_degrees, alike.mirrored) == (0, False)


def test_few_or_no_shapes() -> None:
    assert likenesses([]) == ()
    assert likenesses([LEAF]) == ()
    assert likenesses_between([], [LEAF]) == ()
    assert likenesses_between([LEAF], []) == ()
    assert likenesses([MultiPolygon(), MultiPolygon(), square(3)]) == ()


def test_pairs_come_in_order_and_between_sets() -> None:
    shapes = [LEAF, star(), turned(LEAF, 5), ell(), turned(star(), 9), turned(LEAF, 7, True)]
    pairs = [(alike.first, alike.second) for alike in likenesses(shapes)]
    assert pairs == [(0, 2), (0, 5), (1, 4), (2, 5)]
    between = likenesses_between(shapes[:2], shapes[2:])
    assert [(a.first, a.second) for a in between] == [(0, 0), (0, 3), (1, 2)]


@settings(max_examples=40, deadline=None)
@given(
    holed_shapes(),
    st.floats(0, 360),
    st.booleans(),
    st.tuples(st.floats(-500, 500), st.floats(-500, 500)),
)
def test_any_shape_is_found_wherever_it_lies(
    shape: MultiPolygon, degrees: float, mirrored: bool, shift: tuple[float, float]
) -> None:
    alike = compare(shape, affinity.translate(turned(shape, degrees, mirrored), *shift))
    assert alike is not None
    assert alike.most_mm < 0.05


def test_moments_are_those_of_the_closed_form() -> None:
    # Of a disc the integral of r^2 is pi R^4 / 2; of a ring it is the difference of two.
    signatures = signatures_of([circle(30), ring(30, 10)])
    wanted = [np.pi * 30**4 / 2, np.pi * (30**4 - 10**4) / 2]
    assert signatures.moments[:, 0].real == pytest.approx(wanted, rel=1e-3)
    assert np.abs(signatures.moments[:, 1:]).max() < 1e-3 * wanted[0]


def test_all_copies_and_nothing_else_in_a_planted_library() -> None:
    library = planted_library(seed=1, count=2000, copies=200)
    found = likenesses(library.shapes)
    assert {(alike.first, alike.second) for alike in found} == library.pairs
    assert max(alike.most_mm for alike in found) < 0.75 * MOST_MM
    assert max(alike.off_mm for alike in found) < 0.5 * OFF_MM


@pytest.mark.parametrize("degrees", [1, 20, 50, 170])
def test_a_hole_tells_which_of_many_turns_is_the_right_one(degrees: float) -> None:
    """A hexagon lies as well in six ways, or twelve mirrored; its three-cornered hole in half."""
    outer, inner = regular(6, 18.0), regular(3, 3.0)
    shape = MultiPolygon([Polygon(outer, [inner])])
    alike = compare(shape, turned(shape, degrees, False))
    assert alike is not None
    assert alike.most_mm < 0.01
    assert alike.turn_degrees % 120 == pytest.approx(degrees % 120, abs=0.01)


def regular(corners: int, radius_mm: float) -> np.ndarray:
    angles = 2 * np.pi * np.arange(corners) / corners
    return radius_mm * np.stack([np.cos(angles), np.sin(angles)], axis=1)


def test_too_many_that_are_alike_at_first_sight_are_not_laid_over_each_other() -> None:
    """180 circles make 16,110 pairs."""
    with pytest.raises(InputError, match=r"16110 pairs .* divide the library"):
        likenesses([circle(20)] * 180)
