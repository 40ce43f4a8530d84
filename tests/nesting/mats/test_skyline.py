"""Packing of few rectangles, held against counting and exhaustive search."""

import itertools

import numpy as np
import pytest

from applique.nesting.mats.skyline import Size, Spot, packed


def boxes(choices: list[list[Size]], spots: tuple[Spot, ...]) -> np.ndarray:
    sizes = np.array([choices[it.item][it.size] for it in spots])
    corners = np.array([(it.x, it.y) for it in spots])
    return np.hstack([corners, corners + sizes])


def assert_apart(found: np.ndarray, columns: int, rows: int) -> None:
    taken = np.zeros((rows, columns), int)
    for left, top, right, bottom in found:
        assert 0 <= left < right <= columns
        assert 0 <= top < bottom <= rows
        taken[top:bottom, left:right] += 1
    assert taken.max() == 1


def test_rectangles_that_fill_the_mat_exactly_find_their_places() -> None:
    # The perfect squared rectangle of 33 x 32 (Moron 1925): nine different squares, no gap.
    sides = [18, 15, 14, 10, 9, 8, 7, 4, 1]
    choices = [[(side, side)] for side in sides]
    spots = packed(choices, 33, 32, 200_000)
    assert spots is not None
    assert_apart(boxes(choices, spots), 33, 32)
    assert sum(side * side for side in sides) == 33 * 32


def test_what_does_not_fit_is_refused() -> None:
    assert packed([[(3, 3)], [(3, 3)]], 5, 5, 1000) is None
    assert packed([[(6, 1)]], 5, 5, 1000) is None


def test_of_the_sizes_that_fit_those_of_the_least_area_are_taken() -> None:
    spots = packed([[(6, 2), (3, 5)], [(2, 2)]], 5, 5, 1000)
    assert spots is not None
    assert {(it.item, it.size) for it in spots} == {(0, 1), (1, 0)}
    spots = packed([[(6, 2), (3, 5)], [(2, 2)]], 6, 4, 1000)
    assert spots is not None
    assert {(it.item, it.size) for it in spots} == {(0, 0), (1, 0)}


@pytest.mark.parametrize("seed", range(12))
def test_small_cases_agree_with_trying_every_place(seed: int) -> None:
    random = np.random.default_rng(seed)
    choices = [[tuple(size) for size in random.integers(1, 4, (2, 2)).tolist()] for _ in range(3)]
    columns, rows = random.integers(3, 6, 2).tolist()
    ordered = [sorted(sizes, key=lambda size: size[0] * size[1]) for sizes in choices]
    spots = packed(ordered, columns, rows, 50_000)
    least = exhausted(choices, columns, rows)
    assert (spots is None) == (least is None)
    if spots is not None:
        assert_apart(boxes(ordered, spots), columns, rows)
        assert least == sum(np.prod(ordered[it.item][it.size]) for it in spots)


def exhausted(choices: list[list[Size]], columns: int, rows: int) -> int | None:
    """The least area, by trying all sizes at all places."""
    least = None
    for sizes in itertools.product(*choices):
        ways = [
            [
                sum(1 << (y + b) * columns + x + a for a in range(w) for b in range(h))
                for x in range(columns - w + 1)
                for y in range(rows - h + 1)
            ]
            for w, h in sizes
        ]
        fits = any(a & b == 0 and (a | b) & c == 0 for a, b, c in itertools.product(*ways))
        area = sum(w * h for w, h in sizes)
        if fits and (least is None or area < least):
            least = area
    return least
