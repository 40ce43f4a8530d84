"""What is cut, by method."""

import math

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon

from applique.cutting import outlines
from applique.cutting.outlines import cut_lines, fitted
from applique.geometry.curves import flatten, polyline
from applique.layering.stack import lay
from applique.model import Block, Curve, CutLine, Fabric, Frame
from applique.settings import resolve
from applique.svg.outlines import outline_of
from applique.svg.paths import parse_path
from tests.shapes import circle, laid, piece, rectangle, ring, square, star


def lines_of(*pieces, fabrics: dict[str, Fabric] | None = None) -> tuple[CutLine, ...]:
    return cut_lines(pieces, fabrics or {})


def area(line: CutLine) -> float:
    rings = [Polygon(flatten(curve, 0.001)) for curve in line.curves]
    outer, *holes = sorted(rings, key=lambda ring: -ring.area)
    return outer.area - sum(hole.area for hole in holes)


def test_cut_first_is_cut_to_the_outline_with_its_own_curves() -> None:
    outline = outline_of(parse_path("M40 40 C40 60 60 80 80 80 L80 40 Z"), "nonzero").outline
    assert outline is not None
    piece = laid(outline.shape)
    piece = type(piece)(
        **{
            **piece.__dict__,
            "piece": type(piece.piece)(**{**piece.piece.__dict__, "outline": outline}),
        }
    )
    (line,) = lines_of(piece)
    assert line.kind == "outline"
    assert len(line.curves[0].segments) == 3
    assert line.curves == outline.curves


def test_a_patch_is_half_an_inch_larger_all_round_and_has_no_holes() -> None:
    # 1/2 in larger: common practice (docs/sources.md). Square: A + P d + pi d^2 (Steiner).
    (line,) = lines_of(laid(square(60), method="cut-in-hoop"))
    d = 12.7
    assert line.kind == "patch"
    assert area(line) == pytest.approx(3600 + 240 * d + math.pi * d * d, rel=1e-3)
    (holed,) = lines_of(laid(ring(20, 8), method="cut-in-hoop"))
    assert len(holed.curves) == 1


def test_a_turned_piece_gets_a_template_and_a_quarter_inch_more_fabric() -> None:
    # Fabric 1/4 in larger all round: common practice; the template is the finished size.
    template, fabric = lines_of(laid(square(60), method="turned"))
    d = 6.35
    assert (template.kind, fabric.kind) == ("template", "allowance")
    assert area(template) == pytest.approx(3600)
    assert area(fabric) == pytest.approx(3600 + 240 * d + math.pi * d * d, rel=1e-3)


@pytest.mark.parametrize("method", ["cut-first", "cut-in-hoop", "turned"])
def test_the_finished_size_is_the_outline_for_every_method(method: str) -> None:
    piece = laid(square(60), method=method)
    edges = shapely.polygons(piece.edges[0].points)
    assert edges.area == pytest.approx(3600)


def test_holes_of_a_turned_piece_keep_fabric_to_turn() -> None:
    _, fabric = lines_of(laid(ring(30, 12), method="turned"))
    radii = sorted(np.hypot(*flatten(curve).T).mean() for curve in fabric.curves)
    assert radii == pytest.approx([12 - 6.35, 30 + 6.35], abs=0.05)


@pytest.mark.parametrize("mast_mm", [3.0, 5.0, 8.0, 20.0])
def test_a_side_left_flat_never_peeps_out_beyond_a_narrow_piece_above(mast_mm: float) -> None:
    mast = rectangle(40, -10, mast_mm, 60)
    pieces = tuple(
        piece(s, label=str(k), method="turned") for k, s in enumerate((square(40), mast))
    )
    below, _ = lay(Block("", (0, 0), None, "", pieces, (), resolve({})))[0]
    template, fabric = lines_of(below)
    assert len(template.flat) == 1  # the side beside the mast
    points = flatten(fabric.curves[0])
    assert points[:, 0].max() <= 40 + mast_mm - 0.9
    # The other three sides have all of their allowance.
    cut = shapely.Polygon(points).buffer(0.06)
    assert cut.covers(shapely.box(0, -6.35, 40, 46.35))
    assert cut.covers(shapely.box(-6.35, 0, 0, 40))


def test_an_allowance_goes_on_into_the_seam() -> None:
    frame = Frame(0, 0, 100, 100, 6.35)
    wave = piece(rectangle(-20, 60, 140, 60), method="turned")
    other = piece(rectangle(40, 40, 20, 80), label="2")
    below, _ = lay(Block("", (50, 50), frame, "", (wave, other), (), resolve({})))[0]
    _, fabric = lines_of(below)
    cut = shapely.Polygon(flatten(fabric.curves[0]))
    expected = shapely.box(-6.35, 60 - 6.35, 106.35, 106.35)
    assert cut.symmetric_difference(expected).area < 2.0


def test_hidden_pieces_are_not_cut() -> None:
    piece = laid(circle(20))
    assert lines_of(type(piece)(**{**piece.__dict__, "hidden": True})) == ()


def test_grain_and_turn_come_from_the_fabric() -> None:
    fabrics = {"brick red": Fabric("brick red", "#b2392f", "half", 90.0)}
    (line,) = lines_of(laid(square(20)), fabrics=fabrics)
    assert (line.grain_degrees, line.turn) == (90.0, "half")


@pytest.mark.parametrize("shape", [star(), circle(25), ring(20, 8), square(30).buffer(4)])
def test_fitted_lines_stay_within_a_twentieth(shape) -> None:
    whole = MultiPolygon([shape]) if shape.geom_type == "Polygon" else shape
    cut = shapely.union_all(
        [shapely.linearrings(flatten(curve, 0.001)).segmentize(0.1) for curve in fitted(whole)]
    )
    outline = shapely.segmentize(whole.boundary, 0.1)
    assert shapely.hausdorff_distance(cut, outline) <= 0.05


def test_a_short_segment_that_reaches_back_beside_a_corner_is_made_straight(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """As fitting left one on a real piece: 0.1 mm long, its handle 0.05 mm behind its beginning,
    through the side before."""
    corners = np.array([[0.0, 0.0], [0.108, -0.014], [20.0, 0.0], [0.0, 20.0], [-16.5, 0.5]])
    side = polyline(corners, closed=True)
    segments = side.segments.copy()
    segments[0, 1:3] = [[-0.049, 0.005], [0.079, -0.008]]
    hooked = Curve(segments, np.arange(5) > 0, True)
    assert not shapely.LinearRing(flatten(hooked, 0.001)).is_simple
    monkeypatch.setattr(outlines, "fit_ring", lambda ring: hooked)
    (made,) = fitted(square(20.0))
    assert shapely.LinearRing(flatten(made, 0.001)).is_simple
    assert np.allclose(made.segments[0], np.linspace(segments[0, 0], segments[0, 3], 4))
    assert np.array_equal(made.segments[1:], segments[1:])
    assert np.array_equal(made.segments[0, [0, 3]], segments[0, [0, 3]])
