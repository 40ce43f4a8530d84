"""Lines thinned to one pixel: the published rules, read once more, and an independent thinning."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import ndimage
from skimage import data
from skimage.morphology import skeletonize

from applique.trace.thinning import LINES_AWAY, neighbour_codes, thinned

MASKS = {
    "horse": ~data.horse()[::2, ::2],
    "text": data.text() < 100,
    "page": data.page() < 110,
}
"""Sample images that scikit-image brings along, dark parts as ink."""


def by_the_book(ink: np.ndarray) -> np.ndarray:
    """Zhang and Suen's two turns as their paper words them (CACM 27, 1984): P2 to P9 run clockwise
    from the pixel above, B counts them, A counts the steps from 0 to 1 around."""
    thin = np.pad(ink.astype(int), 1)
    changed = True
    while changed:
        changed = False
        for turn in (1, 2):
            shifts = [(-1, 0), (-1, 1), (0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1)]
            p = [np.roll(thin, (-down, -right), axis=(0, 1)) for down, right in shifts]
            p2, _, p4, _, p6, _, p8, _ = p
            b = sum(p)
            a = sum((p[k] == 0) & (p[(k + 1) % 8] == 1) for k in range(8))
            first, second = (
                (p2 * p4 * p6, p4 * p6 * p8) if turn == 1 else (p2 * p4 * p8, p2 * p6 * p8)
            )
            gone = (thin == 1) & (b >= 2) & (b <= 6) & (a == 1) & (first == 0) & (second == 0)
            thin[gone] = 0
            changed = changed or bool(gone.any())
    return thin[1:-1, 1:-1].astype(np.uint8)


@pytest.mark.parametrize("name", MASKS)
def test_pixel_for_pixel_as_published(name):
    mask = MASKS[name].astype(np.uint8)
    assert np.array_equal(thinned(mask), by_the_book(mask))


# scikit-image's `zhang` takes a few neighbourhoods more than the paper does: it also peels the
# corners of staircases. That moves a line by no more than a pixel. It keeps some side branches that
# the paper's rules lose, up to eight pixels long: one pixel in 70. Spurs are no lines.
@pytest.mark.parametrize("name", MASKS)
def test_lines_lie_where_an_independent_thinning_has_them(name):
    ours = thinned(MASKS[name].astype(np.uint8)) > 0
    theirs = skeletonize(MASKS[name], method="zhang")
    to_theirs = ndimage.distance_transform_edt(~theirs)[ours]
    to_ours = ndimage.distance_transform_edt(~ours)[theirs]
    assert np.mean(to_theirs <= 1.5) > 0.999
    assert np.mean(to_ours <= 1.5) > 0.98
    assert to_ours.max() < 8
    assert ours.sum() == pytest.approx(theirs.sum(), rel=0.1)


def test_bar_becomes_its_middle_line():
    bar = np.zeros((11, 40), np.uint8)
    bar[3:8, 5:35] = 1
    rows, columns = np.nonzero(thinned(bar))
    assert set(rows[(columns > 8) & (columns < 31)]) == {5}


def test_neighbours_are_numbered_clockwise_from_the_one_above():
    for bit, (row, column) in enumerate(
        [(0, 1), (0, 2), (1, 2), (2, 2), (2, 1), (2, 0), (1, 0), (0, 0)]
    ):
        mask = np.zeros((3, 3), np.uint8)
        mask[row, column] = 1
        assert neighbour_codes(mask)[1, 1] == 1 << bit


def test_step_in_a_slanting_line_is_no_junction():
    step = np.array([[1, 1, 0], [0, 1, 1], [0, 0, 0]], np.uint8)
    fork = np.array([[1, 0, 1], [0, 1, 0], [0, 1, 0]], np.uint8)
    assert LINES_AWAY[neighbour_codes(step)[1, 1]] == 2
    assert LINES_AWAY[neighbour_codes(fork)[1, 1]] == 3
