import numpy as np
import pytest

from applique.stitches.zigzag import zigzag
from tests.shapes import circle, laid, square


def sewn(shape, **given) -> np.ndarray:
    piece = laid(shape, edge="zigzag", **given)
    return zigzag(piece)[0].points


def test_a_turned_edge_gets_the_narrow_zigzag() -> None:
    # W 1.5 mm, L 1.0 to 1.2 mm (American Patchwork & Quilting; docs/sources.md).
    radii = np.hypot(*sewn(circle(30), method="turned").T)
    assert radii.max() - radii.min() == pytest.approx(1.5, abs=0.02)
    outer = np.sort(np.unique(radii.round(1)))
    assert outer[-1] == pytest.approx(30.2, abs=0.1)


def test_the_pitch_is_measured_on_the_outer_rail_of_a_circle() -> None:
    points = sewn(circle(30), edge_spacing=1.2)
    outer = points[np.hypot(*points.T) > 30]
    steps = np.hypot(*np.diff(outer, axis=0).T)
    assert np.median(steps) == pytest.approx(1.2, abs=0.03)


def test_corners_are_sewn_to_their_points() -> None:
    points = sewn(square(40))
    for corner in ((-0.7, -0.7), (40.7, 40.7)):
        assert np.hypot(*(points - corner).T).min() < 0.01
