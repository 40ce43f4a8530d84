"""Distance fields against shapely's own distances, and what shapes are probed at."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely import MultiPolygon, Polygon

from applique.cutting.nested import Stock, rectangle
from applique.nesting.plain.angles import distinct, fitting, may_fit, size_needed_mm, upright
from applique.nesting.plain.fields import Field, around, lattice, within
from applique.nesting.plain.probes import probed
from tests.shapes import rectangle as box
from tests.shapes import ring, square, star
from tests.strategies import star_shapes


def points_of(field: Field) -> np.ndarray:
    rows, columns = field.values.shape
    return shapely.points(lattice(field.corner_mm, field.steps_mm, rows, columns))


@pytest.mark.parametrize("shape", [star(), ring(30.0, 20.0), square(25.0)])
def test_a_field_tells_the_distance_to_the_edge_outside_and_inside(shape: MultiPolygon) -> None:
    field = around(shape, shape.boundary, 1.0, 8.0)
    points = points_of(field)
    distances = shapely.distance(points, shape.boundary)
    signed = np.where(shapely.contains(shape, points), -distances, distances)
    # Measured to points of the edge half a step apart: near it by a sixteenth of a step too far.
    assert np.abs(field.values - signed).max() < 0.26
    assert np.abs(field.values - signed)[distances > 2.0].max() < 0.02


def test_off_its_lattice_a_field_tells_no_less_than_the_distance() -> None:
    field = around(square(20.0), square(20.0).boundary, 1.0, 5.0)
    far = np.array([[60.0, 10.0], [-40.0, -40.0], [10.0, 90.0]])
    read = field.reaching(far)
    assert (read >= shapely.distance(shapely.points(far), square(20.0)) - 0.05).all()


@pytest.mark.parametrize(
    "stock",
    [
        rectangle("sheet", 101.3, 77.7),
        Stock("scrap", Polygon([(0, 0), (90, 0), (70, 80)], [[(40, 10), (50, 10), (45, 20)]])),
    ],
)
def test_a_sheet_is_free_inside_its_margin(stock: Stock) -> None:
    field = within(stock, 6.0, 1.7)
    points = points_of(field)
    inside = shapely.contains(stock.shape, points)
    expected = shapely.distance(points, stock.shape.boundary) - 6.0
    assert np.abs(field.values - expected)[inside].max() < 0.3
    assert (field.values[~inside] < -5.7).all()


def test_corners_of_the_room_inside_a_margin_are_lattice_points() -> None:
    field = within(rectangle("sheet", 101.3, 77.7), 6.0, 1.7)
    rows, columns = field.values.shape
    points = lattice(field.corner_mm, field.steps_mm, rows, columns).reshape(-1, 2)
    for corner in [(6.0, 6.0), (95.3, 71.7)]:
        assert np.hypot(*(points - corner).T).min() < 1e-9


@settings(max_examples=30, deadline=None)
@given(star_shapes())
def test_discs_lie_inside_and_the_largest_is_nearly_the_largest_there_is(
    shape: MultiPolygon,
) -> None:
    found = probed(shape, 1.0, 5.0)
    largest = shapely.maximum_inscribed_circle(shape, tolerance=0.01).length
    assert largest - 1.1 < found.radius_mm < largest + 0.1
    for x, y, radius in found.discs:
        assert shape.buffer(0.3).covers(shapely.Point(x, y).buffer(radius))


def test_probes_hold_every_corner_and_turn_about_the_largest_disc() -> None:
    found = probed(star(), 1.0, 5.0)
    turned = found.turned((0.0, 90.0))
    corners = shapely.get_coordinates(star())[:-1] - found.centre
    for corner in corners:
        assert np.hypot(*(turned.offsets_mm[0] - corner).T).min() < 1e-9
        quarter = [-corner[1], corner[0]]  # x to y: clockwise, with y down.
        assert np.hypot(*(turned.offsets_mm[1] - quarter).T).min() < 1e-9
    assert turned.boxes_mm[0] == pytest.approx([*corners.min(axis=0), *corners.max(axis=0)])


def test_a_tilted_rectangle_is_tried_upright_both_ways() -> None:
    tilted = shapely.affinity.rotate(box(0.0, 0.0, 50.0, 20.0), -30.0)
    sizes = {
        tuple(np.round(np.subtract(turned.bounds[2:], turned.bounds[:2]), 3))
        for angle in upright(tilted)
        for turned in [shapely.affinity.rotate(tilted, angle)]
    }
    assert {(50.0, 20.0), (20.0, 50.0)} <= sizes


def test_a_strip_longer_than_a_sheet_fits_aslant_or_not_at_all() -> None:
    sheet = rectangle("sheet", 100.0, 100.0)
    strip = box(0.0, 0.0, 120.0, 4.0)
    (angle,) = fitting(strip, upright(strip), sheet, 2.0)
    assert angle % 90.0 == pytest.approx(45.0, abs=1.0)
    assert may_fit(strip, sheet, 2.0, "any")
    assert not may_fit(strip, sheet, 2.0, "half")
    assert not may_fit(box(0.0, 0.0, 140.0, 4.0), sheet, 2.0, "any")


def test_the_size_needed_is_the_least_rectangle_for_shapes_free_to_turn() -> None:
    tilted = shapely.affinity.rotate(box(0.0, 0.0, 50.0, 20.0), 45.0)
    assert size_needed_mm(tilted, 6.0, "any") == pytest.approx((32.0, 62.0))
    assert size_needed_mm(tilted, 6.0, "none") == pytest.approx((70 / 2**0.5 + 12,) * 2)


def test_angles_that_are_the_same_are_tried_once() -> None:
    assert distinct([0.0, 90.0, 360.0, -270.0, 359.9999, 45.0]) == (0.0, 90.0, 45.0)
