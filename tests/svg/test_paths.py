"""Path data, against svgelements as an independent reader (test-only)."""

import math

import numpy as np
import pytest
import svgelements
from hypothesis import given
from hypothesis import strategies as st

from applique.geometry.curves import flatten, polyline
from applique.svg.paths import parse_path, write_path, write_points

PATHS = [
    "M10 10h20v15H10z",
    "m10,10 20,0 0,15 -20,0z",
    "M10 80 C 40 10, 65 10, 95 80 S 150 150, 180 80",
    "M10 80 Q 52.5 10, 95 80 T 180 80 t 40 0",
    "M10 315L110 215A30 50 0 0 1 162.55 162.45L172.55 152.45A30 50 -45 0 1 215.1 109.9L315 10",
    "M6 10A6 4 10 1 0 14 10z",
    "M20 20a25 25 -30 0150-25l50-25",
    "M.5.5-.5-.5L1e1,2e-1",
    "M0 0 L10 0 10 10 Z m 20 0 l5 5 0 -5 z",
    "M0,0 A5 5 0 0 0 0,0 L5,5",
    "M0 0a1 2 0 0 1 40 0",
    "M10 10 q20 40 40 0 c 5 5 10 5 15 0 s 10 -10 15 0",
]


def reference_points(data: str, per_segment: int = 40) -> np.ndarray:
    """Points along every drawn segment, by svgelements."""
    points = []
    for segment in svgelements.Path(data):
        if isinstance(segment, svgelements.Move):
            continue
        for k in range(per_segment + 1):
            point = segment.point(k / per_segment)
            points.append((point.x, point.y))
    return np.array(points)


def distances(points: np.ndarray, data: str) -> np.ndarray:
    lines = [flatten(curve, 0.001) for curve in parse_path(data)]
    lines = [np.vstack([line, line[:1]]) for line in lines]
    best = np.full(len(points), np.inf)
    for line in lines:
        start, way = line[:-1], np.diff(line, axis=0)
        square = np.maximum((way * way).sum(axis=1), 1e-18)
        to = points[:, None, :] - start[None]
        share = np.clip((to * way).sum(axis=2) / square, 0, 1)
        gap = to - share[..., None] * way
        best = np.minimum(best, np.sqrt((gap * gap).sum(axis=2)).min(axis=1))
    return best


@pytest.mark.parametrize("data", PATHS)
def test_every_command_reads_as_the_reference_reads_it(data: str) -> None:
    assert distances(reference_points(data), data).max() < 0.01


def test_sub_paths_and_closing() -> None:
    first, second, third = parse_path("M0 0 L10 0 10 10Z M20 20 L30 20 30 30 20 20 M50 50 L60 60")
    assert (first.closed, second.closed, third.closed) == (True, True, False)
    assert len(first.segments) == 3


def test_a_path_goes_on_from_where_a_closed_one_began() -> None:
    _, second = parse_path("M5 5 h10 v10 z l-5 0 0 -5")
    assert second.segments[0, 0].tolist() == [5, 5]


@pytest.mark.parametrize(
    ("data", "complaint"),
    [
        ("M 0 0 L NaN 3", "can't be read from 'NaN 3' on"),
        ("M 0 0 L 5", "end in the middle of a command"),
        ("L 5 5", "do not start with a move"),
        ("M 0 0 X 5", "can't be read from 'X 5' on"),
        ("M 0 0 L 1e999 0", "too large a number"),
        ("M 0 0 A 5 5 0 2 0 9 9", "can't be read from '2 0 9 9' on"),
        ("M 0 0 L inf 0", "can't be read from 'inf 0' on"),
    ],
)
def test_what_can_not_be_read_is_named(data: str, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        parse_path(data)


def test_a_quarter_circle_is_one() -> None:
    (arc,) = parse_path("M50 0 A50 50 0 0 1 0 50")
    radii = np.hypot(*flatten(arc, 0.0001).T)
    assert radii == pytest.approx(50, abs=0.001)


# SVG 2, B.2.5: radii that don't reach are scaled up until they do; without a height it is a line.
@pytest.mark.parametrize("radius", ["5", "1e-9", "1e-320"])
def test_radii_that_are_too_small_become_half_a_circle(radius: str) -> None:
    (arc,) = parse_path(f"M0 0 A{radius} {radius} 0 0 1 20 0")
    from_the_middle = np.hypot(*(flatten(arc, 0.0001) - [10.0, 0.0]).T)
    assert from_the_middle == pytest.approx(10, abs=0.001)


@pytest.mark.parametrize("radii", ["0 3", "2 0", "2 1e-320", "2 1e-10"])
def test_an_arc_of_a_flat_ellipse_is_a_line(radii: str) -> None:
    (arc,) = parse_path(f"M0 0 A{radii} 0 0 1 20 4")
    assert arc.segments.shape == (1, 4, 2)
    assert flatten(arc, 0.0001) == pytest.approx(np.array([[0.0, 0.0], [20.0, 4.0]]))


@given(st.lists(st.tuples(st.floats(-999, 999), st.floats(-999, 999)), min_size=3, max_size=9))
def test_written_paths_read_back(points: list[tuple[float, float]]) -> None:
    curve = polyline(np.round(np.array(points), 3), closed=True)
    (back,) = parse_path(write_path([curve], 3)) or [curve]
    assert back.closed
    assert back.segments[0, 0] == pytest.approx(curve.segments[0, 0], abs=5e-4)


def test_stitches_are_written_plainly() -> None:
    points = np.array([[1.0, 2.5], [-0.0004, 3.25], [math.pi, -7]])
    assert write_points(points, 3) == "M1,2.5 L0,3.25 L3.142,-7"
