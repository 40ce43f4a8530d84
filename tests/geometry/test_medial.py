"""The medial axis: where a shape's two sides are equally near. A rung may go beyond it by half of
what counts as nearer: 0.03 mm and 3.4 % of its length."""

import numpy as np
import pytest
import shapely

from applique.geometry.medial import medial_reach
from tests.shapes import circle, polygon, rectangle


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
