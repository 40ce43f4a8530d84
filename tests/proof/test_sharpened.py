"""Corners that are cut off a little count as sharp where thread may lie."""

import numpy as np
import pytest

from applique.model import EdgeRun
from applique.proof.sharpened import sharpened


def ring(points: list[tuple[float, float]]) -> EdgeRun:
    return EdgeRun(np.array(points), True)


def test_a_cut_corner_is_made_sharp() -> None:
    cut = ring([(0, 0), (20, 0), (20, 19.9), (19.9, 20), (0, 20)])
    assert sharpened(cut).points.tolist() == [
        pytest.approx(point) for point in ([0, 0], [20, 0], [20, 20], [0, 20])
    ]


def test_a_corner_across_the_start_too() -> None:
    cut = ring([(0, 0.1), (0.1, 0), (20, 0), (20, 20), (0, 20)])
    found = sharpened(cut).points
    assert np.hypot(*found.T).min() == pytest.approx(0, abs=1e-9)
    assert len(found) == 4


def test_a_large_chamfer_and_sharp_corners_stay() -> None:
    chamfered = ring([(0, 0), (20, 0), (20, 17), (17, 20), (0, 20)])
    assert sharpened(chamfered) is chamfered
