"""A photographed fabric: read from its picture, and laid at the size it truly has."""

from __future__ import annotations

import io
import math
import warnings
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from applique.errors import InputError
from applique.pictures.colours import hexadecimal
from applique.pictures.png import png_bytes
from applique.units import FURTHEST_MM

MOST_PIXELS = 50_000_000
"""A swatch of A4 at 600 dpi has 35 million pixels; more is refused before it is decoded."""

_KEPT_PX = 1200
"""Longer side of what is kept of a picture: finer than any picture shows a swatch of a few cm."""


@dataclass(frozen=True, eq=False)
class FabricPrint:
    """What is printed on a fabric: `pixels` (height, width, 3) of uint8 in sRGB show `width_mm` by
    `height_mm` of it, which is repeated over the whole cloth."""

    pixels: np.ndarray
    width_mm: float
    height_mm: float

    @property
    def colour(self) -> str:
        """The colour it has from afar, #rrggbb: the mean of its light, not of its values."""
        share = self.pixels.reshape(-1, 3) / 255.0
        light = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
        mean = light.mean(axis=0)
        values = np.where(mean <= 0.0031308, 12.92 * mean, 1.055 * mean ** (1 / 2.4) - 0.055)
        red, green, blue = (round(255 * float(value)) for value in values)
        return hexadecimal((red, green, blue))

    def seen_at(self, px_per_mm: float) -> FabricPrint:
        """The print as a picture of a fineness shows it: pixels no smaller than the picture's, so
        that fine prints blend and don't glitter."""
        height, width = self.pixels.shape[:2]
        across = max(1, min(width, round(self.width_mm * px_per_mm)))
        down = max(1, min(height, round(self.height_mm * px_per_mm)))
        if (across, down) == (width, height):
            return self
        image = Image.fromarray(self.pixels).resize((across, down), Image.Resampling.BOX)
        return FabricPrint(np.asarray(image), self.width_mm, self.height_mm)

    def at(self, x_mm: np.ndarray, y_mm: np.ndarray) -> np.ndarray:
        """The colours of a grid of places, columns at `x_mm` (n,) and rows at `y_mm` (m,): an
        (m, n, 3) array. The print's upper left corner lies at (0, 0), and it is repeated."""
        height, width = self.pixels.shape[:2]
        column = _cells(x_mm, self.width_mm, width)
        row = _cells(y_mm, self.height_mm, height)
        return np.asarray(self.pixels[row[:, None], column[None, :]])


def swatch_of(data: bytes, width_mm: float, height_mm: float) -> FabricPrint:
    """The print on a photograph (PNG, JPEG, TIFF, WebP) that shows so many mm of a fabric.

    Raises ValueError for a size no swatch has, InputError for what is no picture, is damaged, or
    has more than 50 million pixels.
    """
    if not all(math.isfinite(it) and 0 < it <= FURTHEST_MM for it in (width_mm, height_mm)):
        raise ValueError(f"a swatch can't be {width_mm:g} x {height_mm:g} mm")
    try:
        with warnings.catch_warnings():
            # Our own limit stands in for Pillow's warning about large pictures.
            warnings.simplefilter("ignore")
            with Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "TIFF", "WEBP")) as image:
                _check_size(image.size)
                upright = _coloured(image)
    except UnidentifiedImageError:
        raise InputError(
            "is no PNG, JPEG, TIFF or WebP picture; save the photo as one of these"
        ) from None
    except Image.DecompressionBombError:
        raise InputError(_TOO_LARGE) from None
    except (OSError, SyntaxError, ValueError, EOFError) as problem:
        text = f"is damaged or cut short and can't be read ({problem}); save the photo again"
        raise InputError(text) from None
    upright.thumbnail((_KEPT_PX, _KEPT_PX), Image.Resampling.BOX)
    return FabricPrint(np.asarray(upright), width_mm, height_mm)


def print_picture(fabric_print: FabricPrint) -> bytes:
    """A PNG of a fabric's print as pictures show it: upright, and in a format that every browser
    reads, whatever the photograph was."""
    return png_bytes(Image.fromarray(fabric_print.pixels))


_TOO_LARGE = (
    f"is too large; save the photo smaller: {MOST_PIXELS // 1_000_000} million pixels are the most"
)


def _check_size(size: tuple[int, int]) -> None:
    if size[0] * size[1] > MOST_PIXELS:
        raise InputError(f"{_TOO_LARGE}, and this has {size[0]} x {size[1]}")


def _coloured(image: Image.Image) -> Image.Image:
    """A picture upright and in colour; see-through parts count as white."""
    upright = ImageOps.exif_transpose(image)
    if upright.mode in ("I;16", "I;16B", "I;16L", "I", "F"):
        grey = np.asarray(upright, dtype=np.float32) / 257.0
        upright = Image.fromarray(grey.clip(0, 255).round().astype(np.uint8))
    if upright.mode in ("RGBA", "LA", "PA") or "transparency" in upright.info:
        clear = upright.convert("RGBA")
        upright = Image.alpha_composite(Image.new("RGBA", clear.size, "white"), clear)
    return upright.convert("RGB")


def _cells(places_mm: np.ndarray, side_mm: float, count: int) -> np.ndarray:
    """In which of `count` equal cells of a side, repeated, each place lies."""
    share = np.mod(places_mm / side_mm, 1.0)
    return np.minimum((share * count).astype(int), count - 1)
