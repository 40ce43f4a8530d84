"""Underlay that gives way to the edge above it."""

import numpy as np
import pytest
import shapely

from applique.stitches.line import SewnLine, plain_line
from applique.stitches.satin import satin
from applique.stitches.underlay import underlay
from applique.stitches.yielding import yielding
from tests.shapes import laid, square, star


def most_in_a_circle(lines: list[SewnLine]) -> int:
    points = shapely.points(np.vstack([line.points for line in lines]))
    centre, _ = shapely.STRtree(points).query(points, predicate="dwithin", distance=0.5)
    return int(np.bincount(centre).max())


def cluster(x: float) -> SewnLine:
    """Six needle points within half a millimetre."""
    return plain_line(np.array([[x + 0.08 * k, 0.1 * (k % 2)] for k in range(6)]))


def test_a_point_on_a_straight_run_is_left_out() -> None:
    run = plain_line(np.array([[0.0, 0.0], [2.5, 0.0], [5.0, 0.0]]))
    (kept,) = yielding([run], [cluster(2.3)])
    assert kept.points.tolist() == [[0.0, 0.0], [5.0, 0.0]]


def test_an_end_is_moved_along_its_stitch() -> None:
    run = plain_line(np.array([[0.0, 0.0], [4.0, 0.0]]))
    (kept,) = yielding([run], [cluster(-0.2)])
    assert kept.points[0] == pytest.approx([0.9, 0.0])
    assert kept.points[1] == pytest.approx([4.0, 0.0])


def test_where_there_is_room_nothing_changes() -> None:
    run = plain_line(np.array([[0.0, 5.0], [2.5, 5.0]]))
    (kept,) = yielding([run], [cluster(0.0)])
    assert np.array_equal(kept.points, run.points)
    assert yielding([], [cluster(0.0)]) == []


@pytest.mark.parametrize("style", ["edge", "centre", "zigzag"])
@pytest.mark.parametrize("shape", [square(30), star()], ids=["square", "star"])
def test_edge_and_underlay_together_crowd_no_place(style: str, shape: shapely.Geometry) -> None:
    piece = laid(shape, underlay=style)
    edge = satin(piece)
    assert most_in_a_circle([*yielding(underlay(piece), edge), *edge]) <= 6
