"""How large pictures and files of pages may be, and the refusals of those that are not."""

from __future__ import annotations

from collections.abc import Sequence

from applique.errors import InputError
from applique.trace.page import Picture

MOST_PIXELS = 150_000_000
"""A page of 11 x 17 in at 800 dpi; more would fill the memory before anything is looked at."""

MOST_PAGES = 60
"""In one file: a page of A4 at 300 dpi takes 9 MB and more until all are traced."""

MOST_PIXELS_TOGETHER = 600_000_000
"""Of all pages of one file, a byte of memory each; 60 pages of A4 at 300 dpi have fewer."""

_LEAST_PX = 64
"""No page can be told on a picture with a shorter side."""

MEANT_DPI = (100.0, 2400.0)
"""Resolutions that a file may be believed: 72 and 96 are what programs write that don't know."""


def check_size(size: tuple[int, int], name: str) -> None:
    """Refuse what is too large or too small before it is decoded."""
    width, height = size
    if width * height > MOST_PIXELS:
        raise InputError(f"{too_large(name)} and this has {width} x {height}")
    if min(width, height) < _LEAST_PX:
        text = f"{name}: is only {width} x {height} pixels; scan the page at 300 dpi"
        raise InputError(text)


def check_number(pages: int, name: str) -> None:
    """Refuse a file of too many pages."""
    if pages > MOST_PAGES:
        text = f"{name}: has {pages} pages; save {MOST_PAGES} at most in one file"
        raise InputError(text)


def check_together(pages: Sequence[Picture], name: str) -> None:
    """Refuse pages that would fill the memory together."""
    if sum(page.grey.size for page in pages) > MOST_PIXELS_TOGETHER:
        raise InputError(f"{name}: its pages are too large together; save fewer in one file")


def too_large(name: str) -> str:
    """Why a picture of too many pixels is refused."""
    millions = MOST_PIXELS // 1_000_000
    return f"{name}: is too large; scan it at 300 dpi: {millions} million pixels are the most"
