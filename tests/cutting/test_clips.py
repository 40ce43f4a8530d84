"""Where the allowance of a turned edge is clipped."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from shapely import MultiPolygon

from applique.cutting.outlines import cut_lines
from applique.geometry.curves import flatten
from applique.layering.stack import lay
from applique.model import Block, CutLine, Frame, Piece
from applique.settings import resolve
from tests.shapes import circle, ell, laid, piece, polygon, rectangle, ring, square, star
from tests.strategies import smooth_rings, star_shapes

INCH = 25.4


def fabric_of(shape: MultiPolygon, **changed) -> CutLine:
    (fabric,) = [
        line
        for line in cut_lines([laid(shape, method="turned", **changed)], {})
        if line.kind == "allowance"
    ]
    return fabric


def fabric_under(lower: Piece, *uppers: Piece, frame: Frame | None = None) -> CutLine:
    block = Block("", (50, 50), frame, "", (lower, *uppers), (), resolve({}))
    lines = cut_lines(lay(block)[0], {})
    (fabric,) = [line for line in lines if (line.piece, line.kind) == ("1", "allowance")]
    return fabric


def region(line: CutLine) -> shapely.Geometry:
    return shapely.build_area(
        shapely.multilinestrings([shapely.linearrings(flatten(curve)) for curve in line.curves])
    )


def test_an_inner_corner_gets_one_clip_on_its_bisector() -> None:
    # To within 1/16 in, here 1.5 mm, of the corner: common practice, from memory.
    (clip,) = fabric_of(ell(30, 12)).clips
    corner, along = np.array([12.0, 12.0]), np.array([1.0, 1.0]) / np.sqrt(2)
    assert clip[0] == pytest.approx(corner + along * 6.35 * np.sqrt(2), abs=0.01)
    assert clip[1] == pytest.approx(corner + along * 1.5, abs=0.01)


@pytest.mark.parametrize("shape", [square(40), circle(30), rectangle(0, 0, 80, 12)])
def test_straight_and_outer_edges_get_none(shape: MultiPolygon) -> None:
    assert fabric_of(shape).clips == ()


def test_every_inner_corner_of_a_star_is_clipped_and_no_point_is() -> None:
    clips = fabric_of(star(5, 30, 13)).clips
    assert len(clips) == 5
    assert [np.hypot(*clip[1]) for clip in clips] == pytest.approx([14.5] * 5, abs=0.01)


@pytest.mark.parametrize(("radius_in", "apart_in"), [(1, 1 / 4), (2, 1 / 2), (3, 3 / 4)])
def test_tight_inner_curves_are_clipped_closer(radius_in: float, apart_in: float) -> None:
    """A quarter inch apart on a radius of an inch: common practice, from memory."""
    radius = radius_in * INCH
    clips = fabric_of(ring(radius + 30, radius)).clips
    ends = np.array([clip[1] for clip in clips])
    assert np.hypot(*ends.T) == pytest.approx(np.full(len(clips), radius - 1.5), abs=0.02)
    angles = np.sort(np.arctan2(ends[:, 1], ends[:, 0]))
    apart = np.diff(np.append(angles, angles[0] + 2 * np.pi)) * radius
    assert apart == pytest.approx(np.full(len(clips), apart_in * INCH), rel=0.12)


def test_clips_reach_from_the_fabric_s_edge() -> None:
    fabric = fabric_of(ring(40, 20))
    starts = np.array([clip[0] for clip in fabric.clips])
    assert np.hypot(*starts.T) == pytest.approx(np.full(len(starts), 20 - 6.35), abs=0.06)


def test_the_mouths_of_all_clips_open_to_what_is_wanting() -> None:
    # Circles of radius R - a and R + a differ by 4 pi a: each clip opens by its share of that.
    allowance = 6.35
    count = len(fabric_of(ring(60, 30)).clips)
    assert 4 * np.pi * allowance / count == pytest.approx(INCH / 8, rel=0.03)


def test_curves_all_but_straight_and_a_trembling_hand_get_none() -> None:
    x = np.linspace(0, 100, 400)
    gentle = (x - 50) ** 2 / (2 * 300)
    trembling = 0.1 * np.sin(2 * np.pi * x / 5)
    for wave in (gentle, trembling):
        side = np.stack([x, 30 - wave + wave[0]], axis=1)
        assert fabric_of(polygon([(0, -10), (100, -10), *side[::-1]])).clips == ()


def test_a_hole_smaller_than_its_allowance_is_cut_from_its_middle() -> None:
    fabric = fabric_of(ring(25, 5))
    assert len(fabric.curves) == 1  # the hole is filled by what is turned under
    starts = np.array([clip[0] for clip in fabric.clips])
    through_middle = [clip for clip in fabric.clips if np.hypot(*clip.mean(axis=0)) < 0.1]
    assert len(through_middle) == 1
    assert np.hypot(*starts.T).min() < 0.3
    ends = np.array([clip[1] for clip in fabric.clips])
    assert np.hypot(*ends.T) == pytest.approx(np.full(len(ends), 3.5), abs=0.02)


def test_a_narrow_slit_is_opened_from_the_fabric_s_edge_to_its_foot() -> None:
    slit = shapely.LineString([(0, 25), (0, -5)]).buffer(3)
    shape = polygon(shapely.box(-25, -20, 25, 20).difference(slit).exterior.coords)
    longest = max(fabric_of(shape).clips, key=lambda clip: float(np.ptp(clip[:, 1])))
    assert longest[:, 0] == pytest.approx([0, 0], abs=0.1)
    assert longest[:, 1] == pytest.approx([26, -8 + 1.5], abs=0.5)


def test_what_lies_beneath_a_piece_above_is_not_clipped() -> None:
    bent = piece(ell(60, 20), method="turned")
    assert len(fabric_under(bent).clips) == 1
    assert fabric_under(bent, piece(square(30, 10, 10), label="2")).clips == ()
    assert len(fabric_under(bent, piece(square(30, 30, 30), label="2")).clips) == 1


def test_what_goes_into_the_seam_is_not_clipped() -> None:
    # The inner corner lies on the seam line, or 20 mm inside it.
    frame = Frame(0, 0, 100, 100, 6.35)
    for corner, count in ((100.0, 0), (80.0, 1)):
        shape = polygon([(20, 40), (corner, 40), (corner, 70), (130, 70), (130, 90), (20, 90)])
        fabric = fabric_under(piece(shape, method="turned"), frame=frame)
        assert len(fabric.clips) == count


@settings(max_examples=40, deadline=None)
@given(star_shapes(least_mm=9.0))
def test_clips_lie_in_the_allowance_and_never_reach_the_finished_line(shape) -> None:
    fabric = fabric_of(shape)
    allowance = region(fabric).buffer(0.1)
    for clip in fabric.clips:
        line = shapely.linestrings(clip)
        assert allowance.covers(line)
        assert line.distance(shape) > 0
        assert shapely.Point(clip[1]).distance(shape) <= 1.5 + 1e-9
        assert line.length >= 1.0


@settings(max_examples=20, deadline=None)
@given(smooth_rings())
def test_clips_of_waves_keep_clear_and_apart(ring_points: np.ndarray) -> None:
    shape = polygon(3 * ring_points)
    clips = fabric_of(shape).clips
    ends = shapely.points([clip[1] for clip in clips]) if clips else np.array([])
    assert all(end.distance(shape) == pytest.approx(1.5, abs=0.05) for end in ends)
    nearest = [min(a.distance(b) for b in ends if a is not b) for a in ends if len(ends) > 1]
    assert min(nearest, default=9.0) > 2.0
