import numpy as np
import pytest
import shapely

from applique.stitches.straight import straight
from tests.shapes import laid, rectangle, ring, square


@pytest.mark.parametrize(("method", "inset"), [("turned", 0.8), ("cut-first", 2.5)])
def test_the_line_lies_inside_the_outline(method: str, inset: float) -> None:
    piece = laid(square(40), edge="straight", method=method)
    (line,) = straight(piece)
    edge = shapely.distance(piece.piece.outline.shape.boundary, shapely.points(line.points))
    assert edge == pytest.approx(inset, abs=1e-6)
    assert line.points[0] == pytest.approx(line.points[-1])


def test_holes_are_stitched_on_the_fabric_side() -> None:
    piece = laid(ring(20, 8), edge="straight", method="turned")
    radii = [np.hypot(*line.points.T).mean() for line in straight(piece)]
    assert sorted(radii) == pytest.approx([8.8, 19.2], abs=0.05)


def test_a_piece_too_narrow_for_the_line_gets_none() -> None:
    piece = laid(rectangle(0, 0, 40, 4), edge="straight")
    assert straight(piece) == []
