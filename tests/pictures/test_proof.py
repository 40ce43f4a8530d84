"""The whole picture: both sides, title and legend, at every size of block."""

import io
import math

import numpy as np
import pytest
from PIL import Image

from applique.model import Step, Thread
from applique.pictures.canvas import LONG_SIDE_PX, MOST_PX_PER_MM, Area, Canvas
from applique.pictures.colours import HEAT, INK, WHITE
from applique.pictures.heat import NeedleMap
from applique.pictures.proof import BLOCK_PX, proof_and_block, proof_picture
from applique.pictures.scene import FabricShape, Scene
from applique.pictures.stitched import drawn
from applique.pictures.swatches import FabricPrint
from applique.pictures.words import write, write_boxed, write_over
from applique.proof.crowding import counts
from tests.shapes import square


def sewn(points: list[tuple[float, float]]) -> list[Step]:
    return [
        Step(
            "edge",
            "sail",
            Thread("#b2392f"),
            (np.array(points, dtype=float).reshape(-1, 2),),
            ("trim",),
        )
    ]


def picture(steps: list[Step], side: float = 30.0, area: Area | None = None) -> bytes:
    fabrics = [FabricShape("sail", "#2f6f8f", square(side))] if side else []
    figures = ["COVERED 99.9 %", "5 IN A CIRCLE"]
    points = np.vstack([np.zeros((0, 2)), *(path for step in steps for path in step.paths)])
    needles = NeedleMap(points, counts(points))
    return proof_picture("Harbour", figures, Scene("#cfe3ea", steps, fabrics), needles, area)


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def test_the_same_block_gives_the_same_bytes_without_a_date() -> None:
    one, two = (picture(sewn([(0, 0), (3, 0), (6, 3)])) for _ in range(2))
    assert one == two
    assert opened(one).info == {}


@pytest.mark.parametrize(
    ("steps", "side"),
    [
        ([], 0.0),
        ([], 30.0),
        (sewn([]), 30.0),
        (sewn([(1, 1)]), 0.0),
        (sewn([(1, 1), (4, 1)]), 0.0),
        (sewn([(2, 2), (2, 2)]), 30.0),
    ],
)
def test_a_block_with_little_or_nothing_in_it_has_a_picture(steps: list[Step], side: float) -> None:
    image = opened(picture(steps, side))
    assert image.width > 2 * LONG_SIDE_PX / 2
    assert len(image.getcolors(1_000_000)) > len(HEAT)


@pytest.mark.parametrize("side", [1.0, 120.0, 2000.0])
def test_a_quilt_has_no_larger_picture_than_a_block(side: float) -> None:
    image = opened(picture(sewn([(0, 0), (side, side)]), side))
    assert max(image.size) <= 2 * LONG_SIDE_PX + 200
    assert Canvas(Area(0, 0, side, side), WHITE).px_per_mm <= MOST_PX_PER_MM


@pytest.mark.parametrize(("width", "height"), [(300.0, 1.0), (1.0, 300.0)])
def test_long_narrow_areas_have_a_picture(width: float, height: float) -> None:
    image = opened(picture(sewn([(0, 0), (9, 0)]), 30.0, Area(0, 0, width, height)))
    assert image.width >= image.height


def test_only_the_area_asked_for_is_shown() -> None:
    everything = opened(picture(sewn([(20, 20), (26, 20)])))
    corner = opened(picture(sewn([(20, 20), (26, 20)]), 30.0, Area(0, 0, 10, 10)))
    thread = (178, 57, 47)
    assert thread in {colour for _, colour in everything.getcolors(1_000_000)}
    assert thread not in {colour for _, colour in corner.getcolors(1_000_000)}


@pytest.mark.parametrize("sides", [(0.0, 5.0), (5.0, -1.0), (math.nan, 5.0), (math.inf, 5.0)])
def test_an_area_without_a_size_is_refused(sides: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="above 0 mm"):
        Area(0, 0, *sides)


def test_words_are_written_in_ink_and_never_off_the_picture() -> None:
    canvas = Canvas(Area(0, 0, 400, 100), WHITE, long_side_px=400)
    write_over(canvas, "SAIL", (395, 95), 30)
    pixels = np.asarray(canvas.finished())
    inked = np.argwhere((pixels == INK).all(axis=2))
    assert len(inked) > 50
    low, high = inked.min(axis=0), inked.max(axis=0)
    assert high[0] < 100 - 10
    assert high[1] < 400 - 10
    assert high[0] - low[0] == pytest.approx(30 + 4, abs=3)


def test_words_start_at_their_top_left_corner() -> None:
    canvas = Canvas(Area(0, 0, 400, 100), WHITE, long_side_px=400)
    write(canvas, "E", (50, 20), 40)
    inked = np.argwhere((np.asarray(canvas.finished()) == INK).all(axis=2))
    assert inked.min(axis=0) == pytest.approx([20, 50], abs=3)
    assert inked.max(axis=0)[0] == pytest.approx(60, abs=3)


def test_boxed_words_stand_light_on_dark() -> None:
    canvas = Canvas(Area(0, 0, 400, 100), WHITE, long_side_px=400)
    write_boxed(canvas, "8 POINTS", (200, 50), 30)
    pixels = np.asarray(canvas.finished())
    assert tuple(pixels[50 - 15 - 8, 200]) == INK
    assert tuple(pixels[50 - 15 - 16, 200]) == WHITE
    box = pixels[35:65, 150:250].reshape(-1, 3)
    assert 0.1 < (box == WHITE).all(axis=1).mean() < 0.5


def both(
    fabric_print: FabricPrint | None = None, background_print: FabricPrint | None = None
) -> tuple[Image.Image, Image.Image]:
    """The proof's picture, and that of the block with a frame wider than its one piece."""
    fabrics = [FabricShape("sail", "#2f6f8f", square(30.0), fabric_print)]
    steps = sewn([(0, 0), (30, 0), (30, 30)])
    needles = NeedleMap(steps[0].paths[0], counts(steps[0].paths[0]))
    scene = Scene("#cfe3ea", steps, fabrics, background_print)
    frame = Area(-20.0, -20.0, 60.0, 60.0)
    data = proof_and_block("Harbour", [], scene, needles, frame, 900)
    proof, block = (opened(each).convert("RGB") for each in data)
    return proof, block


def test_one_drawing_gives_the_proof_and_the_block() -> None:
    proof, block = both()
    assert block.size == (BLOCK_PX, BLOCK_PX)
    per_mm = BLOCK_PX / 60
    cloth, sky = (0x2F, 0x6F, 0x8F), (0xCF, 0xE3, 0xEA)
    seen = [block.getpixel((round(x * per_mm), round(30 * per_mm))) for x in (5, 19, 21, 40, 58)]
    assert seen == [sky, sky, cloth, cloth, sky]
    assert {colour for _, colour in proof.getcolors(1_000_000)} >= {sky, cloth, INK}
    # The label stands in the middle of the piece, in the proof alone.
    middle = np.asarray(block)[round(25 * per_mm) : round(45 * per_mm), round(25 * per_mm) :]
    assert (middle[:, : round(20 * per_mm)] == cloth).all()


def test_the_block_looks_as_it_does_when_drawn_alone() -> None:
    _, block = both()
    fabrics = [FabricShape("sail", "#2f6f8f", square(30.0))]
    steps = sewn([(0, 0), (30, 0), (30, 30)])
    scene = Scene("#cfe3ea", steps, fabrics)
    alone = drawn(scene, Area(-20.0, -20.0, 60.0, 60.0), BLOCK_PX).finished()
    off = np.abs(np.asarray(block, dtype=int) - np.asarray(alone.convert("RGB"), dtype=int))
    assert off.max(axis=2).mean() < 1.0


def test_prints_show_in_both_pictures() -> None:
    red = FabricPrint(np.full((4, 4, 3), (200, 10, 20), dtype=np.uint8), 10.0, 10.0)
    green = FabricPrint(np.full((4, 4, 3), (20, 160, 30), dtype=np.uint8), 10.0, 10.0)
    for image in both(red, green):
        colours = {colour: count for count, colour in image.getcolors(1_000_000)}
        assert colours[200, 10, 20] > 10_000
        assert colours[20, 160, 30] > 10_000
        assert (0xCF, 0xE3, 0xEA) not in colours


def test_a_smaller_picture_shows_the_same() -> None:
    points = np.array([(0.0, 0.0), (30.0, 0.0)])
    scene = Scene("#cfe3ea", sewn([(0, 0), (30, 0)]), [FabricShape("sail", "#2f6f8f", square(30))])
    needles = NeedleMap(points, counts(points))
    small = opened(proof_picture("Harbour", [], scene, needles, long_side_px=1600))
    usual = opened(proof_picture("Harbour", [], scene, needles))
    assert usual.width - small.width == 2 * (LONG_SIDE_PX - 1600)
