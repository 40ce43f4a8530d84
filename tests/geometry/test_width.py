"""The width of shapes against closed forms."""

import pytest

from applique.geometry.width import narrower_than, widest_mm
from tests.shapes import circle, ell, polygon, rectangle, ring


def test_the_circle_in_a_right_triangle() -> None:
    # Its radius is ab / (a + b + c): 10 for sides of 30, 40, 50 (computed).
    assert widest_mm(polygon([(0, 0), (40, 0), (0, 30)])) == pytest.approx(20, abs=0.03)


@pytest.mark.parametrize(
    ("shape", "width"), [(circle(3), 6), (rectangle(0, 0, 30, 4), 4), (ring(5, 3), 2)]
)
def test_widths(shape, width: float) -> None:
    assert widest_mm(shape) == pytest.approx(width, abs=0.03)
    assert narrower_than(shape, width + 0.1)
    assert not narrower_than(shape, width - 0.1)


def test_the_circle_in_the_corner_of_an_l() -> None:
    """It touches both outer sides and the inner corner: r = (2 - r) sqrt(2), so 2.343 mm across."""
    assert widest_mm(ell(12, 2)) == pytest.approx(4 * 2**0.5 / (1 + 2**0.5), abs=0.02)
