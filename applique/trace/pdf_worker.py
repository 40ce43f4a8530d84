"""The pages of a PDF drawn in a process of its own, because PDFium can't be interrupted.

Reads the file from its input, after a line of JSON with what to call it: {"name": ...}. Writes of
each page a line of JSON and then its grey values, row by row: {"name", "dpi", "height", "width"};
or, of a file or a page that can't be had, {"refused": sentence}, and ends.
"""

from __future__ import annotations

import json
import signal
import sys
from collections.abc import Iterator
from typing import Any

import numpy as np
import pypdfium2
import pypdfium2.raw as pdfium

from applique.errors import InputError
from applique.trace.page import Picture
from applique.trace.sizes import MEANT_DPI, check_number, check_size

MOST_OBJECTS = 20_000
"""On a page of a PDF; each takes some 0.1 ms to draw where it crosses the whole page."""

_MOST_BYTES = 900_000_000
"""Of data; the largest page that is read takes four bytes a pixel in all, while it is copied."""

PDF_DPI = 300.0
"""At this resolution pages of a PDF are drawn if no picture fills them."""

_POINTS_PER_INCH = 72.0

_FILLS_POINTS = 1.0
_SQUARE = 0.005
"""How far from a page's borders, and from square, a scan and its pixels may be that fill it."""


def main() -> None:
    """Draw the pages."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for who has started it.
    _limit_memory()
    name = json.loads(sys.stdin.buffer.readline())["name"]
    try:
        for page in pages_of(sys.stdin.buffer.read(), name):
            height, width = page.grey.shape
            _tell({"name": page.name, "dpi": page.dpi, "height": height, "width": width})
            sys.stdout.buffer.write(page.grey.tobytes())
    except InputError as problem:
        _tell({"refused": str(problem)})
    sys.stdout.buffer.flush()


def _limit_memory() -> None:
    """A page that fills the memory ends this process, where the system can see to it."""
    try:
        import resource
    except ImportError:  # Windows has no such limit; there the clock alone ends it.
        return
    _, hard = resource.getrlimit(resource.RLIMIT_DATA)
    resource.setrlimit(resource.RLIMIT_DATA, (_MOST_BYTES, hard))


def pages_of(data: bytes, name: str) -> Iterator[Picture]:
    """The pages of a PDF, each drawn at the resolution of the scan in it. Raises InputError."""
    try:
        document = pypdfium2.PdfDocument(data)
    except pypdfium2.PdfiumError as problem:
        text = f"{name}: can't be read as a PDF ({problem}); scan the page again"
        raise InputError(text) from None
    label = name
    try:
        check_number(len(document), name)
        for number in range(len(document)):
            label = name if len(document) == 1 else f"{name}, page {number + 1}"
            yield _pdf_page(document[number], label)
    except pypdfium2.PdfiumError as problem:
        raise InputError(f"{label}: can't be read ({problem}); scan the page again") from None
    finally:
        document.close()


def _tell(told: dict[str, Any]) -> None:
    sys.stdout.buffer.write(json.dumps(told).encode() + b"\n")


def _pdf_page(page: Any, name: str) -> Picture:
    """A page of a PDF: the scan that fills it as it is, or else the page drawn."""
    _check_objects(page, name)
    scan = _scan_in(page)
    dpi = PDF_DPI if scan is None else _pdf_resolution(scan)
    width, height = page.get_size()
    size = (round(width * dpi / _POINTS_PER_INCH), round(height * dpi / _POINTS_PER_INCH))
    check_size(size, name)
    if scan is not None and _fills(scan, page):
        return Picture(name, _grey_of(scan.get_bitmap()), dpi)
    # PDFium rounds up, and would stretch what it draws by a pixel.
    scale = dpi / _POINTS_PER_INCH * (1 - 1e-6)
    return Picture(name, _grey_of(page.render(scale=scale, grayscale=True)), dpi)


def _check_objects(page: Any, name: str) -> None:
    """Refuse what would take long to draw, because PDFium can't be interrupted."""
    count = pdfium.FPDFPage_CountObjects(page)
    if count > MOST_OBJECTS:
        text = f"{name}: holds {count} lines, letters and pictures; scan or print it as a picture"
        raise InputError(text)


def _scan_in(page: Any) -> Any:
    """The largest picture on a page, None if there is none."""
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
    return float(np.clip(picture.get_px_size()[0] / (right - left) * _POINTS_PER_INCH, *MEANT_DPI))


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


def _grey_of(bitmap: Any) -> np.ndarray:
    """The luma of a PDF's bitmap."""
    return np.array(bitmap.to_pil().convert("L"))


if __name__ == "__main__":
    main()
