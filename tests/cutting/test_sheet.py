"""Sheets: what is written stays on the sheet and off the pieces' right sides."""

import numpy as np
import pytest
import shapely

from applique.cutting.nested import Stock, rectangle
from applique.cutting.sheet import Region, Sheet
from applique.geometry.curves import flatten
from tests.cutting.pieces import MAT, cut_piece, drawn, sheet
from tests.shapes import circle, ring, square, star

SHAPES = [square(60.0), circle(30.0), star(), ring(20.0, 8.0), square(4.0)]
PLACES = [(10.0, 10.0), (120.0, 50.0), (190.0, 40.0, 37.0), (250.0, 50.0, 90.0), (80.0, 20.0)]


def usual(face: str = "wrong", **given) -> Sheet:
    writable = face == "wrong" or given.get("kind") == "template"
    pieces = [
        cut_piece(shape, str(k), writable=writable, has_grain=True, **given)
        for k, shape in enumerate(SHAPES, start=1)
    ]
    return sheet(pieces, PLACES, face=face)


def pieces_of(made: Sheet) -> shapely.MultiPolygon:
    return shapely.union_all([cut.shape for cut in made.cuts])


def square_of(made: Sheet) -> shapely.Polygon:
    return shapely.Polygon(flatten(made.test_square))


def test_pieces_lie_where_they_were_placed() -> None:
    """Each by its first corner, turned about (0, 0) and then moved."""
    made = sheet([cut_piece(square(60.0))], [(100.0, 50.0, 90.0)])
    assert made.cuts[0].shape.bounds == pytest.approx((40.0, 50.0, 100.0, 110.0))
    assert shapely.Polygon(flatten(made.cuts[0].curves[0])).equals(made.cuts[0].shape)


def test_curves_of_a_piece_lie_in_cutting_order() -> None:
    (hoop,) = (cut for cut in usual().cuts if cut.piece.label == "4")
    widths = [np.ptp(curve.segments[:, 0, 0]) for curve in hoop.curves]
    assert widths == pytest.approx([16.0, 40.0], abs=0.01)


def test_a_piece_in_a_hole_comes_before_the_one_around_it() -> None:
    made = sheet([cut_piece(ring(60.0, 40.0), "1"), cut_piece(square(20.0), "2")], [(100, 100)] * 2)
    assert [cut.piece.label for cut in made.cuts] == ["2", "1"]


def test_the_drawing_stays_within_the_margin() -> None:
    left, top, right, bottom = drawn(usual()).bounds
    assert min(left, top) >= 6.0
    assert max(right, bottom) <= 305.0 - 6.0


def test_on_the_right_side_nothing_is_drawn_and_the_map_has_all_numbers() -> None:
    made = usual("right")
    assert made.drawing == ()
    assert sorted(made.unlabelled) == ["1", "2", "3", "4", "5"]
    assert made.face_words == "right side up"


def test_on_the_wrong_side_labels_stand_inside_where_there_is_room() -> None:
    made = usual()
    assert made.unlabelled == ()
    for cut in made.cuts:
        assert shapely.intersects(cut.shape, drawn(made))
        assert not shapely.intersects(cut.shape.boundary.buffer(0.9), drawn(made))


def test_a_piece_without_room_is_told_apart() -> None:
    small = cut_piece(square(3.0), "27")
    assert sheet([small, cut_piece(square(60.0))], [(10, 10), (50, 10)]).unlabelled == ("27",)


def test_words_stand_on_the_waste_only() -> None:
    made = usual()
    waste = MAT.shape.difference(pieces_of(made).buffer(0.5))
    words = [line for line in made.drawing if waste.contains(shapely.linestrings(line))]
    assert len(words) > 20
    distance = shapely.distance(shapely.MultiLineString(words), pieces_of(made))
    assert distance >= 1.0


def test_a_full_sheet_has_no_words() -> None:
    """Nothing but the label, which is one stroke."""
    made = sheet([cut_piece(square(293.0))], [(6, 6)])
    assert len(made.drawing) == 1


@pytest.mark.parametrize("face", ["right", "wrong"])
def test_the_test_square_is_an_inch_in_free_space(face: str) -> None:
    made = usual(face)
    square_ = square_of(made)
    assert np.ptp(square_.bounds[::2]) == pytest.approx(25.4)
    assert np.ptp(square_.bounds[1::2]) == pytest.approx(25.4)
    assert MAT.shape.buffer(-6.0).covers(square_)
    assert square_.distance(pieces_of(made)) >= 3.0


def test_without_room_the_test_square_stands_beside_the_sheet() -> None:
    made = sheet([cut_piece(square(280.0))], [(6, 6)])
    assert square_of(made).bounds[0] >= 305.0


def test_templates_are_written_on_whichever_side_of_fabric_lies_up() -> None:
    made = usual("right", kind="template")
    assert made.is_card and made.face_words == "card, mirrored"
    assert made.unlabelled == ()
    assert len(made.drawing) > len(usual().drawing) - 60


def test_on_a_scrap_nothing_is_written_over_used_places() -> None:
    used = shapely.box(20, 20, 180, 90)
    scrap = Stock("scrap", shapely.box(0, 0, 200, 200).difference(used))
    made = sheet([cut_piece(square(30.0))], [(10, 110)], stock=scrap)
    assert scrap.shape.buffer(-5.9).covers(square_of(made))
    assert not shapely.intersects(used, drawn(made))


def test_regions_have_their_borders_once_and_their_names() -> None:
    regions = [Region("sea", (6, 6, 150, 299)), Region("sand", (150, 6, 299, 299))]
    plain, shared = (
        sheet([cut_piece(square(30.0))], [(20, 20)], name="mixed", regions=given)
        for given in ((), regions)
    )
    borders = [line for line in shared.drawing if np.ptp(line, axis=0).max() > 140.0]
    assert sum(shapely.linestrings(line).length for line in borders) == pytest.approx(
        2 * 293 + 3 * 293
    )
    assert len(shared.drawing) > len(plain.drawing) + len(borders)
    assert sheet([cut_piece(square(30.0))], [(20, 20)], face="right", regions=regions).regions


def test_a_sheet_says_what_it_is_and_how_full() -> None:
    made = sheet([cut_piece(square(50.0))], [(20, 20)], stock=rectangle("mat", 100.0, 100.0))
    assert made.title == "sea blue, sheet 2 of 3"
    assert made.face_words == "wrong side up, mirrored"
    assert made.used_share == pytest.approx(0.25)
