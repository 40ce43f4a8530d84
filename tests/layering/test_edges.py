"""Where edges are stitched: visible stretches, run on beneath what covers them."""

import numpy as np
import pytest
import shapely
from shapely.affinity import translate

from applique.layering.stack import lay
from applique.model import Block, EdgeRun, Frame, LaidPiece, Piece
from applique.settings import resolve
from applique.stitches.satin import satin
from tests.shapes import circle, piece, polygon, rectangle, ring, square, thread_area


def block(*pieces: Piece, frame: Frame | None = None, edges: str = "with-piece") -> Block:
    return Block("", (50, 50), frame, "", pieces, (), resolve({"edges": edges}))


def laid_of(*pieces: Piece, **more) -> tuple[LaidPiece, ...]:
    return lay(block(*pieces, **more))[0]


def line(run: EdgeRun) -> shapely.Geometry:
    return shapely.linearrings(run.points) if run.closed else shapely.linestrings(run.points)


def test_a_piece_alone_gets_its_whole_edge() -> None:
    (alone,) = laid_of(piece(ring(20, 8)))
    assert [run.closed for run in alone.edges] == [True, True]
    assert alone.cut.equals(alone.piece.outline.shape)
    assert not alone.hidden


def test_an_edge_ends_past_the_inner_rail_of_the_piece_above() -> None:
    # The upper satin reaches 2.5 mm inside; the edge runs on 1 mm further.
    lower, _ = laid_of(piece(square(40)), piece(rectangle(20, -10, 40, 60), label="2"))
    (run,) = lower.edges
    assert not run.closed
    ends = run.points[[0, -1]]
    assert ends[:, 0] == pytest.approx(20 + 2.5 + 1.0, abs=0.11)


def test_an_edge_runs_on_at_most_by_the_underlap() -> None:
    # At a slant of 15 degrees 3.5 mm of depth would be 13 mm along the edge.
    slant = polygon([(20, -30), (20 + 90 / np.tan(np.radians(15)), 60), (400, 60), (400, -30)])
    lower, _ = laid_of(piece(square(40)), piece(slant, label="2"))
    (run,) = lower.edges
    visible = line(run).difference(slant)
    assert line(run).length - visible.length <= 2 * 4.7625 + 0.7


def test_a_narrow_piece_above_does_not_cut_the_edge() -> None:
    lower, _ = laid_of(piece(square(40)), piece(rectangle(18, -5, 3, 50), label="2"))
    assert [run.closed for run in lower.edges] == [True]


def test_pieces_that_only_touch_count_as_overlapping() -> None:
    for gap in (0.0, 0.15, 0.29):
        lower, _ = laid_of(piece(square(30)), piece(translate(square(30), 30 + gap, 0), label="2"))
        (run,) = lower.edges
        assert not run.closed
        # The shared side has no stitch but for the run-on at both ends.
        shared = line(run).intersection(shapely.box(29.9, -1, 30.1, 31))
        assert shared.length < 3.0
    apart, _ = laid_of(piece(square(30)), piece(translate(square(30), 30.5, 0), label="2"))
    assert apart.edges[0].closed


def test_an_edge_goes_straight_on_past_a_corner_beneath_its_cover() -> None:
    for gap in (0.0, 0.15, 0.29):
        lower, _ = laid_of(piece(square(30)), piece(translate(square(30), 30 + gap, 0), label="2"))
        (run,) = lower.edges
        assert sorted(run.points[[0, -1], 1]) == pytest.approx([0, 30])
        assert run.points[[0, -1], 0] == pytest.approx([30.85, 30.85], abs=0.2)


@pytest.mark.parametrize("run_on", [0.35, 0.4, 0.45])
def test_an_edge_that_ends_just_past_a_corner_is_straight(run_on: float) -> None:
    lower = piece(square(30), run_on=run_on)
    lower, _ = laid_of(lower, piece(square(30, 30, 0), label="2"))
    (run,) = lower.edges
    assert sorted(run.points[[0, -1], 1]) == pytest.approx([0, 30])
    assert run.points[[0, -1], 0].min() > 30.0
    assert len(run.points) == 4


@pytest.mark.parametrize("gap", [0.0, 0.1, 0.25])
def test_satin_leaves_nothing_bare_where_four_pieces_meet(gap: float) -> None:
    side = 20.0
    places = [(0, 0), (side + gap, 0), (0, side + gap), (side + gap, side + gap)]
    pieces = [piece(square(side, *place), label=str(k)) for k, place in enumerate(places)]
    laid = laid_of(*pieces)
    thread = shapely.union_all(
        [thread_area(line.points) for lying in laid for line in satin(lying)]
    )
    edges = shapely.union_all([shape.piece.outline.shape.boundary for shape in laid])
    bare = edges.buffer(1.0).difference(thread)
    assert max((part.area for part in shapely.get_parts(bare)), default=0) <= 0.15


def test_what_shows_through_a_hole_is_stitched() -> None:
    lower, _ = laid_of(piece(circle(6)), piece(ring(20, 9), label="2"))
    assert lower.edges[0].closed


def test_an_entirely_hidden_piece_is_reported() -> None:
    pieces, findings = lay(block(piece(circle(6)), piece(circle(20), label="2")))
    assert pieces[0].hidden
    assert pieces[0].edges == ()
    assert [(f.code, f.object) for f in findings] == [("hidden", "1")]


# The seam


FRAME = Frame(10, 10, 80, 80, 6.35)


def test_an_outline_at_the_seam_has_no_edge_there() -> None:
    (at_seam,) = laid_of(piece(rectangle(10, 30, 40, 20)), frame=FRAME)
    (run,) = at_seam.edges
    assert not run.closed
    ends = run.points[[0, -1]]
    # It runs on straight past the seam line by the run-on, not round the corner.
    assert ends[:, 0] == pytest.approx([9, 9], abs=0.4)
    assert line(run).length == pytest.approx(100, abs=2.0)


def test_fabric_goes_through_the_seam_allowance_and_no_further() -> None:
    (at_seam,) = laid_of(piece(rectangle(10, 30, 40, 20)), frame=FRAME)
    assert at_seam.cut.bounds == pytest.approx((10 - 6.35, 30, 50, 50), abs=0.35)
    (beyond,) = laid_of(piece(rectangle(-30, 30, 80, 20)), frame=FRAME)
    assert beyond.cut.bounds == pytest.approx((10 - 6.35, 30, 50, 50), abs=1e-6)


def test_fabric_goes_through_the_allowance_beneath_a_piece_that_crosses_the_seam() -> None:
    lower, upper = piece(rectangle(10, 50, 80, 40)), piece(rectangle(40, 70, 20, 30))
    beneath, _ = laid_of(lower, upper, frame=FRAME)
    whole = rectangle(10 - 6.35, 50, 80 + 2 * 6.35, 40 + 6.35)
    assert beneath.cut.symmetric_difference(whole).area < 0.01


def test_a_corner_piece_fills_the_corner_of_the_seam() -> None:
    (corner,) = laid_of(piece(square(30, 10, 10)), frame=FRAME)
    assert corner.cut.area == pytest.approx((30 + 6.35) ** 2, rel=0.002)


def test_a_piece_outside_the_finished_block_is_reported() -> None:
    for outside in (rectangle(-40, 30, 20, 20), rectangle(5, 30, 4.9, 20)):
        laid, findings = lay(block(piece(outside), frame=FRAME))
        assert laid[0].hidden
        (found,) = findings
        assert "lies wholly outside the finished block" in found.sentence()


def test_a_piece_clear_of_the_seam_is_left_alone() -> None:
    (clear,) = laid_of(piece(square(30, 30, 30)), frame=FRAME)
    assert clear.edges[0].closed
    assert clear.cut.equals(clear.piece.outline.shape)


# Edges last


def test_edges_sewn_last_end_within_the_upper_satin() -> None:
    pieces = (piece(square(40)), piece(rectangle(20, -10, 40, 60), label="2"))
    lower, _ = laid_of(*pieces, edges="last")
    (run,) = lower.edges
    ends = run.points[[0, -1], 0]
    assert (ends > 20).all()
    assert (ends <= 20 + 2.5 - 0.5 + 0.11).all()
    # Nothing of the lower edge may lie deeper on the upper fabric than its satin covers.
    assert not lower.barred.is_empty
    assert lower.barred.bounds[0] == pytest.approx(22.0, abs=0.01)


def test_edges_last_is_refused_where_the_upper_edge_would_not_cover() -> None:
    pieces = (piece(square(40)), piece(rectangle(20, -10, 40, 60), label="2", edge="blanket"))
    _, findings = lay(block(*pieces, edges="last"))
    (refusal,) = [finding for finding in findings if finding.severity == "error"]
    assert refusal.object == "1"
    assert "blanket edge would not cover it" in refusal.message
