"""A piece inspected: closed forms, a raster as a second opinion, and faults planted by hand."""

import itertools
import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
import shapely

from applique.model import Frame, Laid, LaidPiece, Step, StepKind
from applique.proof.figures import PieceProof
from applique.proof.inspect import inspect_block, inspect_piece
from applique.proof.judge import judge, judge_piece
from applique.proof.sewn import of_kinds, sewn_paths
from applique.proof.thread import thread_use
from applique.proof.unseen import Unseen, unseen
from applique.sequence.plan import plan_of
from applique.stitches.detail import sew_detail
from applique.stitches.piece import sew
from tests.shapes import circle, ell, laid, laid_detail, rectangle, star

SPACING, WIDTH, OUT = 0.4, 3.8, 1.15  # A satin as set, with the pull compensation of both sides.

Change = Callable[[np.ndarray], np.ndarray]


def changed(piece: LaidPiece, change: Change, kind: StepKind = "edge") -> tuple[Step, ...]:
    """The steps of a piece, the first path of one kind changed."""
    return tuple(
        replace(step, paths=(change(step.paths[0]), *step.paths[1:])) if step.kind == kind else step
        for step in sew(piece)[0]
    )


def inspected(piece: Laid, steps: tuple[Step, ...] | None = None) -> PieceProof:
    made = sew(piece)[0] if steps is None and isinstance(piece, LaidPiece) else steps
    hidden = unseen(piece, (), None) if isinstance(piece, LaidPiece) else Unseen()
    return inspect_piece(sewn_paths(made or ()), piece, hidden)


def faults(proof: PieceProof) -> dict[str, tuple[str, tuple[float, float] | None]]:
    """The findings by code: severity and place."""
    return {found.code: (found.severity, found.place) for found in judge_piece(proof)}


# Closed forms


@pytest.mark.parametrize(
    ("shape", "length"),
    [
        (circle(20.0), 2 * math.pi * (20.0 + OUT)),
        (
            shapely.MultiPolygon(
                [shapely.LineString([(0, 0), (40, 0)]).buffer(15.0, quad_segs=200)]
            ),
            2 * 40.0 + 2 * math.pi * (15.0 + OUT),
        ),
    ],
    ids=["circle", "stadium"],
)
def test_a_round_satin_has_the_penetrations_and_the_thread_of_the_closed_form(
    shape: shapely.MultiPolygon, length: float
) -> None:
    """2 L / s penetrations on a longer rail of length L, and W a stitch (docs/sources.md); the
    join overlaps by a few rungs, and a tie is hidden in it."""
    piece = laid(shape)
    (edge,) = of_kinds(sewn_paths(sew(piece)[0]), "edge")
    stitches = 2 * length / SPACING
    assert len(edge.plain) == pytest.approx(stitches, abs=12)
    thread = thread_use([edge.plain], thickness_mm=0.0).total_mm / 2
    assert thread == pytest.approx(stitches * math.hypot(WIDTH, SPACING / 2), rel=0.02)
    proof = inspected(piece)
    assert proof.edge_lengths is not None
    assert proof.edge_lengths.longest_mm == pytest.approx(math.hypot(WIDTH, SPACING / 2), abs=0.03)
    assert faults(proof) == {}


def by_raster(path: np.ndarray, inner: float, outer: float, step: float = 0.06) -> float:
    """The share of a circular band that lies within 0.2 mm of a stitch, place by place."""
    axis = np.arange(-outer, outer, step) + step / 2
    x, y = (side.ravel() for side in np.meshgrid(axis, axis))
    radius = np.hypot(x, y)
    places = np.stack([x, y], axis=1)[(radius > inner) & (radius < outer)]
    covered = np.zeros(len(places), dtype=bool)
    for start, stop in itertools.pairwise(path):
        way = stop - start
        near = np.flatnonzero(np.abs(places - (start + stop) / 2).max(axis=1) < 3.0)
        share = np.clip((places[near] - start) @ way / (way @ way), 0, 1)
        away = places[near] - start - share[:, None] * way
        covered[near[np.hypot(*away.T) <= 0.2]] = True
    return float(covered.mean())


@pytest.mark.parametrize("missing", [0, 5, 40])
def test_cover_is_what_a_raster_finds(missing: int) -> None:
    """Every place of a fine grid asked for the nearest stitch, without shapely."""
    piece = laid(circle(9.0))
    steps = changed(piece, lambda path: np.delete(path, range(100, 100 + missing), axis=0))
    (edge,) = of_kinds(sewn_paths(steps), "edge")
    cover = inspected(piece, steps).cover
    assert cover is not None
    raster = by_raster(edge.plain, 9.0 + OUT - WIDTH, 9.0 + OUT)
    assert cover.covered == pytest.approx(raster, abs=0.0015)
    assert cover.band_mm2 == pytest.approx(
        math.pi * ((9 + OUT) ** 2 - (9 + OUT - WIDTH) ** 2), rel=0.002
    )
    assert (cover.covered > 0.999) == (missing == 0)


@pytest.mark.parametrize("weight", ["30", "40", "50", "60"])
def test_every_weight_covers_at_its_own_spacing(weight: str) -> None:
    proof = inspected(laid(ell(), thread_weight=weight))
    assert proof.cover is not None
    assert proof.cover.covered > 0.999
    assert faults(proof) == {}


def test_a_spacing_too_wide_for_its_thread_is_told() -> None:
    proof = inspected(laid(ell(), edge_spacing=0.6))
    assert faults(proof)["bare"][0] == "warning"


# Faults planted in a satin


def test_a_stitch_moved_out_is_overspill_in_its_place() -> None:
    def moved(path: np.ndarray) -> np.ndarray:
        path = path.copy()
        outer = 100 + int(np.argmax(np.hypot(*path[100:102].T)))
        path[outer] *= (20.0 + OUT + 2.0) / np.hypot(*path[outer])
        return path

    proof = inspected(laid(circle(20.0)), changed(laid(circle(20.0)), moved))
    severity, place = faults(proof)["overspill"]
    assert severity == "warning"
    assert place is not None
    assert math.hypot(*place) > 20.0 + OUT


def test_a_run_of_rungs_left_out_is_bare_in_its_place() -> None:
    piece = laid(circle(20.0))
    steps = changed(piece, lambda path: np.delete(path, range(300, 330), axis=0))
    proof = inspected(piece, steps)
    where = sew(piece)[0][-1].paths[0][300:330].mean(axis=0)
    for code in ("bare", "rail"):
        severity, place = faults(proof)[code]
        assert severity == "warning"
        assert place is not None
        assert math.dist(place, where) < 3.5


def test_a_small_bare_place_on_a_short_edge_is_a_note() -> None:
    """One stitch less in a satin of 180 or so leaves half a pass bare."""
    piece = laid(circle(8.0))
    proof = inspected(piece, changed(piece, lambda path: np.delete(path, [60, 61], axis=0)))
    assert proof.cover is not None
    assert proof.cover.covered < 0.999
    assert proof.cover.largest_gap_mm2 < 0.5
    assert faults(proof)["bare"][0] == "note"


def test_ten_penetrations_in_one_spot_crowd_it() -> None:
    spot = np.array([(40.0, 12.0), (40.1, 12.2)] * 5) + np.arange(10)[:, None] * 0.02
    piece = laid(rectangle(0, 0, 40, 40))
    proof = inspected(piece, changed(piece, lambda path: np.insert(path, 50, spot, axis=0)))
    assert proof.crowding is not None
    assert proof.crowding.most >= 10
    severity, place = faults(proof)["crowded"]
    assert severity == "warning"
    assert place is not None
    assert math.dist(place, (40.1, 12.1)) < 0.5


@pytest.mark.parametrize("end", ["start", "end"])
def test_a_tie_cut_off_is_missed(end: str) -> None:
    piece = laid(star())
    cut = slice(3, None) if end == "start" else slice(None, -3)
    kind: StepKind = "placement" if end == "start" else "edge"
    steps = changed(piece, lambda path: path[cut], kind)
    proof = inspected(piece, steps)
    changed_path = next(step for step in steps if step.kind == kind).paths[0]
    where = changed_path[0 if end == "start" else -1]
    assert inspected(piece).loose_ends == ()
    assert faults(proof) == {"tie": ("warning", pytest.approx(tuple(where)))}


def test_a_stitch_of_eight_millimetres_is_too_long_and_one_of_a_third_too_short() -> None:
    def longer(path: np.ndarray) -> np.ndarray:
        path = path.copy()
        way = path[101] - path[100]
        path[101] = path[100] + way * 8.0 / np.hypot(*way)
        path[201] = path[200] + (0.3, 0.0)
        return path

    piece = laid(circle(20.0))
    proof = inspected(piece, changed(piece, longer))
    assert proof.edge_lengths is not None
    assert proof.edge_lengths.longest_mm > 7.99
    assert proof.edge_lengths.shortest_mm == pytest.approx(0.3)
    found = faults(proof)
    assert {"satin-long", "satin-short"} <= set(found)
    assert found["satin-short"][1] == proof.edge_lengths.shortest_place


# Other edges


def test_a_blanket_without_a_bite_at_a_corner_is_told() -> None:
    piece = laid(rectangle(0, 0, 40, 30), edge="blanket")
    assert faults(inspected(piece)) == {}

    def bitten(path: np.ndarray) -> np.ndarray:
        inner = np.flatnonzero((path[:-2] == path[2:]).all(axis=1)) + 1
        corner = inner[np.argmin(np.hypot(*path[inner].T))]
        return np.delete(path, [corner, corner + 1], axis=0)

    found = faults(inspected(piece, changed(piece, bitten)))
    assert found["bare-corner"] == ("warning", pytest.approx((0.0, 0.0), abs=0.1))


@pytest.mark.parametrize("edge", ["zigzag", "straight"])
def test_open_edges_have_lengths_and_crowding_only(edge: str) -> None:
    proof = inspected(laid(ell(), edge=edge))
    assert (proof.cover, proof.blanket) == (None, None)
    assert proof.crowding is not None
    assert proof.edge_lengths is not None
    assert faults(proof) == {}


def test_a_detail_has_lengths_and_ties_only() -> None:
    detail = laid_detail(circle(3.0))
    proof = inspected(detail, sew_detail(detail)[0])
    assert (proof.edge, proof.cover, proof.crowding) == ("detail, spot", None, None)
    assert proof.edge_lengths is not None
    assert proof.loose_ends == ()


# What does not show


def test_what_lies_beneath_or_beyond_the_seam_need_not_be_covered() -> None:
    whole = laid(rectangle(0, 0, 40, 40))
    steps = changed(whole, lambda path: path[(path[:, 0] < 20) | (path[:, 1] < 20)])
    assert faults(inspected(whole, steps))["bare"][0] == "warning"
    hiding = shapely.box(19, 19, 60, 60)
    for beneath in (replace(whole, above=hiding), replace(whole, barred=hiding)):
        proof = inspected(beneath, steps)
        assert proof.cover is not None
        assert proof.cover.covered > 0.999
    frame = Frame(-10.0, -10.0, 50.0, 29.0, 6.35)
    upper = changed(whole, lambda path: path[path[:, 1] < 22])
    cover = inspect_piece(sewn_paths(upper), whole, unseen(whole, (), frame)).cover
    assert cover is not None
    assert cover.covered > 0.999


def test_a_satin_above_hides_what_lies_beneath_its_outer_side() -> None:
    """A gap within the 1 mm that a round piece's satin reaches out, and one beside it."""
    lower = laid(rectangle(0, 0, 40, 40))
    upper = laid(circle(8.0, 48.7, 20.0), label="2")
    satin = upper.piece.outline.shape.buffer(0.9)

    def parted(path: np.ndarray) -> np.ndarray:
        inside = shapely.intersects_xy(satin, path[:, 0], path[:, 1])
        return np.delete(path, np.flatnonzero(inside), axis=0)

    def covered(uppers: list[LaidPiece]) -> float:
        paths = sewn_paths(changed(lower, parted))
        cover = inspect_piece(paths, lower, unseen(lower, uppers, None)).cover
        assert cover is not None
        return cover.largest_gap_mm2

    assert covered([]) > covered([upper])


def test_thread_beyond_its_band_is_nothing_to_tell_where_a_piece_hides_it() -> None:
    whole = laid(circle(20.0))

    def moved(path: np.ndarray) -> np.ndarray:
        path = path.copy()
        path[np.argmax(path[:, 0])] = (25.0, 0.0)
        return path

    steps = changed(whole, moved)
    assert "overspill" in faults(inspected(whole, steps))
    beneath = replace(whole, above=shapely.box(15, -15, 40, 15))
    assert "overspill" not in faults(inspected(beneath, steps))
    assert "overspill" in faults(inspected(replace(beneath, barred=beneath.above), steps))


# The block


def test_a_block_is_told_with_all_its_pieces() -> None:
    pieces = {name: laid(circle(9.0), label=name) for name in "abcd"}
    steps = [step for piece in pieces.values() for step in sew(piece)[0]]
    block = inspect_block(plan_of(steps, "Harbour", (0, 0)), sewn_paths(steps), pieces, None)
    assert [piece.label for piece in block.pieces] == ["a", "b", "c", "d"]
    assert block.stitches == sum(len(path) for step in steps for path in step.paths)
    assert block.thread.total_mm == pytest.approx(
        sum(piece.thread.total_mm for piece in block.pieces) + block.tails.total_mm
    )
    assert block.time.sewing_minutes == pytest.approx(
        sum(piece.minutes for piece in block.pieces), abs=0.001
    )
    found = {finding.code: finding for finding in judge(block)}
    assert found["layers"].object == "a, b, c, d"
    assert found["layers"].severity == "note"


def test_a_block_without_satin_is_held_against_the_figure_for_runs() -> None:
    pieces = {"1": laid(ell(), edge="straight")}
    steps = sew(pieces["1"])[0]
    block = inspect_block(plan_of(steps, "Harbour", (0, 0)), sewn_paths(steps), pieces, None)
    assert block.ratio.kind == "run"
    assert 2.5 < block.ratio.mm < 3.0
    assert block.ratio.likely


def test_unlikely_thread_is_a_note() -> None:
    pieces = {"1": laid(circle(30.0), edge_width=6.5)}
    steps = sew(pieces["1"])[0]
    block = inspect_block(plan_of(steps, "Harbour", (0, 0)), sewn_paths(steps), pieces, None)
    assert not block.ratio.likely
    assert [finding.severity for finding in judge(block) if finding.code == "thread"] == ["note"]
