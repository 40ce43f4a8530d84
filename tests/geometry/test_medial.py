"""The medial axis: where a shape's two sides are equally near. A rung may go beyond it by half of
what counts as nearer: 0.03 mm and 3.4 % of its length."""

import numpy as np
import pytest
import shapely

from applique.geometry.medial import medial_reach
from tests.shapes import circle, ellipse, polygon, rectangle


def reach_from(shape: shapely.Geometry, base: list[float], way: list[float], most: float) -> float:
    found = medial_reach(np.array([base]), np.array([way]), np.array([most]), shape.boundary)
    return float(found[0])


def test_a_band_is_shared_in_the_middle() -> None:
    band = rectangle(0, 0, 40, 3)
    assert reach_from(band, [20, 0], [0, 1], 2.5) == pytest.approx(1.5, abs=0.04)
    assert reach_from(band, [20, 0], [0, 1], 1.2) == 1.2


def test_a_circle_ends_at_its_centre() -> None:
    assert reach_from(circle(2), [2, 0], [-1, 0], 3.0) == pytest.approx(2, abs=0.05)


def test_an_inscribed_circle_agrees_with_shapely() -> None:
    # Right triangle 30-40-50: inscribed radius ab / (a + b + c) = 10; shapely's own as reference.
    triangle = polygon([(0, 0), (40, 0), (0, 30)])
    rim = shapely.maximum_inscribed_circle(triangle, tolerance=0.001)
    assert rim.length == pytest.approx(10, abs=0.01)
    assert reach_from(triangle, [10, 0], [0, 1], 20) == pytest.approx(10, abs=0.05)


def test_a_corner_is_cut_at_its_bisector() -> None:
    corner = rectangle(0, 0, 50, 50)
    assert reach_from(corner, [1, 0], [0, 1], 2.5) == pytest.approx(1, abs=0.07)


def counts_as_nearer(reach: float) -> float:
    """By how much another part must be nearer than the start, in mm: 0.03 mm and 1 - cos(15)."""
    return 0.03 + 0.03407 * reach


def test_in_a_band_the_middle_is_met_exactly() -> None:
    """Facing sides are equally near in the middle, wherever along the band one stands."""
    band = rectangle(0, 0, 40, 3)
    for x in (4.0, 20.0, 33.3):
        assert reach_from(band, [x, 0], [0, 1], 5.0) == pytest.approx(1.5, abs=1e-3)
        assert reach_from(band, [x, 3], [0, -1], 5.0) == pytest.approx(1.5, abs=1e-3)


def test_a_limit_below_the_middle_is_kept_and_one_just_beyond_it_too() -> None:
    """Another part counts only where it is nearer by the share and the length above: at a reach r
    in a band of 3 mm, if 3 - r < r - (0.03 + 0.034 r), which is from 1.541 mm on (computed)."""
    band = rectangle(0, 0, 40, 3)
    assert 1.541 - counts_as_nearer(1.541) == pytest.approx(3 - 1.541, abs=2e-3)
    assert reach_from(band, [20, 0], [0, 1], 1.5) == 1.5
    assert reach_from(band, [20, 0], [0, 1], 1.53) == 1.53
    assert reach_from(band, [20, 0], [0, 1], 1.56) == pytest.approx(1.5, abs=1e-3)


@pytest.mark.parametrize("degrees", [30, 45, 60])
def test_a_rung_beside_a_bend_is_as_long_as_a_square_one(degrees: float) -> None:
    """Along a slanting rung the start is no nearer than the foot of its perpendicular. Another part
    counts when the way there is shorter by what counts: r - r cos(a) > 0.03 + 0.034 r."""
    slope = np.radians(degrees)
    field = rectangle(0, 0, 60, 60)
    found = reach_from(field, [30, 0], [np.sin(slope), np.cos(slope)], 10.0)
    # From there it is drawn back, by no more than half of what counts.
    touching = 0.03 / (1 - 0.03407 - np.cos(slope))
    drawn_back = counts_as_nearer(touching) / 2
    assert touching - drawn_back - 0.01 <= found <= touching + 0.01


def test_far_from_everything_a_rung_is_as_long_as_asked() -> None:
    starts = np.array([[10.0, 0.0], [30.0, 0.0], [50.0, 0.0]])
    ways = np.tile([0.0, 1.0], (3, 1))
    asked = np.array([4.0, 9.0, 12.0])
    shape = polygon([(0, 0), (60, 0), (60, 5), (40, 5), (40, 60), (20, 60), (20, 5), (0, 5)])
    found = medial_reach(starts, ways, asked, shape.boundary)
    # Bands of 5 mm on either side; a room of 20 mm in the middle, whose corners are 11 mm off.
    assert found == pytest.approx([2.5, 9.0, 2.5], abs=1e-3)


@pytest.mark.parametrize(("ratio", "reach"), [(2.0, 5.0), (4.0, 2.5)])
def test_at_its_flat_side_an_ellipse_is_met_in_its_middle(ratio: float, reach: float) -> None:
    shape = ellipse(10.0, 10.0 / ratio)
    assert reach_from(shape, [0, -reach], [0, 1], 20.0) == pytest.approx(reach, abs=0.01)


def test_at_its_tip_an_ellipse_is_met_in_the_centre_of_curvature() -> None:
    """From a place c on the long axis, further in than the centre of curvature, the outline is
    b sqrt(1 - c^2 / (a^2 - b^2)) away. It counts where that is less than the reach by enough."""
    reach = np.linspace(2.5, 5.0, 100_001)
    away = 5 * np.sqrt(1 - (10 - reach) ** 2 / 75)
    counts = float(reach[np.argmax(away < reach - counts_as_nearer(reach))])
    found = reach_from(ellipse(10.0, 5.0), [10, 0], [-1, 0], 20.0)
    assert found == pytest.approx(counts - counts_as_nearer(counts) / 2, abs=0.01)
