"""Cut lines as they lie on the table: face up or down, grain upright."""

from typing import Any

import numpy as np
import pytest
import shapely
from shapely import affinity

from applique.cutting.pieces import CutPiece, Face, lying
from applique.geometry.curves import polyline
from applique.model import CutLine
from applique.svg.paths import parse_path

FACES: tuple[Face, Face] = ("right", "wrong")
HOOK = "M0 0 L40 0 L40 10 L10 10 L10 30 L0 30 Z"
"""A shape that no turn makes its mirror image."""


def line_of(drawn: str = HOOK, **given: Any) -> CutLine:
    usual: dict[str, Any] = {"piece": "17", "fabric": "sea blue", "kind": "outline"}
    return CutLine(**(usual | {"curves": tuple(parse_path(drawn))} | given))


def laid(face: Face = "right", **given: Any) -> CutPiece:
    return lying(line_of(**given), "whale", "B-17", face)


def handedness(piece: CutPiece) -> float:
    """Twice the signed area of the first three corners of the hook as they were drawn."""
    a, b, c = piece.curves[0].segments[:3, 0]
    (ax, ay), (bx, by), (cx, cy) = a, b, c
    return float((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))


def test_with_the_right_side_up_a_piece_lies_as_it_is_drawn() -> None:
    piece = laid("right")
    assert piece.curves[0].segments.tolist() == line_of().curves[0].segments.tolist()
    assert handedness(piece) > 0
    assert not piece.writable


def test_with_the_wrong_side_up_it_is_its_mirror_image() -> None:
    piece = laid("wrong")
    assert handedness(piece) < 0
    expected = affinity.scale(laid("right").shape, -1, 1, origin=(0, 0))
    assert piece.shape.equals(expected)
    assert piece.writable


@pytest.mark.parametrize("face", FACES)
def test_a_template_is_mirrored_in_any_case_and_turns_freely(face: Face) -> None:
    piece = laid(face, kind="template", turn="none", grain_degrees=0.0)
    assert handedness(piece) < 0
    assert (piece.turn, piece.has_grain, piece.writable) == ("any", False, True)


def test_labels_and_marks_are_told_apart() -> None:
    piece = laid()
    assert (piece.label, piece.mark, piece.block) == ("17", "B-17", "whale")


def top_of(grain_degrees: float | None) -> np.ndarray:
    """Where a print's top is in the block, (2,): a grain of 90 degrees, or none, has it up, one of
    0 has it on the left (docs/cutting.md); angles run clockwise."""
    angle = np.radians(90.0 if grain_degrees is None else grain_degrees)
    return -np.array([np.cos(angle), np.sin(angle)])


GRAINS = [None, 0.0, 90.0, 180.0, 270.0, 30.0, -45.0, 237.5]


def top_after(face: Face, turn: str, grain_degrees: float | None) -> np.ndarray:
    """Where a line towards the print's top points when the piece lies on the table."""
    line = np.array([[0.0, 0.0], 10 * top_of(grain_degrees)])
    piece = laid(face, turn=turn, grain_degrees=grain_degrees, clips=(line,))
    return piece.clips[0][1] - piece.clips[0][0]


@pytest.mark.parametrize("face", FACES)
@pytest.mark.parametrize("grain", GRAINS)
def test_a_prints_top_is_up(face: Face, grain: float | None) -> None:
    assert top_after(face, "none", grain) == pytest.approx(np.array([0.0, -10.0]), abs=1e-9)


@pytest.mark.parametrize("face", FACES)
@pytest.mark.parametrize("grain", GRAINS)
def test_a_grain_stands_upright_where_half_turns_are_allowed(
    face: Face, grain: float | None
) -> None:
    across, along = top_after(face, "half", grain)
    assert (across, abs(along)) == pytest.approx((0.0, 10.0), abs=1e-9)


@pytest.mark.parametrize("grain", [0.0, 90.0, 180.0, 270.0])
def test_quarter_turns_leave_whole_numbers_whole(grain: float) -> None:
    piece = laid("wrong", turn="none", grain_degrees=grain)
    segments = piece.curves[0].segments
    assert (segments[:, [0, 3]] == np.round(segments[:, [0, 3]])).all()
    assert piece.shape.area == 600.0


@pytest.mark.parametrize(("grain", "size"), [(90.0, (40, 30)), (0.0, (30, 40)), (None, (40, 30))])
def test_a_sideways_grain_turns_the_piece_by_a_quarter(
    grain: float | None, size: tuple[float, float]
) -> None:
    left, top, right, bottom = laid(turn="half", grain_degrees=grain).shape.bounds
    assert (right - left, bottom - top) == size


def test_whether_a_grain_was_asked_for_is_kept() -> None:
    assert laid(grain_degrees=0.0).has_grain
    assert not laid().has_grain


def test_lines_on_it_move_with_it() -> None:
    """The hook's lower side stays flat and is clipped: both lines stay on the shape's edge."""
    flat = np.array([[5.0, 0.0], [35.0, 0.0]])
    piece = laid("wrong", turn="none", grain_degrees=30.0, flat=(flat,), clips=(flat,))
    for line in (*piece.flat, *piece.clips):
        assert piece.shape.boundary.buffer(0.01).covers(shapely.LineString(line))


def test_curves_stay_curves_and_the_shape_is_near_to_them() -> None:
    """A circle of four arcs; its area within what 0.002 mm along its edge come to."""
    k = 20 * 0.5522847498
    arcs = f"M20 0 C20 {k} {k} 20 0 20 S-20 {k} -20 0 S{-k} -20 0 -20 S20 {-k} 20 0 Z"
    piece = laid("wrong", drawn=arcs)
    assert len(piece.curves[0].segments) == 4
    assert not piece.curves[0].straight.any()
    assert piece.shape.area == pytest.approx(np.pi * 400, abs=2 * np.pi * 20 * 0.01)


def test_a_hole_is_no_part_of_the_shape() -> None:
    outer = polyline(np.array([[0.0, 0], [30, 0], [30, 30], [0, 30]]), closed=True)
    inner = polyline(np.array([[10.0, 10], [10, 20], [20, 20], [20, 10]]), closed=True)
    assert lying(line_of(curves=(outer, inner)), "whale", "17", "wrong").shape.area == 800.0
