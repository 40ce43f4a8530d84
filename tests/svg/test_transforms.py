"""Transforms and viewports, against svgelements and the rules of SVG 2, chapter 8."""

import numpy as np
import pytest
import svgelements

from applique.svg.transforms import (
    compose,
    inverse,
    page_size_mm,
    parse_transform,
    root_matrix,
    viewbox_matrix,
)
from tests.shapes import drawing

TRANSFORMS = [
    "translate(10)",
    "translate(10, 20)",
    "scale(2)",
    "scale(2 -3)",
    "rotate(30)",
    "rotate(30, 5, 7)",
    "skewX(20)",
    "skewY(-15)",
    "matrix(1 .5 -.5 1 3 4)",
    "translate(10,20) rotate(45) scale(.5)",
    "rotate(10)translate(3 4),scale(2)",
    "",
]


@pytest.mark.parametrize("text", TRANSFORMS)
def test_transforms_read_as_the_reference_reads_them(text: str) -> None:
    m = svgelements.Matrix(text)
    assert parse_transform(text) == pytest.approx(np.array([[m.a, m.c, m.e], [m.b, m.d, m.f]]))


@pytest.mark.parametrize("text", ["rotate(1,2)", "turn(5)", "scale()", "matrix(1 2 3)", "5"])
def test_nonsense_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="can't be read"):
        parse_transform(text)


def test_an_inverse_undoes() -> None:
    matrix = parse_transform("translate(10,20) rotate(45) scale(.5, 2)")
    assert compose(matrix, inverse(matrix)) == pytest.approx(parse_transform(""))


@pytest.mark.parametrize(
    ("size", "width"),
    [
        ('width="100mm" height="50mm"', 100),
        ('width="4in" height="2in"', 101.6),
        ('width="96px" height="48"', 25.4),
        ('width="72pt" height="36pt"', 25.4),
        ('width="6pc" height="3pc"', 25.4),
        ('width="2.54cm" height="1cm"', 25.4),
        ('viewBox="0 0 192 96"', 50.8),
        ('width="100%" height="100%" viewBox="0 0 192 96"', 50.8),
        ('width="50%" height="50%" viewBox="0 0 192 96"', 25.4),
    ],
)
def test_page_sizes(size: str, width: float) -> None:
    # CSS Values and Units 3, section 6.2: 1in = 2.54cm = 96px = 72pt = 6pc.
    assert page_size_mm(drawing("", size))[0] == pytest.approx(width)


def test_without_units_a_user_unit_is_a_css_pixel() -> None:
    assert root_matrix(drawing("", 'width="100" height="100"'))[0, 0] == pytest.approx(25.4 / 96)


# Viewport 100 x 50 over a viewBox of 10 x 10 at (1, 2); SVG 2, section 8.2.
@pytest.mark.parametrize(
    ("fit", "corner"),
    [
        ("xMidYMid meet", (25, 0)),
        ("xMinYMin meet", (0, 0)),
        ("xMaxYMax meet", (50, 0)),
        ("xMidYMid slice", (0, -25)),
        ("xMinYMin slice", (0, 0)),
        ("xMaxYMax slice", (0, -50)),
        ("none", (0, 0)),
    ],
)
def test_preserve_aspect_ratio(fit: str, corner: tuple[float, float]) -> None:
    root = drawing("", f'viewBox="1 2 10 10" preserveAspectRatio="{fit}"')
    matrix = viewbox_matrix(root, 100, 50)
    assert matrix @ np.array([1, 2, 1]) == pytest.approx(corner)
    reference = svgelements.Viewbox({"viewBox": "1 2 10 10", "preserveAspectRatio": fit})
    m = svgelements.Matrix(reference.transform(svgelements.Rect(0, 0, 100, 50)))
    assert matrix @ np.array([11, 12, 1]) == pytest.approx(
        [m.a * 11 + m.c * 12 + m.e, m.b * 11 + m.d * 12 + m.f]
    )
