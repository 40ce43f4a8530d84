"""Blanket stitch: equal pitch, bites on bisectors, pivots in the background (docs/sources.md)."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings

from applique.stitches.blanket import blanket
from tests.shapes import circle, ell, laid, rectangle, square, star, stitch_lengths
from tests.strategies import star_shapes


def sewn(shape, **given) -> np.ndarray:
    piece = laid(shape, edge="blanket", **given)
    return blanket(piece)[0].points


def bites_of(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Outer and inner ends of the bites: the needle goes in and comes back to the same hole."""
    turns = np.flatnonzero(np.all(np.abs(points[:-2] - points[2:]) < 1e-9, axis=1))
    return points[turns], points[turns + 1]


def test_a_square_has_whole_pitches_and_a_bite_at_every_corner() -> None:
    outer, inner = bites_of(sewn(square(40)))
    assert len(outer) == 4 * 16  # 40 / 2.5 pitches a side
    diagonal = np.abs(np.abs(outer - inner)[:, 0] - np.abs(outer - inner)[:, 1]) < 1e-9
    assert diagonal.sum() == 4
    along = outer[(np.abs(outer[:, 1] + 0.2) < 1e-6)]
    spacing = np.diff(np.sort(along[:, 0]))
    assert spacing[1:-1] == pytest.approx(2.5)


def test_bites_are_square_to_the_outline() -> None:
    outer, inner = bites_of(sewn(circle(25)))
    radial = outer / np.hypot(*outer.T)[:, None]
    way = (outer - inner) / np.hypot(*(outer - inner).T)[:, None]
    assert (radial * way).sum(axis=1) == pytest.approx(1, abs=1e-3)
    assert np.hypot(*outer.T) == pytest.approx(25.2, abs=0.02)
    assert np.hypot(*inner.T) == pytest.approx(25 - 2.3, abs=0.02)


def test_small_pieces_get_the_smaller_stitch() -> None:
    # 2 x 2 mm on small pieces: common practice (docs/sources.md).
    outer, inner = bites_of(sewn(circle(8)))
    assert np.hypot(*(outer - inner).T) == pytest.approx(2.0, abs=0.02)


def test_bites_from_two_sides_never_meet() -> None:
    outer, inner = bites_of(sewn(rectangle(0, 0, 60, 3)))
    lines = shapely.linestrings(np.stack([outer, inner], axis=1))
    first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
    assert (first == second).all()


@pytest.mark.parametrize("shape", [star(), ell(), square(30), star(7, 30, 20)])
def test_bites_never_cross(shape) -> None:
    outer, inner = bites_of(sewn(shape))
    lines = shapely.linestrings(np.stack([outer, inner], axis=1))
    first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
    assert (first == second).all()


@given(star_shapes())
@settings(max_examples=40)
def test_bites_stay_in_the_fabric_and_pivots_outside(shape) -> None:
    outer, inner = bites_of(sewn(shape))
    assert shapely.distance(shape, shapely.points(inner)).max() <= 0.05
    assert shapely.distance(shape, shapely.points(outer)).max() <= 0.2 * 1.5 + 0.05
    assert stitch_lengths(sewn(shape)).max() <= 12.1


def test_the_run_follows_a_bend() -> None:
    points = sewn(circle(5), edge_spacing=2.5)
    outside = np.hypot(*points.T)
    runs = outside > 5
    assert outside[runs].min() >= 5.1
