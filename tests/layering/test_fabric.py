"""The fabric beneath: run on by the underlap, never in sight."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import translate

from applique.cutting.outlines import cut_lines
from applique.geometry.curves import flatten
from applique.geometry.rings import as_multipolygon
from applique.layering.stack import lay
from applique.model import Block, Frame
from applique.settings import resolve
from tests.shapes import circle, piece, rectangle, square
from tests.strategies import star_shapes


def cut_of(*shapes, **settings_given):
    pieces = tuple(
        piece(shape, label=str(k), **settings_given) for k, shape in enumerate(shapes, start=1)
    )
    return lay(Block("", (0, 0), None, "", pieces, (), resolve({})))[0]


def test_the_underlap_reaches_three_sixteenths_of_an_inch_under() -> None:
    # 3/16 in = 4.7625 mm, the published underlap of fused pieces (docs/sources.md).
    lower, _ = cut_of(square(40), rectangle(40, -10, 40, 60))
    assert lower.cut.bounds == pytest.approx((0, -4.7625 * 0, 44.7625, 40), abs=4.8)
    assert lower.cut.bounds[2] == pytest.approx(44.7625, abs=0.001)
    assert lower.cut.area == pytest.approx(1600 + 4.7625 * 40, rel=0.03)


def test_an_overlapped_piece_grows_only_beneath() -> None:
    lower, upper = cut_of(square(40), rectangle(30, -10, 40, 60))
    outside = lower.cut.difference(lower.piece.outline.shape)
    assert outside.difference(upper.piece.outline.shape.buffer(0.001)).area == pytest.approx(0)
    assert lower.cut.bounds[2] == pytest.approx(44.7625, abs=0.001)


def test_a_gap_between_touching_pieces_is_bridged() -> None:
    lower, upper = cut_of(square(40), translate(square(40), 40.2, 0))
    assert lower.cut.bounds[2] == pytest.approx(44.7625, abs=0.01)
    assert len(lower.cut.geoms) == 1
    both = lower.cut.union(upper.piece.outline.shape)
    assert both.area == pytest.approx(80.2 * 40, rel=0.001)


def test_pieces_above_that_come_near_again_elsewhere_add_no_island() -> None:
    bars = [rectangle(38, 0, 30, 4), rectangle(64, 0, 4, 40), rectangle(43, 36, 21, 4)]
    lower, _ = cut_of(square(40), as_multipolygon(shapely.union_all(bars)))
    assert len(lower.cut.geoms) == 1


def test_an_underlap_has_no_tongues_that_scissors_could_not_follow() -> None:
    # Under a strip of 2.2 mm, 1 mm clear of both its edges, a tongue of 0.2 mm would be left.
    lower, _ = cut_of(rectangle(0, 0, 30, 10), rectangle(14, 5, 2.2, 30))
    opened = lower.cut.buffer(-0.2, join_style="mitre").buffer(0.2, join_style="mitre")
    assert lower.cut.difference(opened.buffer(0.01)).area < 0.05


def test_an_underlap_stays_clear_of_where_the_edge_above_shows() -> None:
    lower, upper = cut_of(square(40), rectangle(30, 20, 40, 30))
    beneath = lower.cut.difference(lower.piece.outline.shape.buffer(0.01))
    showing = upper.piece.outline.shape.boundary.difference(square(40).buffer(1.5))
    assert beneath.distance(showing) >= 0.9


def test_a_hidden_piece_keeps_its_place_but_shows_nothing() -> None:
    lower, _ = cut_of(circle(5), circle(20))
    assert lower.hidden


@given(star_shapes(), star_shapes(), st.floats(-30, 30), st.floats(-30, 30))
@settings(max_examples=60)
def test_cut_shapes_hold_for_any_two_pieces(first, second, dx: float, dy: float) -> None:
    upper_shape = translate(second, dx, dy)
    lower, upper = cut_of(first, upper_shape)
    outline = lower.piece.outline.shape
    touch = lower.piece.settings.touch_mm
    # The outline itself is always cut; the rest lies beneath the piece above, or in a touch's gap.
    assert outline.difference(lower.cut.buffer(0.001)).area == pytest.approx(0, abs=1e-6)
    beneath = upper_shape.buffer(touch + 0.01)
    assert lower.cut.difference(outline.buffer(0.01)).difference(beneath).area < 1e-6
    reach = lower.piece.settings.underlap_mm
    assert lower.cut.difference(outline.buffer(reach + 0.05)).area == pytest.approx(0, abs=1e-6)
    assert upper.cut.equals(upper.piece.outline.shape)
    if lower.hidden:
        assert outline.difference(upper_shape.buffer(touch)).area < 0.01


def test_hidden_sides_of_a_turned_piece_are_left_flat() -> None:
    turned, other = piece(square(40), method="turned"), piece(rectangle(30, -10, 40, 60))
    laid, _ = lay(Block("", (50, 50), None, "", (turned, other), (), resolve({})))
    template, fabric = cut_lines(laid, {})[:2]
    (flat,) = template.flat
    # The right side, all of it, and the ends of the two it meets but for the edge's run-on.
    run_on = turned.settings.run_on_mm + other.settings.edge_inside_mm
    assert np.hypot(*np.diff(flat, axis=0).T).sum() == pytest.approx(60 - 2 * run_on, abs=0.5)
    assert flat[:, 0].max() == pytest.approx(40)
    assert fabric.flat == ()


def test_a_turned_piece_at_the_seam_is_not_turned_there() -> None:
    frame = Frame(10, 10, 80, 80, 6.35)
    turned = piece(rectangle(10, 30, 40, 20), method="turned")
    ((laid,), _) = lay(Block("", (50, 50), frame, "", (turned,), (), resolve({})))
    template, fabric = cut_lines((laid,), {})
    boxes = [np.ptp(flatten(line.curves[0]), axis=0) for line in (template, fabric)]
    # Through the allowance on the left, a quarter inch to turn on the other three sides.
    assert boxes[0] == pytest.approx([40 + 6.35, 20], abs=0.05)
    assert boxes[1] == pytest.approx([40 + 6.35 + 6.35, 20 + 2 * 6.35], abs=0.05)
