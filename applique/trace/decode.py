"""Picture files, as bytes, to pages of grey values. All of Pillow in this room."""

from __future__ import annotations

import io
import warnings

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from applique.errors import InputError
from applique.trace.page import Picture
from applique.trace.pdf import pdf_pages
from applique.trace.sizes import MEANT_DPI, check_number, check_size, check_together, too_large

_WHOLE_WITHIN = 0.02


def decode(data: bytes, name: str) -> tuple[Picture, ...]:
    """The pages in a PNG, JPEG, TIFF or PDF file. Raises InputError saying what is wrong."""
    if data[:5] == b"%PDF-":
        return pdf_pages(data, name)
    with warnings.catch_warnings():
        # Our own limit stands in for Pillow's warning about large pictures.
        warnings.simplefilter("ignore")
        return _image_pages(data, name)


def _image_pages(data: bytes, name: str) -> tuple[Picture, ...]:
    try:
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "TIFF")) as image:
            pages = []
            count = getattr(image, "n_frames", 1)
            check_number(count, name)
            for number in range(count):
                image.seek(number)
                check_size(image.size, name)
                label = name if number == 0 else f"{name}, page {number + 1}"
                pages.append(Picture(label, _grey(image), _resolution(image)))
                check_together(pages, name)
            return tuple(pages)
    except UnidentifiedImageError:
        text = (
            f"{name}: is no PNG, JPEG, TIFF or PDF picture; scan or save the page as one of these"
        )
        raise InputError(text) from None
    except Image.DecompressionBombError:
        raise InputError(too_large(name)) from None
    except (OSError, SyntaxError, ValueError, EOFError) as problem:
        text = f"{name}: is damaged or cut short and can't be read ({problem}); scan it again"
        raise InputError(text) from None


def _grey(image: Image.Image) -> np.ndarray:
    """A picture's luma, upright, as uint8; see-through parts count as white."""
    upright = ImageOps.exif_transpose(image)
    if upright.mode in ("I;16", "I;16B", "I;16L", "I", "F"):
        deep = np.asarray(upright, dtype=np.float32)
        # Sixteen bits, whatever the picture's own type is called.
        return (deep / 257.0).clip(0, 255).round().astype(np.uint8)
    if upright.mode in ("RGBA", "LA", "PA") or "transparency" in upright.info:
        coloured = upright.convert("RGBA")
        white = Image.new("RGBA", coloured.size, "white")
        upright = Image.alpha_composite(white, coloured)
    return np.array(upright.convert("L"))


def _resolution(image: Image.Image) -> float | None:
    """What the file says of its resolution in dots an inch, if that can be meant."""
    dpi = image.info.get("dpi")
    try:
        across, down = (float(value) for value in dpi) if dpi else (0.0, 0.0)
    except (TypeError, ValueError):
        return None
    # Whole dots an inch come back a little off from the dots a metre that PNG files hold.
    if abs(across - round(across)) < _WHOLE_WITHIN:
        across = float(round(across))
    if not (MEANT_DPI[0] <= across <= MEANT_DPI[1]) or abs(across - down) > 0.01 * across:
        return None
    return across
