"""Edges that dive, meet and cross: no gap, and no ridge of thread."""

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from applique.layering.crossing import may_end_early
from applique.layering.stack import lay
from applique.model import EMPTY, Block, LaidPiece, Piece
from applique.settings import resolve
from applique.stitches.piece import sew
from tests.shapes import circle, piece, polygon, rectangle, sewn_area, square

THREAD_MM = 0.193
"""Diameter of 40 wt thread (computed in docs/sources.md from its weight)."""

SMALLEST_GAP_MM2 = 0.05
"""A pass of thread over its own spacing is 0.16 mm2; a third of that nobody sees (ours)."""

RIDGE_LAYERS = 3.0
"""From so many layers on an edge is a ridge to the hand (ours): more than one satin on another."""


def laid_of(*pieces: Piece) -> tuple[LaidPiece, ...]:
    return lay(Block("", (0, 0), None, "", pieces, (), resolve()))[0]


def edges_of(laid: LaidPiece) -> list[np.ndarray]:
    return [path for step in sew(laid)[0] if step.kind == "edge" for path in step.paths]


def layers_at(stitches: list[np.ndarray], places: np.ndarray) -> np.ndarray:
    """Layers of thread in 1 mm circles around places (n, 2): its area over theirs. A satin of
    0.4 mm pitch has 2 / 0.4 * 0.193 = 0.97 (computed)."""
    lines = np.concatenate([np.stack([path[:-1], path[1:]], axis=1) for path in stitches])
    tree = shapely.STRtree(shapely.linestrings(lines))
    circles = shapely.buffer(shapely.points(places), 0.5)
    which, found = tree.query(circles, predicate="intersects")
    length = shapely.length(shapely.intersection(circles[which], tree.geometries[found]))
    return np.bincount(which, length, len(places)) * THREAD_MM / (np.pi / 4)


def around(x: float, y: float, reach: float = 6.0) -> np.ndarray:
    steps = np.arange(-reach, reach, 0.4)
    return np.array([(x + dx, y + dy) for dx in steps for dy in steps])


def half_plane(degrees: float, mirrored: bool) -> shapely.MultiPolygon:
    """Everything to one side of a line through (30, 0) that crosses the x axis at an angle."""
    way = np.array([np.cos(np.radians(degrees)), np.sin(np.radians(degrees))])
    side = np.array([way[1], -way[0]])
    near, far = np.array([30, 0]) - 35 * way, np.array([30, 0]) + 35 * way
    if mirrored:
        return polygon([(x, -y) for x, y in (near, far, far + 40 * side, near + 40 * side)])
    return polygon([near, far, far + 40 * side, near + 40 * side])


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("degrees", [90, 45, 30, 20])
@pytest.mark.parametrize("upper_edge", ["satin", "blanket"])
def test_a_dive_leaves_no_gap(degrees: float, mirrored: bool, upper_edge: str) -> None:
    above = half_plane(degrees, mirrored)
    pieces = laid_of(piece(rectangle(-40, 0, 140, 40)), piece(above, label="2", edge=upper_edge))
    lower = pieces[0].piece.outline.shape
    seen = shapely.LineString([(24, 0), (36, 0)]).difference(above)
    outside = seen.buffer(1.0).difference(lower)
    inside = seen.buffer(2.5).intersection(lower)
    band = shapely.union(outside, inside).difference(above)
    sewn = sewn_area([path for laid in pieces for path in edges_of(laid)])
    bare = shapely.get_parts(band.difference(sewn))
    assert band.area > 5
    assert max((part.area for part in bare), default=0.0) <= SMALLEST_GAP_MM2


@pytest.mark.parametrize("degrees", [90, 45, 30, 20])
def test_a_dive_is_two_layers_of_thread_and_no_more(degrees: float) -> None:
    above = half_plane(degrees, False)
    pieces = laid_of(piece(rectangle(-40, 0, 140, 40)), piece(above, label="2"))
    stitches = [path for laid in pieces for path in edges_of(laid)]
    layers = layers_at(stitches, around(30, 0))
    assert 1.7 < layers.max() < RIDGE_LAYERS
    assert np.percentile(layers, 99) < 2.4


def test_only_the_upper_edge_is_sewn_along_a_shared_line() -> None:
    for gap in (0.0, 0.15, 0.29):
        left, right = square(30), translate(square(30), 30 + gap, 0)
        lower, upper = laid_of(piece(left), piece(right, label="2"))
        along = np.array([(29.0 + dx, y) for dx in (0, 1, 2) for y in np.arange(8.0, 22.0, 0.5)])
        both = layers_at([*edges_of(lower), *edges_of(upper)], along)
        assert both == pytest.approx(layers_at(edges_of(upper), along))
        raw_edge = shapely.LineString([(30, 0), (30, 30)])
        over = shapely.union(right, sewn_area([*edges_of(lower), *edges_of(upper)]))
        assert raw_edge.difference(over).length == 0


# Where the edges of two pieces above cross


def crossing(apart_mm: float = 0.0) -> tuple[Piece, Piece, Piece]:
    """The top edge of the first piece dives at (20, 0) beneath the second; the edge of the third
    crosses it `apart_mm` further on."""
    slant = translate(polygon([(-10, -30), (50, 30), (80, 30), (80, -30)]), apart_mm, 0)
    return (
        piece(rectangle(-40, 0, 120, 40)),
        piece(rectangle(20, -20, 40, 70), label="2"),
        piece(slant, label="3"),
    )


def end_of_top_edge(*pieces: Piece) -> float:
    """x of the place where the lowest piece's top edge ends beneath the second one."""
    ends = np.vstack([run.points[[0, -1]] for run in laid_of(*pieces)[0].edges])
    return float(ends[np.argmin(np.hypot(*(ends - (20, 0)).T)), 0])


@pytest.mark.parametrize("apart_mm", [0.0, 1.0, 2.0])
def test_an_edge_ends_early_where_upper_edges_cross_over_it(apart_mm: float) -> None:
    lower, middle, upper = crossing(apart_mm)
    # Past the inner rail of the satin above (2.5 mm) by the run-on, or only by the run-on (1 mm).
    assert end_of_top_edge(lower, middle) == pytest.approx(23.5, abs=0.11)
    assert end_of_top_edge(lower, middle, upper) == pytest.approx(21.0, abs=0.11)


@pytest.mark.parametrize("apart_mm", [0.0, 1.0, 2.0])
def test_crossing_edges_are_two_layers_but_for_where_all_three_meet(apart_mm: float) -> None:
    pieces = laid_of(*crossing(apart_mm))
    stitches = [path for laid in pieces for path in edges_of(laid)]
    places = around(20, 0, 8)
    beyond = places[(places[:, 0] > 21.5) & (np.abs(places[:, 1]) < 5)]
    # Two satins of 0.97 each and a little; with the whole run-on it would be 2.8 to 3.0.
    assert layers_at(stitches, beyond).max() < 2.4
    # The crossing leaves nothing of the band bare that is left in sight.
    lower, middle, upper = (laid.piece.outline.shape for laid in pieces)
    above = shapely.union(middle, upper)
    seen = shapely.LineString([(10, 0), (20, 0)])
    band = seen.buffer(1.0).difference(lower).union(seen.buffer(2.5).intersection(lower))
    bare = shapely.get_parts(band.difference(above).difference(sewn_area(stitches)))
    near = [part.area for part in bare if shapely.dwithin(part, shapely.Point(20, 0), 5)]
    assert max(near, default=0.0) <= SMALLEST_GAP_MM2


def test_an_edge_does_not_end_where_a_rung_would_still_show() -> None:
    # Beneath a strip 2 mm wide nothing hides a rung of 3.5 mm, however many edges cross there.
    strips = [piece(rectangle(20, -10, 2, 60), label=str(k)) for k in (2, 3)]
    places = np.stack([np.full(40, 21.0), np.linspace(0, 4, 40)], axis=1)
    union = shapely.union_all([strip.outline.shape for strip in strips])
    settings = piece(square(40), edge_width=12.0).settings
    assert not may_end_early(places, settings, strips, union).any()


def test_one_piece_above_never_ends_an_edge_early() -> None:
    (upper,) = (piece(circle(20), label="2"),)
    places = np.stack([np.linspace(-20, -15, 40), np.zeros(40)], axis=1)
    settings = piece(square(40)).settings
    assert not may_end_early(places, settings, [upper], upper.outline.shape).any()
    assert not may_end_early(places, settings, [], EMPTY).any()
