"""Photographed fabrics: read, refused, and shown at their true size."""

import io
import zlib

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from applique.errors import InputError
from applique.pictures.canvas import Area, Canvas
from applique.pictures.scene import FabricShape
from applique.pictures.stitched import stitched
from applique.pictures.swatches import MOST_PIXELS, FabricPrint, swatch_of
from tests.shapes import ring, square

LIGHT, DARK = (230, 222, 200), (30, 60, 90)


def saved(pixels: np.ndarray, kind: str = "PNG", **how: object) -> bytes:
    held = io.BytesIO()
    Image.fromarray(pixels).save(held, kind, **how)
    return held.getvalue()


def stripes(width: int = 300, height: int = 200) -> np.ndarray:
    """Two level stripes, the dark one on top."""
    pixels = np.full((height, width, 3), LIGHT, dtype=np.uint8)
    pixels[: height // 2] = DARK
    return pixels


def runs(line: np.ndarray) -> list[int]:
    """Lengths of the stretches of one colour, the cut ones at both ends aside."""
    changes = np.flatnonzero((line[1:] != line[:-1]).any(axis=1))
    return np.diff(changes).tolist()


@pytest.mark.parametrize("px_per_mm", [2.5, 4.0, 7.3])
@pytest.mark.parametrize("pixels", [20, 200, 1000])
def test_stripes_of_10_mm_are_10_mm_wide_in_the_picture(px_per_mm: float, pixels: int) -> None:
    """A photo of 30 x 20 mm with two stripes, whatever its own fineness."""
    fabric = swatch_of(saved(stripes(pixels, pixels)), 30.0, 20.0)
    canvas = Canvas(Area(0, 0, 100, 100), (255, 255, 255), long_side_px=round(100 * px_per_mm))
    canvas.printed(square(100.0), fabric)
    seen = np.asarray(canvas.finished())[:, 50]
    # Half a tone at most lies between the stripes: take each pixel for the nearer one.
    dark = (seen.astype(int).sum(axis=1) < (sum(LIGHT) + sum(DARK)) / 2)[:, None]
    found = runs(dark)
    assert len(found) == 8
    assert found == pytest.approx([10 * px_per_mm] * 8, abs=1.01)
    assert np.mean(found) == pytest.approx(10 * px_per_mm, rel=0.02)


def test_the_print_lies_still_when_the_picture_moves() -> None:
    """It is repeated from the page's corner: the first dark stripe lies from 0 to 10 mm."""
    fabric = swatch_of(saved(stripes()), 30.0, 20.0)
    for top in (-7.0, 0.0, 4.0):
        canvas = Canvas(Area(3.0, top, 50, 50), (255, 255, 255), long_side_px=500)
        canvas.printed(square(100.0, -20.0, -20.0), fabric)
        seen = canvas.finished()
        for y, colour in ((4.5, DARK), (9.5, DARK), (10.5, LIGHT), (19.5, LIGHT), (20.5, DARK)):
            assert seen.getpixel((250, round((y - top) * 10))) == colour


def test_a_print_fills_its_fabric_and_leaves_holes_open() -> None:
    fabric = swatch_of(saved(np.full((8, 8, 3), DARK, dtype=np.uint8)), 5.0, 5.0)
    shape = shapely.affinity.translate(ring(8, 4), 10, 10)
    image = stitched([FabricShape("ring", "#ffffff", shape, fabric)], "#cfe3ea", Area(0, 0, 20, 20))
    at = {place: image.getpixel((place[0] * 120, place[1] * 120)) for place in ((16, 10), (12, 8))}
    assert at == {(16, 10): DARK, (12, 8): (0xCF, 0xE3, 0xEA)}


def test_fine_prints_blend_and_do_not_glitter() -> None:
    """A check of 0.1 mm, seen at 1 px a mm, is its mean everywhere."""
    check = np.indices((200, 200)).sum(axis=0) % 2 * 200
    fabric = swatch_of(saved(np.repeat(check[:, :, None], 3, axis=2).astype(np.uint8)), 20.0, 20.0)
    canvas = Canvas(Area(0, 0, 100, 100), (255, 255, 255), long_side_px=100)
    canvas.printed(square(100.0), fabric)
    assert np.ptp(np.asarray(canvas.finished())[5:95, 5:95]) <= 2


def test_the_colour_from_afar_is_the_mean_of_the_light() -> None:
    """Half black, half white reflects half the light, which sRGB writes as 188 (IEC 61966-2-1)."""
    pixels = np.zeros((10, 10, 3), dtype=np.uint8)
    pixels[:5] = 255
    assert FabricPrint(pixels, 10.0, 10.0).colour == "#bcbcbc"
    plain = np.full((4, 4, 3), (0x2F, 0x6F, 0x8F), dtype=np.uint8)
    assert FabricPrint(plain, 10.0, 10.0).colour == "#2f6f8f"


def test_see_through_and_grey_pictures_are_read() -> None:
    clear = np.zeros((4, 4, 4), dtype=np.uint8)
    assert swatch_of(saved(clear), 10.0, 10.0).colour == "#ffffff"
    grey = np.full((4, 4), 0x80, dtype=np.uint8)
    assert swatch_of(saved(grey), 10.0, 10.0).colour == "#808080"
    deep = np.full((4, 4), 0x80 * 257, dtype=np.uint16)
    assert swatch_of(saved(deep), 10.0, 10.0).colour == "#808080"


def test_a_turned_photo_is_set_upright() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6  # Orientation: to be turned by a quarter clockwise (Exif 2.3, from memory).
    pixels = stripes(40, 20)
    fabric = swatch_of(saved(pixels, "TIFF", exif=exif), 10.0, 20.0)
    assert fabric.pixels.shape == (40, 20, 3)
    assert tuple(fabric.pixels[20, -1]) == DARK


@pytest.mark.parametrize("data", [b"", b"hello", b"%PDF-1.4", b"GIF89a", saved(stripes())[:200]])
def test_what_is_no_whole_picture_is_refused(data: bytes) -> None:
    with pytest.raises(InputError, match="save the photo"):
        swatch_of(data, 10.0, 10.0)


@given(st.data())
def test_damaged_pictures_are_refused_or_read(data: st.DataObject) -> None:
    whole = bytearray(saved(stripes(40, 40)))
    at = data.draw(st.integers(0, len(whole) - 1))
    whole[at] ^= 1 << data.draw(st.integers(0, 7))
    try:
        fabric = swatch_of(bytes(whole), 10.0, 10.0)
    except InputError:
        return
    assert fabric.pixels.shape[2] == 3


def test_a_huge_picture_is_refused_before_it_is_decoded() -> None:
    """A header that claims 100,000 x 100,000 pixels, and no pixels at all."""
    bomb = bytearray(saved(np.zeros((1, 1, 3), dtype=np.uint8)))
    bomb[16:24] = (100_000).to_bytes(4, "big") * 2

    bomb[29:33] = zlib.crc32(bytes(bomb[12:29])).to_bytes(4, "big")
    with pytest.raises(InputError, match=f"{MOST_PIXELS // 1_000_000} million pixels"):
        swatch_of(bytes(bomb), 10.0, 10.0)


@pytest.mark.parametrize("size", [(0.0, 10.0), (10.0, -1.0), (float("nan"), 1.0), (1e9, 1.0)])
def test_a_size_no_swatch_has_is_refused(size: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="can't be"):
        swatch_of(saved(stripes()), *size)
