"""A block as it is drawn, without words: fabrics, prints and thread in their places."""

import io

import numpy as np
from PIL import Image

from applique.model import Step, Thread
from applique.pictures.canvas import Area
from applique.pictures.colours import rgb, thread_shades
from applique.pictures.png import png_bytes
from applique.pictures.proof import BLOCK_PX
from applique.pictures.scene import FabricShape, Scene
from applique.pictures.stitched import THREAD_MM, drawn
from applique.pictures.swatches import FabricPrint, print_picture, swatch_of
from tests.shapes import square

SKY, CLOTH, RED = "#cfe3ea", "#2f6f8f", "#b2392f"
AREA = Area(10, 10, 40, 20)
EDGE = Step("edge", "sail", Thread(RED), (np.array([[20.0, 20.0], [40.0, 20.0]]),), ("trim",), "")
SAIL = FabricShape("sail", CLOTH, square(10.0, 15.0, 15.0))


def picture(scene: Scene, long_side_px: int = BLOCK_PX) -> bytes:
    return png_bytes(drawn(scene, AREA, long_side_px).finished())


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data)).convert("RGB")


def test_it_shows_the_area_and_nothing_else() -> None:
    image = opened(picture(Scene(SKY, [EDGE], [SAIL])))
    assert image.size == (BLOCK_PX, BLOCK_PX // 2)
    per_mm = BLOCK_PX / 40
    assert image.getpixel((5, 5)) == rgb(SKY)
    assert image.getpixel((round(7 * per_mm), round(7 * per_mm))) == rgb(CLOTH)
    assert image.getpixel((round(20 * per_mm), round(10 * per_mm))) == thread_shades(rgb(RED))[2]


def test_thread_has_its_true_width() -> None:
    image = np.asarray(opened(picture(Scene(SKY, [EDGE], []), 1200)))
    column = image[:, 22 * 30]
    assert abs(int((column != rgb(SKY)).any(axis=1).sum()) - THREAD_MM * 30) <= 1


def test_no_words_are_written_on_it() -> None:
    image = np.asarray(opened(picture(Scene(SKY, [], [SAIL]))))
    cloth = (image == rgb(CLOTH)).all(axis=2)
    assert cloth[110:250, 110:250].all()  # Its label would stand in the middle.


def test_a_printed_background_lies_beneath() -> None:
    checks = np.zeros((2, 2, 3), dtype=np.uint8)
    checks[0, 0] = checks[1, 1] = (250, 250, 250)
    ground = FabricPrint(checks, 10.0, 10.0)
    image = opened(picture(Scene(SKY, [], [SAIL], ground)))
    per_mm = BLOCK_PX / 40
    assert image.getpixel((round(2.5 * per_mm), round(2.5 * per_mm))) == (250, 250, 250)
    assert image.getpixel((round(25 * per_mm), round(2.5 * per_mm))) == (0, 0, 0)
    assert image.getpixel((round(8 * per_mm), round(8 * per_mm))) == rgb(CLOTH)


def test_the_same_block_gives_the_same_bytes() -> None:
    assert picture(Scene(SKY, [EDGE], [SAIL])) == picture(Scene(SKY, [EDGE], [SAIL]))


def test_a_print_is_written_so_that_browsers_read_it() -> None:
    pixels = np.zeros((6, 8, 3), dtype=np.uint8)
    pixels[:3] = (47, 111, 143)
    held = io.BytesIO()
    Image.fromarray(pixels).save(held, "TIFF")
    written = print_picture(swatch_of(held.getvalue(), 80.0, 60.0))
    assert written.startswith(b"\x89PNG")
    assert np.array_equal(np.asarray(opened(written)), pixels)
