"""The look of a block, checked at single pixels."""

import numpy as np
import pytest
import shapely

from applique.model import Link, Step, StepKind, Thread
from applique.pictures.canvas import LONG_SIDE_PX, Area
from applique.pictures.colours import rgb, thread_shades
from applique.pictures.scene import FabricShape, Stitches, area_of, label_places, layers_of
from applique.pictures.stitched import THREAD_MM, stitched
from tests.shapes import ring, square

SKY, CLOTH, RED = "#cfe3ea", "#2f6f8f", "#b2392f"
SIDES, BODY, MIDDLE = thread_shades(rgb(RED))
AREA = Area(0, 0, 20, 20)
PER_MM = LONG_SIDE_PX / 20


def step(
    *paths: list[tuple[float, float]],
    kind: StepKind = "edge",
    piece: str = "",
    pause: str = "",
    links: tuple[Link, ...] = (),
) -> Step:
    arrays = tuple(np.array(path, dtype=float).reshape(-1, 2) for path in paths)
    return Step(kind, piece, Thread(RED), arrays, links or ("trim",) * len(paths), pause)


def pixel(image: object, x: float, y: float) -> tuple[int, int, int]:
    return image.getpixel((round(x * PER_MM), round(y * PER_MM)))  # type: ignore[attr-defined]


def test_a_stitch_is_lighter_in_its_middle_and_darker_at_its_sides() -> None:
    image = stitched(layers_of([step([(5, 10), (12, 10)])], []), SKY, AREA)
    assert pixel(image, 8, 10) == MIDDLE
    assert pixel(image, 8, 10.1) == BODY
    assert pixel(image, 8, 10.17) == SIDES
    assert pixel(image, 8, 10.3) == rgb(SKY)
    assert pixel(image, 3, 10) == rgb(SKY)


def test_thread_is_drawn_at_its_true_width() -> None:
    image = stitched(layers_of([step([(2, 10), (18, 10)])], []), SKY, AREA)
    column = np.asarray(image)[:, round(10 * PER_MM)]
    width = int((column != rgb(SKY)).any(axis=1).sum())
    assert THREAD_MM == 0.4
    assert width == pytest.approx(0.4 * PER_MM, abs=1)


def test_slanted_thread_is_as_wide_as_level_thread() -> None:
    image = stitched(layers_of([step([(2, 2), (18, 18)])], []), SKY, AREA)
    row = np.asarray(image)[round(10 * PER_MM)]
    width = int((row != rgb(SKY)).any(axis=1).sum()) / np.sqrt(2)
    assert width == pytest.approx(THREAD_MM * PER_MM, abs=1.5)


def test_a_later_stitch_lies_over_an_earlier_one() -> None:
    image = stitched(
        layers_of([step([(2, 10), (18, 10)]), step([(10, 2), (10, 18)])], []), SKY, AREA
    )
    assert pixel(image, 10, 10.1) == MIDDLE
    assert pixel(image, 10.17, 10) == SIDES


def test_fabric_covers_its_placement_line_and_its_edge_covers_the_fabric() -> None:
    steps = [
        step([(5, 7), (15, 7)], kind="placement", piece="sail", pause="Lay cloth."),
        step([(5, 13), (15, 13)], piece="sail"),
    ]
    layers = layers_of(steps, [FabricShape("sail", CLOTH, square(10, 5, 5))])
    image = stitched(layers, SKY, AREA)
    assert pixel(image, 8, 7) == rgb(CLOTH)
    assert pixel(image, 8, 13) == MIDDLE
    assert pixel(image, 2, 2) == rgb(SKY)


def test_a_piece_with_nothing_but_a_placement_line_is_laid_over_it() -> None:
    fabrics = [FabricShape("sail", CLOTH, square(10)), FabricShape("unsewn", CLOTH, square(3))]
    layers = layers_of([step([(0, 0), (3, 0)], kind="placement", piece="sail")], fabrics)
    assert [isinstance(layer, Stitches) for layer in layers] == [False, True, False]
    assert layers[0] is fabrics[1]


def test_holes_in_fabric_show_what_lies_beneath() -> None:
    shape = shapely.affinity.translate(ring(8, 4), 10, 10)
    image = stitched([FabricShape("ring", CLOTH, shape)], SKY, AREA)
    assert pixel(image, 12, 8) == rgb(SKY)
    assert pixel(image, 10, 4) == rgb(CLOTH)


def test_paths_that_are_run_together_are_joined_by_a_stitch() -> None:
    lines = ([(0.0, 0.0), (3.0, 0.0)], [(6.0, 0.0), (9.0, 0.0)])
    (joined,) = layers_of([step(*lines, links=("run", "trim"))], [])
    (parted,) = layers_of([step(*lines)], [])
    assert isinstance(joined, Stitches)
    assert isinstance(parted, Stitches)
    assert joined.starts[:, 0].tolist() == [0, 3, 6]
    assert parted.starts[:, 0].tolist() == [0, 6]


def test_no_stitch_is_drawn_over_a_pause() -> None:
    steps = [step([(0, 0), (3, 0)], links=("run",), pause="Lay cloth."), step([(9, 0), (12, 0)])]
    _, after = layers_of(steps, [])
    assert isinstance(after, Stitches)
    assert after.starts.tolist() == [[9, 0]]


def test_labels_stand_where_their_piece_shows() -> None:
    fabrics = [
        FabricShape("lower", CLOTH, square(20)),
        FabricShape("upper", CLOTH, square(12)),
        FabricShape("hidden", CLOTH, square(4, 30, 30)),
    ]
    places = dict(label_places(fabrics, AREA))
    assert set(places) == {"lower", "upper"}
    shown = square(20).difference(square(12))
    assert shown.contains(shapely.Point(places["lower"]))


def test_the_area_takes_in_everything_with_a_margin() -> None:
    area = area_of([step([(0, 0), (30, 0)])], [FabricShape("sail", CLOTH, square(10))])
    assert (area.left, area.top, area.width, area.height) == (-5, -5, 40, 20)
