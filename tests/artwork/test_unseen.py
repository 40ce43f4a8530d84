"""What lies wholly under others."""

import shapely

from applique.artwork.unseen import unseen
from tests.shapes import circle, rectangle, ring


def test_under_one_and_under_two() -> None:
    left, right = rectangle(-20, -20, 20, 40), rectangle(0, -20, 20, 40)
    assert unseen([circle(5), left, right]) == [0]
    assert unseen([left, right, circle(5)]) == []
    assert unseen([circle(5), circle(9)]) == [0]


def test_a_hole_shows_what_lies_below() -> None:
    assert unseen([circle(9), ring(10, 3)]) == []


def test_the_same_shape_twice() -> None:
    assert unseen([circle(9), circle(9)]) == [0]


def test_one_shape_or_none() -> None:
    assert unseen([]) == []
    assert unseen([shapely.box(0, 0, 1, 1)]) == []
