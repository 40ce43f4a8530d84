"""Stitches as path data: plain ones, and those an editor has rewritten."""

import numpy as np
import pytest

from applique.svg.stitchpath import read_stitches


@pytest.mark.parametrize(
    "data",
    [
        "M1,2 L3,4 L3,9 L8,9",
        "M 1 2 3 4 3 9 8 9",
        "m1,2 2,2 0,5 5,0",
        "M1,2 L3,4 V9 H8",
        "m 1 2 l 2 2 v 5 h 5",
        "M1e0,2 L3 4L3,9 8,9",
    ],
)
def test_the_same_stitches_however_they_are_written(data: str) -> None:
    (path,) = read_stitches(data)
    assert path.tolist() == [[1, 2], [3, 4], [3, 9], [8, 9]]


def test_sub_paths_and_a_closing_stitch() -> None:
    first, second = read_stitches("m1,1 5,0 0,5 z m 10,0 1,0")
    assert first.tolist() == [[1, 1], [6, 1], [6, 6], [1, 1]]
    assert second.tolist() == [[11, 1], [12, 1]]


@pytest.mark.parametrize("data", ["M0 0 C1 1 2 2 3 3", "M0 0 q1 1 2 2", "M0 0 A1 1 0 0 1 2 2"])
def test_a_curve_is_no_stitch(data: str) -> None:
    with pytest.raises(ValueError, match="curved"):
        read_stitches(data)


@pytest.mark.parametrize(
    "data",
    [
        "M0 0 L5",
        "M0 0 L5 1e999",
        "m0 0 l 1e999 1",
        "M0 0 l5 5 7",
        "M0 0 L nan 5",
        "5 5",
        "M,",
        "M1,1 L2,2 M , ",
        "M0 0 L5 x",
    ],
)
def test_broken_data_are_refused(data: str) -> None:
    with pytest.raises(ValueError, match="can't be read"):
        read_stitches(data)


def test_nothing_is_no_path() -> None:
    assert read_stitches("") == []
    assert all(isinstance(path, np.ndarray) for path in read_stitches("M1,1"))
