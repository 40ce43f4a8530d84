"""Windows cut beneath the pieces above."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon
from shapely.affinity import translate

from applique.cutting.away import cut_away
from applique.cutting.outlines import cut_lines
from applique.layering.stack import lay
from applique.model import Block, Frame, LaidPiece
from applique.pipeline import make_layers, refresh_layers
from applique.settings import resolve
from applique.svg.read import Request
from tests.shapes import circle, drawing, ell, piece, rectangle, square
from tests.strategies import star_shapes


def laid_of(*shapes: MultiPolygon, frame: Frame | None = None, **given) -> tuple[LaidPiece, ...]:
    asked = {"hidden_fabric": "cut-away"} | given
    pieces = tuple(piece(shape, label=str(k), **asked) for k, shape in enumerate(shapes, start=1))
    return lay(Block("", (0, 0), frame, "", pieces, (), resolve({})))[0]


def lowest(*shapes: MultiPolygon, **given) -> MultiPolygon:
    return cut_away(laid_of(*shapes, **given))[0].cut


def test_a_window_leaves_the_underlap_all_round() -> None:
    # 3/16 in = 4.7625 mm, the published underlap of fused pieces (docs/sources.md).
    cut = lowest(square(80), circle(20, 40, 40))
    assert cut.area == pytest.approx(6400 - np.pi * (20 - 4.7625) ** 2, rel=1e-3)
    assert len(cut.geoms[0].interiors) == 1


def test_nothing_is_cut_away_unless_asked_for() -> None:
    laid = laid_of(square(80), circle(20, 40, 40), hidden_fabric="keep")
    assert cut_away(laid) == laid


@pytest.mark.parametrize("method", ["turned", "cut-in-hoop"])
def test_patches_and_turned_pieces_stay_whole(method: str) -> None:
    laid = laid_of(square(80), circle(20, 40, 40), method=method)
    assert cut_away(laid) == laid


def test_a_wide_edge_above_is_kept_on_fabric() -> None:
    # A satin of 7 mm, 2 mm of it outside; the edge below runs on 1 mm; layers shift by 1 mm.
    cut = lowest(square(80), circle(20, 40, 40), edge_width=7)
    (window,) = cut.geoms[0].interiors
    assert shapely.Polygon(window).area == pytest.approx(np.pi * (20 - 7) ** 2, rel=1e-3)


def test_small_windows_are_not_cut() -> None:
    assert lowest(square(80), circle(9.5, 40, 40)).equals(square(80))
    assert not lowest(square(80), circle(10, 40, 40)).equals(square(80))


def test_a_piece_that_runs_far_beneath_another_is_cut_back() -> None:
    cut = lowest(square(60), rectangle(20, -20, 100, 100))
    assert cut.bounds[2] == pytest.approx(24.7625, abs=0.01)
    assert cut.intersection(square(60)).area == pytest.approx(24.7625 * 60, rel=1e-3)


def test_no_piece_is_cut_in_two() -> None:
    across = rectangle(30, -10, 40, 60)
    assert len(lowest(rectangle(0, 0, 100, 40), across).geoms) == 1
    # But a window beside the band that must stay is cut.
    cut = lowest(rectangle(0, 0, 100, 40), across, circle(12, 15, 20))
    assert len(cut.geoms) == 1 and len(cut.geoms[0].interiors) == 1


def test_what_lies_beneath_in_the_seam_is_cut_away_up_to_the_raw_edge() -> None:
    frame = Frame(0, 0, 100, 100, 6.35)
    cut = lowest(rectangle(0, 0, 100, 60), rectangle(30, 0, 40, 40), frame=frame)
    notch = shapely.box(30 + 4.7625, -6.35, 70 - 4.7625, 40 - 4.7625)
    assert cut.intersection(notch).area < 0.03 * notch.area  # but for its rounded corners
    assert len(cut.geoms) == 1 and not cut.geoms[0].interiors


def test_corners_of_windows_are_round() -> None:
    (window,) = lowest(square(80), square(40, 20, 20)).geoms[0].interiors
    side = 40 - 2 * 4.7625
    assert shapely.Polygon(window).area == pytest.approx(side**2 - (4 - np.pi) * 9, rel=1e-3)


def test_pieces_between_may_have_windows_of_their_own() -> None:
    laid = cut_away(laid_of(square(100), circle(40, 50, 50), circle(25, 50, 50)))
    areas = [item.cut.area for item in laid]
    assert areas[0] == pytest.approx(10_000 - np.pi * (40 - 4.7625) ** 2, rel=1e-3)
    assert areas[1] == pytest.approx(np.pi * (40**2 - (25 - 4.7625) ** 2), rel=1e-3)
    assert areas[2] == pytest.approx(np.pi * 25**2, rel=1e-3)


@settings(max_examples=40, deadline=None)
@given(star_shapes(), star_shapes(), star_shapes(), st.floats(-30, 30), st.floats(-30, 30))
def test_what_shows_and_the_underlap_stay(first, second, third, dx: float, dy: float) -> None:
    laid = laid_of(first, translate(second, dx, dy), translate(third, dy, -dx))
    for before, after in zip(laid, cut_away(laid), strict=True):
        above = shapely.union_all([item.cut for item in laid[laid.index(before) + 1 :]])
        shown = before.cut.difference(above)
        assert shown.difference(after.cut.buffer(0.001)).area < 1e-6
        needed = before.cut.intersection(shown.buffer(4.7))
        if not before.hidden:
            assert needed.difference(after.cut.buffer(0.01)).area < 0.01
            assert len(after.cut.geoms) <= len(before.cut.geoms)
        assert after.cut.difference(before.cut.buffer(0.001)).area < 1e-6


def test_the_cut_line_has_the_window_and_the_visible_side_keeps_its_corners() -> None:
    lines = cut_lines(laid_of(ell(80, 40), square(40)), {})
    line = next(line for line in lines if line.piece == "1")
    points = {tuple(point) for curve in line.curves for point in curve.segments[:, 0]}
    assert {(80.0, 0.0), (80.0, 40.0), (40.0, 80.0), (0.0, 80.0)} <= points


def test_it_is_asked_for_in_the_document_and_makes_no_stitch_stale() -> None:
    root = drawing(
        '<rect ap:piece="1" ap:fabric="sand" width="80" height="80" fill="#fc9"/>'
        '<circle ap:piece="2" ap:fabric="sea" cx="40" cy="40" r="20" fill="#36c"/>'
    )
    make_layers(root)
    plain = refresh_layers(root)
    assert [len(line.curves) for line in plain.cut_lines] == [1, 1]
    asked = make_layers(root, Request(settings={"hidden-fabric": "cut-away"}))
    assert [len(line.curves) for line in asked.cut_lines] == [2, 1]
    again = refresh_layers(root)
    assert again.made == ()
    assert [len(line.curves) for line in again.cut_lines] == [2, 1]
