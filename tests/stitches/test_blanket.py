"""Blanket stitch: equal pitch, bites on bisectors, pivots in the background (docs/sources.md)."""

import itertools
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from shapely import affinity

from applique.geometry.corners import find_corners
from applique.geometry.rings import as_multipolygon, rings_of
from applique.geometry.walk import Walk
from applique.model import EdgeRun, LaidPiece
from applique.proof.blanket import BlanketProof, inspect_blanket
from applique.stitches.blanket import blanket
from applique.stitches.piece import sew
from tests.awkward import CASES
from tests.shapes import circle, ell, laid, polygon, rectangle, ring, square, star, stitch_lengths
from tests.strategies import smooth_rings, star_shapes


def sewn(shape, **given) -> np.ndarray:
    piece = laid(shape, edge="blanket", **given)
    return blanket(piece)[0].points


def bites_of(points: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Outer and inner ends of the bites: the needle goes in and comes back to the same hole."""
    turns = np.flatnonzero(np.all(np.abs(points[:-2] - points[2:]) < 1e-9, axis=1))
    return points[turns], points[turns + 1]


def proof_of(shape, **given) -> BlanketProof:
    piece = laid(shape, edge="blanket", **given)
    paths = [path for step in sew(piece)[0] if step.kind == "edge" for path in step.paths]
    return inspect_blanket(paths, shape, piece.edges, piece.piece.settings)


def assert_regular(proof: BlanketProof) -> None:
    """The goals: pitches equal to 1 % and within 20 % of the setting, bites within 5 degrees."""
    assert proof.bites > 0
    assert proof.unequal_percent.value <= 1
    assert proof.off_setting_percent.value <= 20.1
    assert proof.askew_degrees.value <= 5
    assert proof.bare_corners == proof.uneven_strokes == ()
    assert_clean(proof)


def assert_clean(proof: BlanketProof) -> None:
    assert proof.crossing == proof.off_fabric == proof.pivot_inside == ()


def test_a_square_has_whole_pitches_and_a_bite_at_every_corner() -> None:
    outer, inner = bites_of(sewn(square(40)))
    assert len(outer) == 4 * 16  # 40 / 2.5 pitches a side
    diagonal = np.abs(np.abs(outer - inner)[:, 0] - np.abs(outer - inner)[:, 1]) < 1e-9
    assert diagonal.sum() == 4
    along = outer[(np.abs(outer[:, 1] + 0.2) < 1e-6)]
    spacing = np.diff(np.sort(along[:, 0]))
    assert spacing[1:-1] == pytest.approx(2.5)


def test_a_circle_is_divided_evenly() -> None:
    # Closed form: round(perimeter / pitch) bites, as long as that is many, at equal angles.
    outer, inner = bites_of(sewn(circle(25)))
    count = round(2 * np.pi * 25 / 2.5)
    assert len(outer) == count
    angles = np.sort(np.arctan2(*outer.T))
    assert np.diff(angles) == pytest.approx(2 * np.pi / count, rel=1e-3)
    radial = outer / np.hypot(*outer.T)[:, None]
    way = (outer - inner) / np.hypot(*(outer - inner).T)[:, None]
    assert (radial * way).sum(axis=1) == pytest.approx(1, abs=1e-3)
    assert np.hypot(*outer.T) == pytest.approx(25.2, abs=0.02)
    assert np.hypot(*inner.T) == pytest.approx(25 - 2.3, abs=0.02)


def test_a_stadium_is_divided_evenly() -> None:
    stadium = as_multipolygon(shapely.LineString([(0, 0), (40, 0)]).buffer(15, quad_segs=200))
    perimeter = 2 * 40 + 2 * np.pi * 15
    proof = proof_of(stadium)
    assert proof.bites == round(perimeter / 2.5)
    assert proof.pitches_mm[0] == pytest.approx([perimeter / proof.bites] * proof.bites, rel=1e-3)
    assert_regular(proof)


@pytest.mark.parametrize("length", [4.0, 4.5, 5.9, 6.1, 8.5, 13.3])
def test_a_side_takes_the_pitch_nearest_to_the_setting(length: float) -> None:
    # From 1.6 pitches on, here 4 mm, some whole number of pitches comes within a fifth.
    proof = proof_of(rectangle(0, 0, length, 30), edge_spacing=2.5, edge_width=2.5)
    assert_regular(proof)
    by_hand = min(range(1, 8), key=lambda n: abs(length / n - 2.5))
    assert sorted(len(side) for side in proof.pitches_mm) == [by_hand, by_hand, 12, 12]


def test_a_side_under_1_6_pitches_has_a_bite_at_its_corners_only() -> None:
    proof = proof_of(rectangle(0, 0, 3.9, 30), edge_spacing=2.5, edge_width=2.5)
    assert sorted(len(side) for side in proof.pitches_mm) == [1, 1, 12, 12]
    assert_regular(proof)


SHAPES = {
    "L": ell(),
    "star": star(),
    "seven points": star(7, 30, 20),
    "sharp star": star(5, 30, 7),
    "ring": ring(20, 12),
    "thin ring": ring(20, 17.5),
    "small circle": circle(2.2),
    "strip": rectangle(0, 0, 60, 3),
    "leaf": as_multipolygon(circle(25, -15).intersection(circle(25, 15))),
    "heart": as_multipolygon(
        shapely.union_all(
            [circle(10, -10, 0), circle(10, 10, 0), polygon([(-18, 6), (0, 0), (18, 6), (0, 26)])]
        )
    ),
    "cross of two strokes": as_multipolygon(
        shapely.union(shapely.box(0, 8, 20, 12), shapely.box(8, 0, 12, 20))
    ),
}


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_shapes_that_ask_for_care(shape) -> None:
    assert_regular(proof_of(shape))


def test_bites_at_notches_of_two_edges_keep_clear_of_each_other() -> None:
    # Two notches with their points 1.5 mm apart, one in the outline, one in a hole.
    notch = polygon([(0, 0), (30, 0), (30, 30), (16, 30), (15, 15), (14, 30), (0, 30)])
    shape = as_multipolygon(notch.difference(polygon([(15, 13.5), (20, 5), (10, 5)])))
    proof = proof_of(shape)
    assert proof.bare_corners == ()
    assert_clean(proof)


@pytest.mark.parametrize("shape", CASES.values(), ids=CASES)
def test_no_bite_of_an_awkward_shape_crosses_or_leaves_it(shape) -> None:
    assert_clean(proof_of(shape))


def test_bites_stay_in_a_strip_whose_other_side_is_hidden() -> None:
    strip = laid(rectangle(0, 0, 40, 1.5), edge="blanket")
    side = EdgeRun(np.array([[0.0, 0.0], [40.0, 0.0]]), False)
    outer, inner = bites_of(blanket(replace(strip, edges=(side,)))[0].points)
    assert len(outer) == 19  # pitches of 2 mm, none at the ends
    assert inner[:, 1] == pytest.approx(0.85 * 1.5)


def test_parts_that_touch_share_a_pivot() -> None:
    both = as_multipolygon(
        shapely.MultiPolygon([shapely.box(0, 0, 9, 9), shapely.box(9, 9, 18, 18)])
    )
    proof = proof_of(both)
    assert proof.bare_corners == ()
    assert_clean(proof)


def test_where_there_is_no_room_for_bites_the_run_goes_on() -> None:
    line = blanket(laid(rectangle(0, 0, 40, 0.3), edge="blanket"))[0].points
    assert len(bites_of(line)[0]) <= 4
    assert shapely.LineString(line).buffer(0.4).contains(rectangle(0, 0, 40, 0.3))


def test_small_pieces_get_the_smaller_stitch() -> None:
    # 2 x 2 mm on small pieces: common practice (docs/sources.md).
    outer, inner = bites_of(sewn(circle(8)))
    assert np.hypot(*(outer - inner).T) == pytest.approx(2.0, abs=0.02)


@given(star_shapes())
@settings(max_examples=40)
def test_bites_stay_in_the_fabric_and_pivots_outside(shape) -> None:
    outer, inner = bites_of(sewn(shape))
    assert shapely.distance(shape, shapely.points(inner)).max() <= 0.05
    assert shapely.distance(shape, shapely.points(outer)).max() <= 0.2 * 1.5 + 0.05
    assert stitch_lengths(sewn(shape)).max() <= 12.1


@given(star_shapes())
@settings(max_examples=40)
def test_any_shape_is_sewn_without_crossings_and_always_alike(shape) -> None:
    points = sewn(shape)
    assert np.isfinite(points).all()
    assert points.tobytes() == sewn(shape).tobytes()
    assert_clean(proof_of(shape))


@given(smooth_rings())
@settings(max_examples=20)
def test_any_smooth_ring_is_regular(points) -> None:
    assert_regular(proof_of(polygon(points)))


MOVES = {
    "turned": lambda shape: affinity.rotate(shape, 31.4, origin=(0, 0)),
    "moved": lambda shape: affinity.translate(shape, 12.345, -6.789),
    "mirrored": lambda shape: affinity.scale(shape, -1, 1, origin=(0, 0)),
}


def has_plain_corners(shape) -> bool:
    """Whether every ring has corners, none of them hardly one: a ring without any begins where it
    lies lowest."""
    walks = [Walk(points, True) for points in rings_of(shape)]
    counts = [[find_corners(walk, degrees).count for degrees in (29, 31)] for walk in walks]
    return all(some == fewer > 0 for some, fewer in counts)


@pytest.mark.parametrize("move", MOVES.values(), ids=MOVES)
@given(shape=star_shapes())
@settings(max_examples=15)
def test_a_shape_is_sewn_alike_wherever_it_lies(move, shape) -> None:
    assume(has_plain_corners(shape))
    # Given, because by default a piece that is narrow as it lies on the page gets smaller ones.
    size = {"edge_width": 2.5, "edge_spacing": 2.5}
    there = bites_of(sewn(move(shape), **size))
    here = bites_of(sewn(shape, **size))
    assert len(there[0]) == len(here[0])
    for ends, moved_ends in zip(here, there, strict=True):
        moved = move(shapely.MultiPoint(ends))
        assert shapely.hausdorff_distance(moved, shapely.MultiPoint(moved_ends)) <= 0.05


def test_the_run_follows_a_bend() -> None:
    points = sewn(circle(5), edge_spacing=2.5)
    outside = np.hypot(*points.T)
    runs = outside > 5
    assert outside[runs].min() >= 5.1


def stitches(points: np.ndarray) -> dict[frozenset[tuple[float, ...]], int]:
    """How often the thread lies between two holes."""
    holes = [tuple(hole) for hole in np.round(points, 3).tolist()]
    count: dict[frozenset[tuple[float, ...]], int] = {}
    for ends in map(frozenset, itertools.pairwise(holes)):
        count[ends] = count.get(ends, 0) + 1
    return count


def open_edge(**given) -> LaidPiece:
    whole = laid(square(30), edge="blanket", **given)
    side = EdgeRun(np.array([[0.0, 0.0], [30.0, 0.0], [30.0, 30.0]]), False)
    return replace(whole, edges=(side,))


@pytest.mark.parametrize(
    "piece",
    [lambda **given: laid(star(), edge="blanket", **given), open_edge],
    ids=["ring", "open"],
)
def test_double_strokes_sew_all_of_it_twice(piece) -> None:
    single = stitches(blanket(piece())[0].points)
    double = stitches(blanket(piece(blanket_strokes="double"))[0].points)
    assert double == {ends: 2 * count for ends, count in single.items()}


def test_double_strokes_crowd_no_hole() -> None:
    points = blanket(laid(square(30), edge="blanket", blanket_strokes="double"))[0].points
    _, visits = np.unique(np.round(points, 3), axis=0, return_counts=True)
    assert visits.max() <= 5  # four, and one more where the ring begins and ends


def test_the_inspector_sees_every_bite_sewn_twice() -> None:
    proof = proof_of(ell(), blanket_strokes="double")
    assert proof.bites == proof_of(ell()).bites
    assert_regular(proof)
