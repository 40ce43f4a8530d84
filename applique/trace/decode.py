"""Picture files, as bytes, to pages of grey values. All of Pillow and PDFium in this room."""

from __future__ import annotations

import io
import warnings
from typing import Any

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from applique.errors import InputError
from applique.trace.page import Picture

MOST_PIXELS = 150_000_000
"""A page of 11 x 17 in at 800 dpi; more would fill the memory before anything is looked at."""

_LEAST_PX = 64
"""No page can be told on a picture with a shorter side."""

_MEANT_DPI = (100.0, 2400.0)
"""Resolutions that a file may be believed: 72 and 96 are what programs write that don't know."""

_WHOLE_WITHIN = 0.02

PDF_DPI = 300.0
"""At this resolution pages of a PDF are drawn if no picture fills them."""

_POINTS_PER_INCH = 72.0


def decode(data: bytes, name: str) -> tuple[Picture, ...]:
    """The pages in a PNG, JPEG, TIFF or PDF file. Raises InputError saying what is wrong."""
    if data[:5] == b"%PDF-":
        return _pdf_pages(data, name)
    with warnings.catch_warnings():
        # Our own limit stands in for Pillow's warning about large pictures.
        warnings.simplefilter("ignore")
        return _image_pages(data, name)


def _image_pages(data: bytes, name: str) -> tuple[Picture, ...]:
    try:
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG", "TIFF")) as image:
            pages = []
            for number in range(getattr(image, "n_frames", 1)):
                image.seek(number)
                _check_size(image.size, name)
                label = name if number == 0 else f"{name}, page {number + 1}"
                pages.append(Picture(label, _grey(image), _resolution(image)))
            return tuple(pages)
    except UnidentifiedImageError:
        text = (
            f"{name}: is no PNG, JPEG, TIFF or PDF picture; scan or save the page as one of these"
        )
        raise InputError(text) from None
    except Image.DecompressionBombError:
        raise InputError(_too_large(name)) from None
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
    if not (_MEANT_DPI[0] <= across <= _MEANT_DPI[1]) or abs(across - down) > 0.01 * across:
        return None
    return across


def _check_size(size: tuple[int, int], name: str) -> None:
    """Refuse what is too large or too small before it is decoded."""
    width, height = size
    if width * height > MOST_PIXELS:
        raise InputError(f"{_too_large(name)} and this has {width} x {height}")
    if min(width, height) < _LEAST_PX:
        text = f"{name}: is only {width} x {height} pixels; scan the page at 300 dpi"
        raise InputError(text)


def _too_large(name: str) -> str:
    millions = MOST_PIXELS // 1_000_000
    return f"{name}: is too large; scan it at 300 dpi: {millions} million pixels are the most"


def _pdf_pages(data: bytes, name: str) -> tuple[Picture, ...]:
    """The pages of a PDF, each drawn at the resolution of the scan in it."""
    import pypdfium2

    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as problem:
        text = f"{name}: can't be read as a PDF ({problem}); scan the page again"
        raise InputError(text) from None
    pages = []
    try:
        for number in range(len(document)):
            label = name if len(document) == 1 else f"{name}, page {number + 1}"
            pages.append(_pdf_page(document[number], label))
    finally:
        document.close()
    if not pages:
        raise InputError(f"{name}: has no pages")
    return tuple(pages)


def _pdf_page(page: Any, name: str) -> Picture:
    """A page of a PDF: the scan that fills it as it is, or else the page drawn."""
    scan = _scan_in(page)
    dpi = PDF_DPI if scan is None else _pdf_resolution(scan)
    width, height = page.get_size()
    size = (round(width * dpi / _POINTS_PER_INCH), round(height * dpi / _POINTS_PER_INCH))
    _check_size(size, name)
    if scan is not None and _fills(scan, page):
        return Picture(name, _grey_of(scan.get_bitmap()), dpi)
    # PDFium rounds up, and would stretch what it draws by a pixel.
    scale = dpi / _POINTS_PER_INCH * (1 - 1e-6)
    return Picture(name, _grey_of(page.render(scale=scale, grayscale=True)), dpi)


def _scan_in(page: Any) -> Any:
    """The largest picture on a page, None if there is none."""
    import pypdfium2.raw as pdfium

    pictures = list(page.get_objects(filter=[pdfium.FPDF_PAGEOBJ_IMAGE]))
    return max(pictures, key=_shown_area, default=None)


def _shown_area(picture: Any) -> float:
    left, bottom, right, top = picture.get_bounds()
    return float((right - left) * (top - bottom))


def _pdf_resolution(picture: Any) -> float:
    """The resolution at which a page shows a picture."""
    left, _, right, _ = picture.get_bounds()
    if right <= left:
        return PDF_DPI
    return float(np.clip(picture.get_px_size()[0] / (right - left) * _POINTS_PER_INCH, *_MEANT_DPI))


def _fills(picture: Any, page: Any) -> bool:
    """Whether a picture fills its page, upright and with square pixels, so that it is the page."""
    width, height = page.get_size()
    left, bottom, right, top = picture.get_bounds()
    off = max(abs(left), abs(bottom), abs(right - width), abs(top - height))
    a, b, c, d, _, _ = picture.get_matrix().get()
    across, down = picture.get_px_size()
    upright = a > 0 and d > 0 and b == 0 and c == 0
    square = abs(a / across / (d / down) - 1) < _SQUARE if upright else False
    return bool(off < _FILLS_POINTS and square and page.get_rotation() == 0)


_FILLS_POINTS = 1.0
_SQUARE = 0.005


def _grey_of(bitmap: Any) -> np.ndarray:
    """The luma of a PDF's bitmap."""
    return np.array(bitmap.to_pil().convert("L"))
