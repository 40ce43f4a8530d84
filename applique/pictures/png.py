"""A picture as PNG bytes.

Written here rather than by the image library, which tries five filters on every row: for drawings
one will do, in half the time and about as many bytes (measured). The layout is that of the PNG
specification (W3C, third edition), sections 5, 9.2 and 11.2, from memory.
"""

from __future__ import annotations

import struct
import zlib

import numpy as np
from PIL import Image

_SIGNATURE = b"\x89PNG\r\n\x1a\n"
_SUB = 1
"""The filter that writes every byte as its difference from the pixel on the left: flat colours, of
which drawings consist, become zeros."""

_LEVEL = 2
"""Of zlib, 1 to 9. From 3 on a picture takes half as long again and shrinks by 3 % (measured)."""


def png_bytes(image: Image.Image) -> bytes:
    """A picture as PNG in colour, 8 bits a channel, without dates or names in it."""
    pixels = np.asarray(image.convert("RGB"))
    height, width, channels = pixels.shape
    rows = np.empty((height, 1 + width * channels), dtype=np.uint8)
    flat = pixels.reshape(height, width * channels)
    rows[:, 0] = _SUB
    rows[:, 1 : 1 + channels] = flat[:, :channels]
    np.subtract(flat[:, channels:], flat[:, :-channels], out=rows[:, 1 + channels :])
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = [(b"IHDR", header), (b"IDAT", zlib.compress(rows.data, _LEVEL)), (b"IEND", b"")]
    return _SIGNATURE + b"".join(_chunk(name, data) for name, data in chunks)


def _chunk(name: bytes, data: bytes) -> bytes:
    check = zlib.crc32(data, zlib.crc32(name))
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", check)
