"""PNG as written here, read back by Pillow and taken apart by the specification."""

import io
import struct
import zlib

import numpy as np
import pytest
from PIL import Image

from applique.pictures.canvas import area_round
from applique.pictures.png import png_bytes
from applique.pictures.scene import FabricShape, Stitches
from applique.pictures.stitched import stitched
from tests.shapes import circle


@pytest.mark.parametrize("size", [(1, 1), (2, 1), (1, 3), (97, 41)])
def test_pixels_come_back_as_they_were(size: tuple[int, int]) -> None:
    noise = np.random.default_rng(8).integers(0, 256, (size[1], size[0], 3), dtype=np.uint8)
    with Image.open(io.BytesIO(png_bytes(Image.fromarray(noise)))) as read:
        assert read.format == "PNG"
        assert (read.size, read.mode, read.info) == (size, "RGB", {})
        assert np.array_equal(np.asarray(read), noise)


def test_greys_are_written_in_colour() -> None:
    with Image.open(io.BytesIO(png_bytes(Image.new("L", (4, 4), 90)))) as read:
        assert read.getpixel((2, 2)) == (90, 90, 90)


def test_chunks_are_those_of_the_specification() -> None:
    """Signature, IHDR of 13 bytes, one IDAT, the well-known twelve bytes of IEND, and each chunk's
    CRC over its name and data (PNG, W3C, section 5)."""
    data = png_bytes(Image.new("RGB", (3, 2), (10, 20, 30)))
    assert data.startswith(bytes([137, 80, 78, 71, 13, 10, 26, 10]) + struct.pack(">I", 13))
    assert data.endswith(bytes.fromhex("0000000049454e44ae426082"))
    names, at = [], 8
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        body = data[at + 4 : at + 8 + length]
        assert struct.unpack(">I", data[at + 8 + length : at + 12 + length]) == (zlib.crc32(body),)
        names.append(body[:4])
        at += 12 + length
    assert names == [b"IHDR", b"IDAT", b"IEND"]


def test_a_block_takes_few_bytes() -> None:
    """At most a fifth more than the image library needs at the level that was used before."""
    turn = np.radians(np.linspace(0, 360, 721))
    radius = np.where(np.arange(721) % 2, 20.0, 23.5)
    ring = np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1)
    layers = [
        FabricShape("1", "#2f6f8f", circle(22.0)),
        Stitches("#b2392f", ring[:-1], ring[1:]),
    ]
    image = stitched(layers, "#cfe3ea", area_round((-24.0, -24.0, 24.0, 24.0), 5.0))
    held = io.BytesIO()
    image.save(held, "PNG", compress_level=4)
    assert len(png_bytes(image)) < 1.2 * len(held.getvalue())
