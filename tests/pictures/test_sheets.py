"""The map of a sheet, checked at single pixels and by where its numbers stand."""

import io
from itertools import combinations

import numpy as np
import pytest
import shapely
from PIL import Image

from applique.cutting.nested import Stock, rectangle
from applique.cutting.sheet import Region, Sheet
from applique.pictures.canvas import area_round
from applique.pictures.colours import INK, PALE, PAPER, UNKNOWN, WHITE, rgb
from applique.pictures.sheet_numbers import HEIGHTS_PX, place_sheet_numbers
from applique.pictures.sheets import LONG_SIDE_PX, sheet_picture
from tests.cutting.pieces import MAT, cut_piece, sheet
from tests.shapes import circle, square

SEA = "#2f6f8f"
COLOURS = {"sea blue": SEA}
AROUND_MM = 12.0


def picture(made: Sheet) -> np.ndarray:
    """The map alone, without what is told above it."""
    pixels = np.asarray(Image.open(io.BytesIO(sheet_picture(made, COLOURS))))
    width, height = (side + 2 * AROUND_MM for side in made.stock.size_mm)
    scale = LONG_SIDE_PX / max(width, height)
    return pixels[-round(height * scale) :]


def at(pixels: np.ndarray, made: Sheet, x: float, y: float) -> tuple[int, ...]:
    scale = LONG_SIDE_PX / (max(made.stock.size_mm) + 2 * AROUND_MM)
    row, column = round((y + AROUND_MM) * scale), round((x + AROUND_MM) * scale)
    return tuple(pixels[row, column].tolist())


def test_pieces_have_their_colours_and_the_sheet_its_border() -> None:
    sand = cut_piece(square(40.0), "2", fabric="sand")
    made = sheet([cut_piece(square(100.0)), sand], [(20, 20), (200, 200)])
    pixels = picture(made)
    assert at(pixels, made, 30.0, 30.0) == rgb(SEA)
    assert at(pixels, made, 205.0, 205.0) == rgb(UNKNOWN)
    assert at(pixels, made, 150.0, 150.0) == WHITE
    assert at(pixels, made, 0.0, 150.0) == INK
    assert at(pixels, made, -6.0, 150.0) == PAPER


def test_used_places_of_a_scrap_are_pale() -> None:
    shape = shapely.box(0, 0, 200, 200).difference(shapely.box(100, 100, 150, 150))
    made = sheet([cut_piece(square(40.0))], [(20, 20)], stock=Stock("scrap", shape))
    assert at(picture(made), made, 125.0, 125.0) == PALE


def test_regions_are_drawn() -> None:
    made = sheet([cut_piece(square(40.0))], [(20, 20)], regions=[Region("sea", (6, 6, 170, 299))])
    assert at(picture(made), made, 170.0, 200.0) == INK
    plain = sheet([cut_piece(square(40.0))], [(20, 20)])
    assert at(picture(plain), plain, 170.0, 200.0) == WHITE


def test_the_number_shows_on_the_right_side_too() -> None:
    """White strokes on dark fabric, where no pen may write."""
    made = sheet([cut_piece(square(100.0), "17", writable=False)], [(20, 20)], face="right")
    scale = LONG_SIDE_PX / (305.0 + 2 * AROUND_MM)
    low, high = round((25 + AROUND_MM) * scale), round((115 + AROUND_MM) * scale)
    within = picture(made)[low:high, low:high]
    white = np.argwhere((within == WHITE).all(axis=2))
    assert np.ptp(white[:, 0]) == pytest.approx(max(HEIGHTS_PX), abs=10)


def test_a_large_piece_has_its_number_inside_and_a_small_one_beside() -> None:
    small = [cut_piece(circle(2.0), str(k)) for k in range(10, 16)]
    pieces = [cut_piece(square(100.0), "1"), *small]
    made = sheet(pieces, [(20, 20), *((150.0 + 8 * k, 60.0) for k in range(6))])
    numbers = place_sheet_numbers(made.cuts, area_round(MAT.shape.bounds, AROUND_MM), 7.0)
    inside = [cut.piece.label for cut, n in zip(made.cuts, numbers, strict=True) if not n.end_mm]
    assert inside == ["1"]
    beside = [n for n in numbers if n.end_mm]
    everything = shapely.union_all([cut.shape for cut in made.cuts])
    assert not any(number.box.intersects(everything) for number in beside)
    leaders = [shapely.LineString([n.middle_mm, n.end_mm]) for n in beside]
    assert not any(a.box.intersects(b.box) for a, b in combinations(beside, 2))
    assert not any(a.intersects(b) for a, b in combinations(leaders, 2))
    ends = {cut.piece.label: cut.shape for cut in made.cuts}
    assert all(ends[n.text].contains(shapely.Point(n.end_mm)) for n in beside)


def test_a_crowded_sheet_still_has_every_number() -> None:
    """Small pieces closer than any number: their boxes lie on them."""
    pieces = [cut_piece(square(3.0), str(k)) for k in range(100)]
    places = [(5.0 + 3.5 * (k % 10), 5.0 + 3.5 * (k // 10)) for k in range(100)]
    made = sheet(pieces, places, stock=rectangle("small", 45.0, 45.0))
    numbers = place_sheet_numbers(made.cuts, area_round(made.stock.shape.bounds, 2.0), 20.0)
    assert sorted(number.text for number in numbers) == sorted(str(k) for k in range(100))


def test_long_words_are_told_in_lines_and_the_picture_is_the_same_each_time() -> None:
    name = "a fabric with quite a long name that no strip has room for"
    many = [cut_piece(square(2.5), f"{k}bc") for k in range(40)]
    places = [(10.0 + 7 * (k % 30), 20.0 + 10 * (k // 30)) for k in range(40)]
    made = sheet(many, places, name=name)
    one = sheet_picture(made, COLOURS)
    image = Image.open(io.BytesIO(one))
    assert one == sheet_picture(made, COLOURS)
    assert image.info == {} and image.width == LONG_SIDE_PX
    told = np.asarray(image)[: image.height - LONG_SIDE_PX]
    assert (told[:, -20:] == PAPER).all()
    assert (told == INK).all(axis=2).sum() > 2_000
