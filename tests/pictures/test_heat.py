"""The needle map, checked at single pixels."""

import numpy as np

from applique.pictures.canvas import LONG_SIDE_PX, Area
from applique.pictures.colours import INK, WHITE, heat_colour
from applique.pictures.heat import RADIUS_MM, NeedleMap, heat
from applique.proof.crowding import counts

AREA = Area(0, 0, 20, 20)
PER_MM = LONG_SIDE_PX / 20


def mapped(points: list[tuple[float, float]]) -> NeedleMap:
    places = np.array(points, dtype=float).reshape(-1, 2)
    return NeedleMap(places, counts(places))


def test_points_have_their_colour_and_the_worst_is_ringed() -> None:
    crowd = [(10 + 0.1 * k, 10.0) for k in range(8)]
    needles = mapped([(4, 15), *crowd])
    assert needles.worst(AREA) == 1 + int(np.argmax(needles.counts[1:]))
    pixels = np.asarray(heat(needles, [], AREA))
    assert tuple(pixels[round(14.85 * PER_MM), round(4 * PER_MM)]) == heat_colour(1)
    assert tuple(pixels[round(2 * PER_MM), round(2 * PER_MM)]) == WHITE
    x, y = needles.points[needles.worst(AREA)]
    assert tuple(pixels[round((y + RADIUS_MM) * PER_MM), round(x * PER_MM)]) == INK


def test_the_worst_place_is_looked_for_in_what_is_shown() -> None:
    needles = mapped([(5, 5), (30, 30), (30.1, 30), (30.2, 30)])
    assert needles.worst(AREA) == 0
    assert needles.worst(Area(25, 25, 10, 10)) in (1, 2, 3)
    assert needles.worst(Area(100, 100, 10, 10)) is None


def test_without_stitches_the_map_is_empty() -> None:
    assert (np.asarray(heat(mapped([]), [], AREA)) == WHITE).all()


def test_the_number_stands_below_the_ring_where_there_is_no_room_above() -> None:
    pixels = np.asarray(heat(mapped([(10, 0.6)]), [], AREA))
    inked = np.argwhere((pixels == INK).all(axis=2))
    assert inked[:, 0].max() > (0.6 + RADIUS_MM) * PER_MM + 30
