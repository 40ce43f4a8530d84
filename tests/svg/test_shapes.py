"""Shape elements, by areas known in closed form (SVG 2, chapter 10)."""

import math

import numpy as np
import pytest
from shapely import Polygon

from applique.geometry.curves import flatten
from applique.svg.shapes import curves_of
from tests.shapes import drawing

VIEWPORT = (200.0, 100.0)


def area(content: str) -> float:
    curves = curves_of(drawing(content)[0], VIEWPORT)
    return sum(Polygon(flatten(curve, 0.0005)).area for curve in curves)


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        ('<rect x="5" y="5" width="30" height="20"/>', 600),
        ('<rect width="30" height="20" rx="4"/>', 600 - (4 - math.pi) * 16),
        ('<rect width="30" height="20" ry="4"/>', 600 - (4 - math.pi) * 16),
        ('<rect width="30" height="20" rx="6" ry="3"/>', 600 - (4 - math.pi) * 18),
        ('<rect width="30" height="20" rx="99"/>', 600 - (4 - math.pi) * 150),
        ('<rect width="10%" height="10%"/>', 200),
        ('<rect width="1in" height="0.5in"/>', 96 * 48),
        ('<circle cx="9" cy="9" r="25"/>', math.pi * 625),
        ('<circle r="10%"/>', math.pi * (0.1 * math.hypot(200, 100) / math.sqrt(2)) ** 2),
        ('<ellipse rx="30" ry="10"/>', math.pi * 300),
        ('<ellipse rx="30"/>', math.pi * 900),
        ('<polygon points="0,0 30,0 30,20"/>', 300),
        ('<polyline points="0,0 30,0 30,20 0,0"/>', 300),
        ('<path d="M0 0h30v20z"/>', 300),
    ],
)
def test_areas(content: str, expected: float) -> None:
    assert area(content) == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize(
    "content",
    [
        '<rect width="0" height="20"/>',
        "<rect/>",
        '<circle r="0"/>',
        '<circle r="-3"/>',
        '<ellipse rx="0" ry="4"/>',
        '<polygon points=""/>',
        '<polygon points="1,2"/>',
        "<path/>",
        '<line x1="3" x2="3"/>',
    ],
)
def test_shapes_that_draw_nothing(content: str) -> None:
    assert curves_of(drawing(content)[0], VIEWPORT) == []


@pytest.mark.parametrize(
    "content",
    [
        '<polygon points="0,0 NaN,5 3,3"/>',
        '<circle r="wide"/>',
        '<rect width="3em" height="3"/>',
        '<polygon points="0,0 1e999,5 3,3"/>',
    ],
)
def test_what_can_not_be_read_is_refused(content: str) -> None:
    with pytest.raises(ValueError, match=r"can't be read|length|number"):
        curves_of(drawing(content)[0], VIEWPORT)


def test_closed_and_open() -> None:
    def closed(content: str) -> bool:
        return curves_of(drawing(content)[0], VIEWPORT)[0].closed

    assert closed('<polygon points="0,0 9,0 9,9"/>')
    assert not closed('<polyline points="0,0 9,0 9,9"/>')
    assert closed('<polyline points="0,0 9,0 9,9 0,0"/>')
    assert not closed('<line x2="9"/>')


def test_a_large_circle_is_true_to_a_micrometre() -> None:
    (curve,) = curves_of(drawing('<circle r="250"/>')[0], VIEWPORT)
    assert np.hypot(*flatten(curve, 0.0001).T) == pytest.approx(250, abs=0.0015)
